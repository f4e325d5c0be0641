"""Pieces of sales texts that blocks before had say what they say beside the names of their own listings."""

from __future__ import annotations

from functools import partial

import numpy as np
import pyarrow as pa
import pytest

from auditor.claims.batch.columns import ClaimReader
from auditor.claims.batch.known_pieces import KnownPieces
from auditor.claims.batch.vocabulary import Vocabulary
from auditor.claims.own_cells import own_of
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.texts import parse_claims
from auditor.columns.value_cache import MarkingCache
from auditor.marking.store import read_row
from auditor.trade.tables import default_tables

LEXICON, TABLES = lexicon_of(), default_tables()
MARKING = "205/55R16 91V"
SENTENCES = (
    "Winter King carries 690 kg.",
    "The Run 90 is a winter tire.",
    "Each tire carries 690 kg.",
    "Breeze holds 700 kg on every trip.",
    "It runs at 240 km/h.",
    "The 225/45R17 holds 670 kg.",
    "Size 205/55R16.",
    "Load index 91, good for 615 kg.",
    "Maximum load 1,356 lbs.",
    "Weight 9 lbs. It fits a 16 inch rim.",
    "A load of 1000 kg is too much.",
    "Fit it for " + "many good miles and " * 40 + "690 kg.",
)
NAMES = (("", ""), ("Winter King", ""), ("Tolvane", "Run 90"), ("Tolvane", "Breeze"), ("1000", "Winter"), ("", ""))


def _reader() -> ClaimReader:
    return ClaimReader(LEXICON, TABLES, MarkingCache(partial(read_row, tables=TABLES)))


def _texts(turn: int) -> list[str]:
    """Two sentences in a row, which ones by the turn."""
    count = len(SENTENCES)
    return [f"{SENTENCES[at]} {SENTENCES[(at + turn) % count]}" for at in range(count)]


def _read(
    reader: ClaimReader, texts: list[str], names: tuple[str, str], marking: str = MARKING
) -> list[list[tuple[object, ...]]]:
    columns = [pa.array([one] * len(texts)) for one in (marking, *names)]
    owns = reader.owns([columns[0], None, None, *columns[1:]], len(texts))
    codes, snapshot = reader.encode(pa.array(texts), owns, title=False)
    return [
        sorted((field, turn, str(kept.value[code])) for (field, turn), kept in snapshot.values.items()
               if str(kept.value[code]) != "nan")
        for code in codes.tolist()
    ]  # fmt: skip


def _alone(text: str, names: tuple[str, str], marking: str = MARKING) -> list[tuple[object, ...]]:
    said = parse_claims(text, LEXICON, TABLES, own_of(marking, "", "", *names), title=False).said
    return sorted((one.field, one.occurrence, str(one.value)) for one in said if str(one.value) != "nan")


def test_a_piece_says_what_it_says_beside_the_names_of_its_own_listing() -> None:
    reader = _reader()
    for turn, names in enumerate((*NAMES, *NAMES[::-1]), 1):
        for text, found in zip(_texts(turn), _read(reader, _texts(turn), names), strict=True):
            assert found == _alone(text, names), (text, names)


def test_a_piece_says_what_it_says_beside_the_marking_of_its_own_listing() -> None:
    reader, names = _reader(), ("Tolvane", "Breeze")
    markings = (MARKING, "225/45R17 94Y XL", "205/55R16 94V XL", "", MARKING)
    for turn, marking in enumerate((*markings, *markings), 1):
        for text, found in zip(_texts(turn), _read(reader, _texts(turn), names, marking), strict=True):
            assert found == _alone(text, names, marking), (text, marking)


def test_a_piece_that_was_met_is_not_cut_into_words_again(monkeypatch: pytest.MonkeyPatch) -> None:
    reader, cut = _reader(), list[str]()
    words = Vocabulary.cut_in_words
    monkeypatch.setattr(
        Vocabulary, "cut_in_words", lambda own, texts: cut.extend(texts.to_pylist()) or words(own, texts)
    )
    again = []
    for turn in (1, 1, 2):
        _read(reader, _texts(turn), ("Tolvane", "Breeze"))
        again, cut = [one for one in cut if len(one) > len(MARKING)], list[str]()  # the others are cells
    # What quotes a size may be this tire's or another's, and what is longer than a mark reaches is not kept.
    assert {one.strip()[:10] for one in again} <= {"The 225/45", "Size 205/5", "Fit it for"}


def test_a_piece_whose_place_is_held_has_another_one() -> None:
    known = KnownPieces()
    marks = np.array([1 << 60, (1 << 60) + 1, 3 << 60, (1 << 60) + 2, (1 << 60) + 3], np.uint64)
    known.keep(marks[:3], np.array([5, 6, 7]))  # at once the last one of a place stays
    assert known.of(np.append(marks[:3], np.uint64(0))).tolist() == [-1, 6, 7, -1]
    known.keep(marks[3:4], np.array([8]))
    assert known.of(marks).tolist() == [-1, 6, 7, 8, -1]
    known.keep(marks[4:], np.array([9]))  # both are held
    assert known.of(marks).tolist() == [-1, -1, 7, 8, 9]
    known.keep(marks[3:4], np.array([4]))  # once more, where it is
    assert known.of(marks).tolist() == [-1, -1, 7, 4, 9]
    known.clear()
    assert known.of(marks).tolist() == [-1] * 5
