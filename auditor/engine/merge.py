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

from auditor.across.repeated import RepeatedMistakes
from auditor.engine.across_findings import RecordCursor
from auditor.engine.feed_run import FeedRun, spooled_findings
from auditor.engine.folded_file import WAITING, FoldedSink
from auditor.engine.folding import ColumnFolder
from auditor.engine.late_findings import late_findings
from auditor.engine.shift_groups import ShiftFolder
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import COLUMNS, GRADES

_STEP, _FROM, _TO = 0.05, -0.6, 1.5  # wide enough for pounds written as kilograms, and back
_FEW = 500  # findings that are counted one by one: to have Arrow group costs as much as a thousand of them
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
    unverified: int = 0  # listings with a load or speed that nothing in them verifies
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
        of_feed = self.feed_grades.setdefault(feed, Counter())
        # Together: in many small feeds, grouping costs more than what is counted.
        for (rule, grade, cause, name, supplier), count in _counted(
            table, ("rule", "grade", "likely_cause", "field", "supplier")
        ):
            self.by_rule[rule] += count
            self.by_grade[grade] += count
            of_feed[grade] += count
            self.by_cause[cause] += count
            self.by_field[name] += count
            self.by_supplier[supplier, grade] += count
            self.by_rule_supplier[rule, supplier] += count
        index = table.filter(pc.is_in(table["rule"], self.counted_in["index-confusions"]))
        for confused, count in _counted(index, ("stated", "derived")) if index.num_rows else ():
            self.confusions[confused] += count
        self.take_folded(table)

    def take_folded(self, table: pa.Table) -> None:
        """Counts how far loads are off, of findings that stand for themselves or are folded under another one."""
        of_loads = pc.is_in(table["rule"], self.counted_in["load-deviation"])
        values = table["deviation"].filter(pc.and_(of_loads, pc.is_valid(table["deviation"]))).to_numpy()
        if len(values):
            positions = np.clip(np.floor((values - _FROM) / _STEP), 0, len(self.deviations) - 1).astype(np.int64)
            self.deviations += np.bincount(positions, minlength=len(self.deviations))

    def take_unverified(self, *tables: pa.Table) -> None:
        """Counts the listings among the findings of some records of which something cannot be verified, each once."""
        rules = self.counted_in.get("unverified", pa.array([], pa.string()))
        records = [table["record"].filter(pc.is_in(table["rule"], rules)).to_numpy() for table in tables]
        records.append(np.zeros(0, dtype=np.int64))
        self.unverified += len(np.unique(np.concatenate(records)))

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


def _counted(table: pa.Table, names: tuple[str, ...]) -> Iterator[tuple[tuple[Any, ...], int]]:
    """For how many findings each of the values of some columns stands."""
    if table.num_rows < _FEW:
        found: Counter[tuple[Any, ...]] = Counter()
        columns = [table[name].to_pylist() for name in names]
        for one, count in zip(zip(*columns, strict=True), table["stands_for"].to_pylist(), strict=True):
            found[one] += count
        return iter(found.items())
    counted = table.select([*names, "stands_for"]).group_by(list(names)).aggregate([("stands_for", "sum")])
    values = zip(*(counted[name].to_pylist() for name in names), strict=True)
    return zip(values, counted["stands_for_sum"].to_pylist(), strict=True)


@dataclass(frozen=True, slots=True)
class Folders:
    """What of a feed is folded: whole columns, and runs of shifted rows."""

    columns: ColumnFolder
    shifts: ShiftFolder


@dataclass(frozen=True, slots=True)
class Sinks:
    """Where a feed's findings are counted, beside the file that they are written to."""

    tally: Tally
    repeated: RepeatedMistakes
    folded: FoldedSink


def merged_findings(
    run: FeedRun, across_findings: Iterator[pa.Table], folders: Folders | None, sinks: Sinks
) -> Iterator[pa.Table]:
    """The final findings of one feed, in order, with the columns of the finding record.

    `across_findings` are those across listings of the feed, by record, in parts that never end within a record.
    """
    habits = run.habits
    of_habits = (habits.spooled("samples"), habits.spooled("waiting"))
    own, late, samples, waiting, across = cursors = [
        RecordCursor(tables) for tables in (spooled_findings(run), late_findings(run), *of_habits, across_findings)
    ]
    # As far as every stream has read: none of them is ever held as a whole, however few the others are.
    while (ends := [cursor.end for cursor in cursors if cursor.end is not None]) != []:
        upto = min(ends) + 1
        mine = [*own.before(upto), *late.before(upto)]
        worded, waited = [*samples.before(upto)], [*waiting.before(upto)]
        sinks.tally.take_unverified(*mine, *waited)
        columns: list[pa.Table] = []
        if folders is not None:
            mine, columns = _fold(run, mine, (worded, waited), folders.columns, sinks)
            mine, shifted = _fold(run, mine, ([], []), folders.shifts, sinks)
            columns += shifted
        parts = [_with_internals(part) for part in across.before(upto)]
        yield from _settled(run, (mine, parts, columns), sinks)


def _fold(
    run: FeedRun,
    mine: list[pa.Table],
    folded: tuple[list[pa.Table], list[pa.Table]],
    folder: ColumnFolder | ShiftFolder,
    sinks: Sinks,
) -> tuple[list[pa.Table], list[pa.Table]]:
    """(findings of some records that stand for themselves, findings of columns that begin in these records).

    `folded` are the findings that waited: the worded first ones of them, and all.
    """
    worded, gone = folded
    kept, in_order = [], True
    for part in mine:
        in_column = folder.places(part) >= 0
        kept.append(part.filter(pa.array(~in_column)) if in_column.any() else part)
        if in_column.any():
            worded.append(part.filter(pa.array(in_column)))
            gone.append(worded[-1])
            in_order = len(gone) == 1  # those that waited come by record, and so does a part by itself
    columns = list(folder.findings(pa.concat_tables(worded).sort_by(_ORDER))) if worded else []
    if gone:
        together = pa.concat_tables([part.select(WAITING) for part in gone])
        together = together if in_order else together.sort_by(_ORDER)
        places = folder.places(together)
        if (places < 0).any():
            together, places = together.filter(pa.array(places >= 0)), places[places >= 0]
        keys = pa.DictionaryArray.from_arrays(pa.array(places, pa.int32()), pa.array(folder.keys, pa.string()))
        sinks.folded.append(run, together, keys, whole_rows=isinstance(folder, ShiftFolder))
        sinks.tally.take_folded(together)
    return kept, columns


def _settled(
    run: FeedRun,
    found: tuple[list[pa.Table], list[pa.Table], list[pa.Table]],
    sinks: Sinks,
) -> Iterator[pa.Table]:
    """Findings of some records put in order, one per cell, and counted; `found` are own, across, of columns."""
    mine, parts, columns = found
    # What other listings hold stands beside what is said of a listing by itself, and never in its place.
    together = [part for part in (*mine, *map(one_per_cell, parts)) if part.num_rows]
    if not together and not columns:
        return
    if len(together) == 1:
        table = together[0]
    elif together:
        schema = together[0].schema
        table = pa.concat_tables([part.select(schema.names).cast(schema) for part in together])
        table = table.sort_by(_ORDER)
    else:
        table = columns[0].drop_columns(["stands_for"]).slice(0, 0)
    table = table.append_column("stands_for", pa.repeat(pa.scalar(1, pa.int64()), table.num_rows))
    if columns:
        names = table.schema.names
        table = pa.concat_tables([table, *(column.select(names).cast(table.schema) for column in columns)])
        table = table.sort_by(_ORDER)
    sinks.tally.take(run.number, table)
    sinks.repeated.take(table)
    yield _finished(run, table)


def _with_internals(table: pa.Table) -> pa.Table:
    """A finding across listings, which belongs to no column of its own and has no direction."""
    count = table.num_rows
    table = table.append_column("source", pa.repeat(pa.scalar(-1, pa.int16()), count))
    table = table.append_column("direction", pa.repeat(pa.scalar(0, pa.int8()), count))
    return table.append_column("reason", pa.repeat(pa.scalar("", pa.string()), count))


def one_per_cell(table: pa.Table) -> pa.Table:
    """Keeps one finding per record, field and cell: the highest grade, then the first in rule order."""
    # Two columns may state one field ("XL" in a load range column beside the load version): they are two cells.  So
    # are two lines of a file of pairs, which say different things.
    fields, columns = (_numbered(table, names) for names in (("field",), ("column", "stated")))
    key = (table["record"].to_numpy() * 256 + fields) * (columns.max(initial=0) + 1) + columns
    rank = pc.index_in(table["grade"], value_set=pa.array(list(GRADES))).to_numpy()
    order = table["order"].to_numpy()
    sequence = np.lexsort((order, rank, key))
    sorted_keys = key[sequence]
    first = np.concatenate([[True], sorted_keys[1:] != sorted_keys[:-1]]) if len(sequence) else sequence
    kept = np.sort(sequence[np.flatnonzero(first)])
    return table.take(pa.array(kept)).sort_by(_ORDER)


def _numbered(table: pa.Table, names: tuple[str, ...]) -> npt.NDArray[np.int64]:
    """A number for each distinct text of some columns together."""
    texts = [table[name].combine_chunks() for name in names]
    joined = texts[0] if len(texts) == 1 else pc.binary_join_element_wise(*texts, "\x1f")
    found: npt.NDArray[np.int64] = joined.dictionary_encode().indices.to_numpy().astype(np.int64)
    return found


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
