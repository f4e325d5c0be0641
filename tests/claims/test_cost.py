"""No text costs more time than in proportion to its length, whatever it holds."""

from __future__ import annotations

import gc
from collections.abc import Callable
from functools import partial
from time import process_time

import pyarrow as pa
import pytest

from auditor.claims.batch.columns import ClaimReader
from auditor.claims.own_cells import own_of
from auditor.claims.sentences import read_sentence
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.texts import _cut, read_claims
from auditor.columns.value_cache import MarkingCache
from auditor.marking.store import read_row
from auditor.trade.tables import default_tables

LEXICON = lexicon_of()
OWN = own_of("225/65R17 102H", "", "", "Winter King", "Run 90")
LENGTH = 100_000
MOST_SECONDS = 0.07  # of processor time, at the usual pace; on an idle machine of that pace it takes 0.036 at most
_LOOP_SECONDS = 0.0064  # of the loop below, at that pace
ATTACKS = {
    "one cue": "not ",
    "a phrase": "replaces the old ",
    "a label": "load ",
    "labels with colons": "load: ",
    "open tags": "<b>",
    "tags that never close": "<",
    "cells": "<td>",
    "entities": "&lt;",
    "quotation marks": '"a ',
    "brackets": "(",
    "digits": "1",
    "dots": "1.",
    "slashes": "1/",
    "letters": "a",
    "question marks": "? ",
    "sizes": "205/55R16 91V ",
    "several tires": "tires ",
    "units in brackets": "(in): ",
    "abbreviations": "P.R. ",
    "letters and labels": "V for speed ",
    "short sentences": "Ok. ",
    "a name": "Winter King ",
    "half a name": "Winter ",
}


@pytest.mark.parametrize("piece", ATTACKS.values(), ids=ATTACKS.keys())
def test_a_long_text_of_one_piece(piece: str) -> None:
    _in_time(piece * (LENGTH // len(piece)))


@pytest.mark.parametrize("piece", ["? ", "Ok. ", "<td>", "Winter King ", "load: "])
def test_a_column_of_one_long_text(piece: str) -> None:
    cells = [pa.array([text]) for text in ("225/65R17 102H", "", "", "Winter King", "Run 90")]
    column = pa.array([piece * (LENGTH // len(piece))])

    def time() -> float:
        forget()
        tables = default_tables()
        reader = ClaimReader(LEXICON, tables, MarkingCache(partial(read_row, tables=tables)))
        begin = process_time()
        reader.encode(column, reader.owns(cells, 1), title=False)
        return process_time() - begin

    assert min(_at_pace(time) for _ in range(5)) < MOST_SECONDS


def test_distinct_words_and_sizes() -> None:
    letters = "abcdefghijklmnopqrst"
    words = [f"{a}{b}{c}{d}xyz" for a in letters for b in letters for c in letters for d in letters[:2]]
    _in_time(" ".join(words)[:LENGTH])
    _in_time(" ".join(words).title()[:LENGTH])
    sizes = [f"{width}/{aspect}R{rim} 9{rim % 10}H" for width in range(155, 395, 10) for aspect in range(25, 90, 5)
             for rim in range(13, 25)]  # fmt: skip
    _in_time(" ".join(sizes * 2)[:LENGTH])


def test_nested_tags() -> None:
    _in_time("<div><p><b>" * 4_000 + "load 900 kg" + "</b></p></div>" * 4_000)


def test_ten_thousand_numbers() -> None:
    _in_time(" ".join(f"{number} kg" for number in range(1_000, 11_000)))
    _in_time(", ".join(f"load {number} kg" for number in range(1_000, 6_000)))


def test_time_grows_with_length_alone() -> None:
    text = " ".join(f"load {number} kg" for number in range(1_000, 9_000))
    short, long = (min(_time(part) for _ in range(3)) for part in (text[: len(text) // 8], text))
    assert long < 8 * short * 3 + 0.05


def forget() -> None:
    """Forgets what was read before, so that every word is a new one."""
    for cache in (LEXICON.hits, LEXICON.languages, LEXICON.starts, read_sentence, _cut):
        cache.cache_clear()


def _in_time(text: str) -> None:
    # On a machine with other work, few of many timings are of this alone.
    assert any(_at_pace(lambda: _time(text)) < MOST_SECONDS for _ in range(60))


def _at_pace(time: Callable[[], float]) -> float:
    """What was timed, at the pace of the host right before and behind it, or the usual one where that is slower."""
    before, seconds, behind = _slowness(), time(), _slowness()
    return seconds / max((before + behind) / 2, 1.0)


def _slowness() -> float:
    """How many times as long as at the usual pace work of the same kind takes now; hosts change pace."""
    seen: dict[str, int] = {}
    begin = process_time()
    for number in range(60_000):
        word = str(number % 977)
        seen[word] = seen.get(word, 0) + 1
    return (process_time() - begin) / _LOOP_SECONDS


def _time(text: str) -> float:
    forget()
    gc.disable()  # what other tests of the process hold would be looked through
    try:
        begin = process_time()
        read_claims(text, LEXICON, OWN)
        return process_time() - begin
    finally:
        gc.enable()
