"""Whole columns that fail the same way: one finding for the column instead of one per listing."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from auditor.engine.feed_run import FeedRun
from auditor.rulebook.rule import Rule

LEAST_READABLE = 20
LEAST_SHARE = 0.8
# A column that is swapped, shifted or mislabeled; other causes are many single mistakes.
_COLUMN_CAUSES = {
    "unit-swapped": "as if the column held the other unit",
    "single-dual-swapped": "as if single and dual were exchanged",
    "column-shifted": "as if it held another column's values",
    "decimal-slip": "as if the decimal mark were lost or moved",
    "per-pair": "as if it held the load of a pair of tires",
    "index-not-load": "as if it held the load index itself",
    "converted-badly": "as if it were converted by a rough factor",
    "neighboring-row": "as if every value came from the next row of the table",
    "digits-transposed": "as if two digits were exchanged throughout",
    "digit-missing": "as if a digit were cut off throughout",
    "digit-added": "as if a digit were added throughout",
}


@dataclass(frozen=True, slots=True)
class SuspectColumn:
    """A column that fails the same way in nearly every listing."""

    source: int
    column: str
    field: str
    cause: str
    failing: int
    readable: int

    @property
    def share(self) -> float:
        return min(1.0, self.failing / self.readable)

    @property
    def detail(self) -> str:
        how = _COLUMN_CAUSES[self.cause]
        return f"{self.failing:,} of {self.readable:,} readable values, {how}"


def suspect_columns(run: FeedRun) -> list[SuspectColumn]:
    """The columns of a feed that deserve one finding as a whole."""
    totals: Counter[tuple[int, str, str]] = Counter()
    for (source, field, _, cause), count in run.cells.items():
        if cause in _COLUMN_CAUSES:
            totals[(source, field, cause)] += count
    found = []
    for (source, field, cause), failing in sorted(totals.items()):
        readable = run.filled.get(field, 0)
        if readable >= LEAST_READABLE and failing >= LEAST_SHARE * readable:
            column = run.plan.sources[source].header
            found.append(SuspectColumn(source, column, field, cause, failing, readable))
    return found


class ColumnFolder:
    """Takes the findings of suspect columns out of a feed's stream and puts one finding in their place."""

    def __init__(self, rule: Rule, suspects: list[SuspectColumn]) -> None:
        self.rule = rule
        self._open = {(s.column, s.field, s.cause): s for s in suspects}
        self._waiting = dict(self._open)

    def fold(self, table: pa.Table) -> pa.Table:
        """The table without the folded findings; the first of each column becomes the column's finding."""
        for key, suspect in self._open.items():
            column, field, cause = key
            mine = pc.and_(
                pc.and_(pc.equal(table["column"], column), pc.equal(table["field"], field)),
                pc.equal(table["likely_cause"], cause),
            )
            positions = np.flatnonzero(mine.to_numpy(zero_copy_only=False) if hasattr(mine, "to_numpy") else mine)
            if len(positions) == 0:
                continue
            keep = np.ones(table.num_rows, dtype=np.bool_)
            keep[positions] = False
            first = None
            if key in self._waiting:
                del self._waiting[key]
                first = self._finding(table.slice(int(positions[0]), 1), suspect)
            table = table.filter(pa.array(keep))
            if first is not None:
                table = pa.concat_tables([table, first]).sort_by(
                    [("record", "ascending"), ("order", "ascending"), ("field", "ascending")]
                )
        return table

    def _finding(self, row: pa.Table, suspect: SuspectColumn) -> pa.Table:
        message = (
            self.rule.says.replace("{detail}", suspect.detail)
            .replace("{field}", suspect.field)
            .replace("{column}", suspect.column)
            .replace("{stated}", str(row["stated"][0].as_py()))
        )
        values: dict[str, Any] = {
            "sku": "",
            "part_number": "",
            "gtin": "",
            "rule": self.rule.id,
            "grade": self.rule.grade,
            "suggestion": "",
            "evidence": f"{suspect.failing} findings of this column are folded under this one",
            "message": message,
        }
        for name, value in values.items():
            row = row.set_column(row.schema.get_field_index(name), name, pa.array([value], row.schema.field(name).type))
        order = row.schema.get_field_index("order")
        return row.set_column(order, "order", pa.array([self.rule.order], row.schema.field("order").type))
