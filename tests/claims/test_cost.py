"""No text costs more time than in proportion to its length, whatever it holds."""

from __future__ import annotations

from time import process_time

import pytest

from auditor.claims.lexicon import lexicon_of
from auditor.claims.texts import own_of, read_claims

LEXICON = lexicon_of()
OWN = own_of("225/65R17 102H", "", "")
LENGTH = 100_000
MOST_SECONDS = 0.5  # of a machine that runs other things as well; an idle one takes a tenth
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
}


@pytest.mark.parametrize("piece", ATTACKS.values(), ids=ATTACKS.keys())
def test_a_long_text_of_one_piece(piece: str) -> None:
    _in_time(piece * (LENGTH // len(piece)))


def test_ten_thousand_numbers() -> None:
    _in_time(" ".join(f"{number} kg" for number in range(1_000, 11_000)))
    _in_time(", ".join(f"load {number} kg" for number in range(1_000, 6_000)))


def test_time_grows_with_length_alone() -> None:
    text = " ".join(f"load {number} kg" for number in range(1_000, 9_000))
    short, long = _time(text[: len(text) // 8]), _time(text)
    assert long < 8 * short * 3 + 0.05


def _in_time(text: str) -> None:
    assert _time(text) < MOST_SECONDS


def _time(text: str) -> float:
    begin = process_time()
    read_claims(text, LEXICON, OWN)
    return process_time() - begin
