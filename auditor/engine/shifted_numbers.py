"""Rows whose numbers stand one column away from where they belong: every cell can be read, and none is right.

What a marking says about the column beside is held against what a cell states: two cells of a row or more that fit the
column to their left, and none or fewer that fit the one to their right, raise the suspicion that they moved (of loads
that are exchanged each fits the other's column).  `auditor.engine.shifted_rows` puts them back to see.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.judging.block.statements import BlockStatements

_SAME_SHARE = 0.02  # a diameter is stated by other roundings than it is derived
_LEAST_FITTING = 2  # cells of a row that fit the column beside
_NUMBER = r"^[0-9]+(?:\.[0-9]+)?$"
Rows = npt.NDArray[np.int64]
Numbers = npt.NDArray[np.float64]


class Suspects(NamedTuple):
    """Rows of a block, where cells of theirs seem to have moved, and the first and last place that shows it."""

    rows: Rows
    directions: Rows
    first: Rows
    last: Rows


def suspects(st: BlockStatements, rows: Rows, fields: Sequence[str], cells: Sequence[pa.Array]) -> Suspects:
    """The suspicious ones of some rows; `cells` are their texts by column, `fields` what the columns should hold.

    The columns come in the order of the file, those that were not read are left out: next to them nothing is compared.
    """
    part, facts = st.at(rows), st.book.causes["column-shifted"]["facts"]
    numbers = [_numbers(texts) for texts in cells]
    right: Numbers = np.array([part.fact(facts[field]) if field in facts else part.nothing for field in fields])
    fits = np.array([_same(number, own) for number, own in zip(numbers, right, strict=True)])
    moved_right, moved_left = np.zeros_like(fits), np.zeros_like(fits)
    for place in range(1, len(fields)):
        moved_right[place] = _same(numbers[place], right[place - 1]) & ~fits[place]
        moved_left[place - 1] = _same(numbers[place - 1], right[place]) & ~fits[place - 1]
    by_right, by_left = moved_right.sum(axis=0), moved_left.sum(axis=0)
    some = np.flatnonzero((np.maximum(by_right, by_left) >= _LEAST_FITTING) & (by_right != by_left))
    direction = np.where(by_right[some] > by_left[some], 1, -1)
    moved = np.where(direction > 0, moved_right[:, some], moved_left[:, some])
    first = moved.argmax(axis=0)
    last = len(fields) - 1 - moved[::-1].argmax(axis=0)
    return Suspects(rows[some], direction, first, last)


def _numbers(texts: pa.Array) -> Numbers:
    """Plain numbers as they stand, whatever their column should hold; nan for other texts."""
    plain = pc.replace_substring(pc.utf8_trim_whitespace(texts), ",", "")
    known = pc.if_else(pc.match_substring_regex(plain, _NUMBER), plain, pa.scalar(None, pa.string()))
    return np.asarray(pc.cast(known, pa.float64()).to_numpy(zero_copy_only=False), dtype=np.float64)


def _same(a: Numbers, b: Numbers) -> npt.NDArray[np.bool_]:
    with np.errstate(invalid="ignore"):
        same: npt.NDArray[np.bool_] = np.abs(a - b) <= _SAME_SHARE * np.abs(b)
    return same
