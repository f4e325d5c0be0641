"""What texts quote of cells is read once a cell, and as the reader of one listing has it."""

from __future__ import annotations

import pyarrow as pa
import pytest

from auditor.claims.batch import quotes
from auditor.claims.batch.quoted_cells import are_filled
from auditor.claims.batch.quotes import Quotes
from auditor.claims.batch.vocabulary import Vocabulary
from auditor.claims.own_cells import is_filled
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.terms.own import Quoted, quoted

CELLS = (
    "225/65R17 102H",
    "LT245/75R16 120/116S E",
    "8.15-15 (225/75-15)",
    "102H",
    "",
    "n/a",
    "unknown",
    " - ",
    "anvelopa",
)


def _told(vocabulary: Vocabulary, found: tuple[object, ...], place: int) -> Quoted:
    return Quoted(*(vocabulary.text(int(kind[place])) if kind[place] >= 0 else "" for kind in found[:4]))  # type: ignore[index]


def test_cells_quote_what_one_listing_has() -> None:
    made = Quotes(Vocabulary(lexicon_of()))
    for cells in (CELLS, CELLS[::-1], ("205/55R16 91V", *CELLS)):
        found = made.of(pa.array(cells, pa.string()))
        for place, cell in enumerate(cells):
            assert bool(found[4][place]) == is_filled(cell), cell
            expected = quoted(cell) if is_filled(cell) else Quoted()
            assert _told(made.vocabulary, found, place) == expected, cell


def test_a_cell_is_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[int] = []
    reader = quotes._read
    monkeypatch.setattr(quotes, "_read", lambda words, cells: read.append(len(cells)) or reader(words, cells))
    made = Quotes(Vocabulary(lexicon_of()))
    for _ in range(3):
        made.of(pa.array(CELLS, pa.string()))
    assert read == [len(CELLS)]


def test_what_is_kept_is_bounded() -> None:
    made = Quotes(Vocabulary(lexicon_of()), most=50)
    for start in range(0, 400, 40):
        cells = [f"{205 + number}/65R17 102H" for number in range(start, start + 40)]
        found = made.of(pa.array(cells, pa.string()))
        assert len(made) <= 50
        assert [_told(made.vocabulary, found, place).size for place in (0, 39)] == [
            cells[0].split()[0],
            cells[39].split()[0],
        ]


def test_filled_cells_are_those_of_one_listing() -> None:
    cells = [*CELLS, "UNKNOWN", "Unknown!", "TBD", "0", "  none  ", "ＮＡ"]
    assert are_filled(pa.array(cells, pa.string())).tolist() == [is_filled(cell) for cell in cells]
