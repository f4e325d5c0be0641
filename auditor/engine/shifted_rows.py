"""Rows whose cells stand one column away from where they belong, found by putting them back.

A cell too many or too few moves all that follows; where the row keeps its width, no reader sees it.  A row with cells
that cannot be read is tried with its cells moved back from every column on, one in which numbers alone moved from about
the first column that shows it: where that leaves next to nothing wrong, the row is shifted.  Each row is judged by
itself, so that where blocks end changes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property, lru_cache
from itertools import combinations
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.engine.shifted_numbers import suspects
from auditor.engine.unit_audit import UnitAuditor, UnitResult
from auditor.feeds.model import Block
from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.block.statements import BlockStatements
from auditor.judging.statements import cell_fields
from auditor.marking.store import read_row
from auditor.quantities.cell_values import UNREADABLE, parse_cell
from auditor.trade.tables import Tables

_LEAST_UNREADABLE = 1  # cells of a row, before it is looked at
_LEAST_FINDINGS = 2  # that moving the cells back takes away
_LEFT_WRONG = 1  # findings that may remain in a row that is put back
_MOST_TRIED = 8  # starts that fit equally well and are tried
_MARKINGS = ("marking", "size")


class Shift(NamedTuple):
    """A row whose cells from one column on stand a column to the right (1) or to the left (-1)."""

    record: int
    direction: int
    column: str


@lru_cache(maxsize=20_000)
def _misfits(text: str, field: str, unit: str | None, decimal: str | None, tables: Tables) -> bool:
    """Whether a text cannot stand in a column of this field."""
    if not text.strip():
        return False
    if field in _MARKINGS:
        return bool(read_row(text.strip(), tables).words.reason)
    if field not in cell_fields():
        return False
    return parse_cell(text, field, tables, unit=unit, decimal=decimal).status == UNREADABLE


def shifted_rows(
    auditor: UnitAuditor, plan: FeedPlan, st: BlockStatements, block: Block, result: UnitResult
) -> list[Shift]:
    """The shifted rows of a block."""
    before = _findings_by_record(result, block.records)
    several = before >= _LEAST_FINDINGS
    if not several.any():
        return []
    count = np.zeros(len(block.records), dtype=np.int64)
    for source in st.sources:
        count += st.unreadable(source)
    rows = np.flatnonzero(several & (count >= _LEAST_UNREADABLE))
    found = _Trial(auditor, plan, block, rows).shifts(before[rows]) if len(rows) else []
    others = np.flatnonzero(several & ~np.isin(block.records, [shift.record for shift in found]))
    if len(others):
        found += _Trial(auditor, plan, block, others).shifts_of_numbers(st, before)
    return sorted(found)


def _findings_by_record(result: UnitResult, records: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    found = np.zeros(len(records), dtype=np.int64)
    for table in (result.findings, result.waiting):
        if table is not None:
            found += np.bincount(np.searchsorted(records, table["record"].to_numpy()), minlength=len(records))
    return found


class _Trial:
    """Some suspicious rows of a block, put back in every way that a shift could have moved them."""

    def __init__(self, auditor: UnitAuditor, plan: FeedPlan, block: Block, rows: npt.NDArray[np.int64]) -> None:
        self.auditor, self.plan, self.block, self.rows = auditor, plan, block, rows
        read = [source for source in plan.sources if plan.uses[source.position].position >= 0]
        self.order = sorted(range(len(read)), key=lambda place: plan.uses[read[place].position].position)
        self.uses = [plan.uses[read[place].position] for place in self.order]
        self.fields = [read[place].field for place in self.order]
        take = pa.array(rows)
        columns = [block.columns[place].take(take).cast(pa.string()).fill_null("") for place in self.order]
        self.columns = columns

    @cached_property
    def cells(self) -> list[list[str]]:
        """The texts of the rows by column."""
        return [column.to_pylist() for column in self.columns]

    def shifts(self, before: npt.NDArray[np.int64]) -> list[Shift]:
        """The rows that moving their cells back puts right."""
        own = self._misfit_table(0)
        found: dict[int, tuple[int, Shift]] = {}  # findings that are left, how it is shifted
        for direction in (1, -1):
            moved = self._misfit_table(direction)
            # Wrong cells left when those from each column on are moved back, and the others stay.
            left = np.cumsum(own, axis=0) - own + np.cumsum(moved[::-1], axis=0)[::-1]
            best = left.min(axis=0)
            hopeful = (best <= _LEFT_WRONG) & (own.sum(axis=0) - best >= _LEAST_UNREADABLE)
            for start in range(len(self.fields) - 1, -1, -1):  # what fits anywhere is best left where it stands
                mine = np.flatnonzero(hopeful & (left[start] == best))
                if len(mine) and (left[start + 1 :, mine] == best[mine]).sum(axis=0).min() < _MOST_TRIED:
                    for row, wrong in self._put_right(mine, (start, None), direction, before):
                        if row not in found or wrong < found[row][0]:
                            record = int(self.block.records[self.rows[row]])
                            found[row] = wrong, Shift(record, direction, self.uses[start].column)
        return [found[row][1] for row in sorted(found)]

    def shifts_of_numbers(self, st: BlockStatements, before: npt.NDArray[np.int64]) -> list[Shift]:
        """The rows that moving back some numbers puts right, from about the first that moved to about the last.

        `before` are the findings of all rows of the block.
        """
        seen = suspects(st, self.rows, self.fields, self.columns)
        if not len(seen.rows):
            return []
        trial = _Trial(self.auditor, self.plan, self.block, seen.rows)
        found: dict[int, tuple[int, Shift]] = {}
        for direction in (1, -1):
            for start, end in combinations(range(len(self.fields)), 2):
                near = (abs(seen.first - start) <= 1) & ((abs(seen.last - end) <= 1) | (end == len(self.fields) - 1))
                mine = np.flatnonzero((seen.directions == direction) & near)
                if len(mine):
                    for row, wrong in trial._put_right(mine, (start, end), direction, before[seen.rows]):
                        if row not in found or wrong < found[row][0]:
                            record = int(self.block.records[seen.rows[row]])
                            found[row] = wrong, Shift(record, direction, self.uses[start].column)
        return [found[row][1] for row in sorted(found)]

    def _source_of(self, place: int, direction: int) -> int | None:
        """Where the cell that belongs to a column stands, where that column was read."""
        other = place + direction
        if not 0 <= other < len(self.uses):
            return None
        beside = self.uses[other].position == self.uses[place].position + direction
        return other if beside else None

    def _misfit_table(self, direction: int) -> npt.NDArray[np.int64]:
        """By column and row, whether the cell that a shift would have moved away from there misfits it."""
        tables = self.auditor.book.tables
        table = np.zeros((len(self.fields), len(self.rows)), dtype=np.int64)
        for place, (field, use) in enumerate(zip(self.fields, self.uses, strict=True)):
            source = self._source_of(place, direction) if direction else place
            if source is not None:
                table[place] = [_misfits(text, field, use.unit, use.decimal, tables) for text in self.cells[source]]
        return table

    def _put_right(
        self, mine: npt.NDArray[np.int64], span: tuple[int, int | None], direction: int, before: npt.NDArray[np.int64]
    ) -> list[tuple[int, int]]:
        """The rows in which next to nothing is wrong when their cells are moved back, and how much that is.

        `span` are the first and the last place that moved, None for all to the end; what moved out of it is lost.
        """
        start, end = span
        columns: list[Any] = [None] * len(self.order)
        for place in range(len(self.order)):
            source: int | None = place
            if start <= place and (end is None or place <= end):
                source = self._source_of(place, direction)
                if end is not None and source is not None and not start <= source <= end:
                    source = None
            texts: Sequence[str] = [""] * len(self.rows) if source is None else self.cells[source]
            columns[self.order[place]] = pa.array([texts[row] for row in mine.tolist()], pa.string())
        records = self.block.records[self.rows[mine]]
        result = self.auditor.audit(self.plan, Block(self.block.unit, columns, records))
        after = _findings_by_record(result, records)
        right = (after <= _LEFT_WRONG) & (before[mine] - after >= _LEAST_FINDINGS)
        return list(zip(mine[right].tolist(), after[right].tolist(), strict=True))
