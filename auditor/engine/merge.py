"""Brings all findings into their final order, one per cell, and counts them for the summary."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.engine.across_findings import RecordCursor
from auditor.engine.feed_run import FeedRun, spooled_findings
from auditor.engine.suspect_columns import ColumnFolder, suspect_columns
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import COLUMNS, GRADES

_STEP, _FROM, _TO = 0.05, -0.6, 1.5  # wide enough for pounds written as kilograms, and back
_ORDER = [("record", "ascending"), ("order", "ascending"), ("field", "ascending")]


@dataclass(slots=True)
class Tally:
    """Counts over all findings."""

    counted_in: dict[str, pa.Array]  # figure -> the rules whose findings it counts
    by_rule: Counter[str] = field(default_factory=Counter)
    by_grade: Counter[str] = field(default_factory=Counter)
    by_cause: Counter[str] = field(default_factory=Counter)
    by_field: Counter[str] = field(default_factory=Counter)
    by_supplier: Counter[tuple[str, str]] = field(default_factory=Counter)  # supplier, grade
    by_rule_supplier: Counter[tuple[str, str]] = field(default_factory=Counter)
    feed_grades: dict[int, Counter[str]] = field(default_factory=dict)
    confusions: Counter[tuple[str, str]] = field(default_factory=Counter)
    deviations: npt.NDArray[np.int64] = field(
        default_factory=lambda: np.zeros(round((_TO - _FROM) / _STEP), dtype=np.int64)
    )

    @classmethod
    def of(cls, book: RuleBook) -> Tally:
        """Counts by the rules of a book."""
        figures = {figure for rule in book.rules for figure in rule.counted_in} | {"index-confusions", "load-deviation"}
        return cls(
            {name: pa.array([r.id for r in book.rules if name in r.counted_in], pa.string()) for name in figures}
        )

    def take(self, feed: int, table: pa.Table) -> None:
        """Counts a part of a feed's final findings."""
        for name, counter in (
            ("rule", self.by_rule),
            ("grade", self.by_grade),
            ("likely_cause", self.by_cause),
            ("field", self.by_field),
        ):
            _add(counter, table, (name,))
        _add(self.feed_grades.setdefault(feed, Counter()), table, ("grade",))
        _add(self.by_supplier, table, ("supplier", "grade"))
        _add(self.by_rule_supplier, table, ("rule", "supplier"))
        index = table.filter(pc.is_in(table["rule"], self.counted_in["index-confusions"]))
        if index.num_rows:
            _add(self.confusions, index, ("stated", "derived"))
        of_loads = pc.is_in(table["rule"], self.counted_in["load-deviation"])
        loads = table.filter(pc.and_(of_loads, pc.is_valid(table["deviation"])))
        values = loads["deviation"].to_numpy()
        if len(values):
            positions = np.clip(np.floor((values - _FROM) / _STEP), 0, len(self.deviations) - 1).astype(np.int64)
            np.add.at(self.deviations, positions, 1)

    def histogram(self) -> list[dict[str, Any]]:
        """Steps of 5 % of stated against derived loads."""
        return [
            {
                "from": round(_FROM + _STEP * position, 2),
                "to": round(_FROM + _STEP * (position + 1), 2),
                "count": int(count),
            }
            for position, count in enumerate(self.deviations)
        ]


def _add(counter: Counter[Any], table: pa.Table, names: tuple[str, ...]) -> None:
    counted = table.select(list(names)).group_by(list(names)).aggregate([([], "count_all")])
    keys = [counted[name].to_pylist() for name in names]
    for key, count in zip(zip(*keys, strict=True), counted["count_all"].to_pylist(), strict=True):
        counter[key[0] if len(names) == 1 else key] += count


def merged_findings(
    run: FeedRun, across_findings: Iterator[pa.Table], book: RuleBook, tally: Tally
) -> Iterator[pa.Table]:
    """The final findings of one feed, in order, with the columns of the finding record.

    `extras` are the findings across listings of the feed, by record, in parts that never end within a record.
    """
    rule = book.taker("whole-column")
    suspects = suspect_columns(run) if rule is not None else []
    folder = ColumnFolder(rule, suspects) if rule is not None and suspects else None
    for table in _merged(run, across_findings):
        if folder is not None:
            table = folder.fold(table)
        if table.num_rows:
            tally.take(run.number, table)
            yield _finished(run, table)


def _merged(run: FeedRun, across_findings: Iterator[pa.Table]) -> Iterator[pa.Table]:
    """Spooled findings and findings across listings, merged by record.

    What other listings hold stands beside what is said of a listing by itself, and never in its place.
    """
    upto = RecordCursor(across_findings)
    for table in spooled_findings(run):
        records = table["record"]
        yield from map(one_per_cell, upto.before(records[0].as_py()))
        among = [part.cast(table.schema) for part in upto.before(records[-1].as_py() + 1)]
        yield pa.concat_tables([table, *map(one_per_cell, among)]).sort_by(_ORDER) if among else table
    yield from map(one_per_cell, upto.rest())


def one_per_cell(table: pa.Table) -> pa.Table:
    """Keeps one finding per record, field and column: the highest grade, then the first in rule order."""
    # Two columns may state one field ("XL" in a load range column beside the load version): they are two cells.
    fields, columns = (
        table[name].combine_chunks().dictionary_encode().indices.to_numpy().astype(np.int64)
        for name in ("field", "column")
    )
    key = (table["record"].to_numpy() * 256 + fields) * (columns.max(initial=0) + 1) + columns
    rank = pc.index_in(table["grade"], value_set=pa.array(list(GRADES))).to_numpy()
    order = table["order"].to_numpy()
    sequence = np.lexsort((order, rank, key))
    sorted_keys = key[sequence]
    first = np.concatenate([[True], sorted_keys[1:] != sorted_keys[:-1]]) if len(sequence) else sequence
    kept = np.sort(sequence[np.flatnonzero(first)])
    return table.take(pa.array(kept)).sort_by(_ORDER)


def _finished(run: FeedRun, table: pa.Table) -> pa.Table:
    count = table.num_rows
    table = table.append_column("feed", pa.repeat(pa.scalar(run.feed.name, pa.string()), count))
    table = table.append_column("sheet", pa.repeat(pa.scalar(run.feed.sheet, pa.string()), count))
    return table.select([name for name, _ in COLUMNS])


def count_in_worst_grades(run: FeedRun, extra: pa.Table) -> None:
    """Lets findings across listings count in the worst grade of their records and in the suppliers' counts."""
    rank = pc.index_in(extra["grade"], value_set=pa.array(list(GRADES))).to_numpy().astype(np.int8)
    records = extra["record"].to_numpy()
    before = run.worst[records - 1].copy()
    np.minimum.at(run.worst, records - 1, rank)
    after = run.worst[records - 1]
    _, firsts = np.unique(records, return_index=True)
    moved = firsts[before[firsts] != after[firsts]]
    suppliers = extra["supplier"].take(pa.array(moved)).to_pylist()
    for supplier, old, new in zip(suppliers, before[moved].tolist(), after[moved].tolist(), strict=True):
        run.suppliers[(supplier, old)] -= 1
        run.suppliers[(supplier, new)] += 1
