"""Whole columns that fail the same way: one finding for the column instead of one per listing.

Which columns these are is known when a feed is read to its end; what waited till then in vain is worded after all.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyarrow as pa

from auditor.across.habits import LEAST_READABLE, LEAST_SHARE, Habit
from auditor.across.ratios import factor_of, same_ratio
from auditor.engine.feed_habits import Seen
from auditor.engine.feed_run import FeedRun
from auditor.judging.keys import hash_text
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import CAUSES, GRADES
from auditor.wording.whole_columns import holds, how_far

LEAST_REPEATED = 5


@dataclass(frozen=True, slots=True)
class FoldedColumn:
    """A column of one supplier whose cells fail one rule in one direction, nearly all of them."""

    habit: Habit
    rule: str
    column: str
    cause: str
    count: int
    readable: int
    filled: int
    grade: str
    deviation: float | None
    factor: float | None  # of stated to derived, where it is the same throughout

    @property
    def key(self) -> str:
        """The same tomorrow for the same mistake."""
        habit = self.habit
        parts = (habit.supplier.strip(), self.column, habit.field, self.rule, str(habit.direction), self.cause)
        return hash_text("\x1f".join(parts))

    @property
    def share(self) -> float:
        return min(1.0, self.count / self.readable)

    def detail(self, stated: str) -> str:
        """What is likely wrong, as the end of a sentence about the column."""
        far = how_far(self.deviation, self.habit.direction)
        counted = f"{self.count:,} of {self.readable:,} readable values" + (f", {far}" if far else "")
        return f"{holds(self.cause, self.habit.field, self.factor, stated)} ({counted})"


def folded_columns(run: FeedRun, book: RuleBook) -> dict[Habit, FoldedColumn]:
    """The columns of a feed that get one finding as a whole."""
    if book.taker("whole-column") is None:
        return {}
    found = {}
    seen: dict[Habit, dict[tuple[int, int], Seen]] = defaultdict(dict)
    for (habit, cause, ratio), some in run.habits.seen.items():
        if habit.source >= 0:
            seen[habit][cause, ratio] = some
    whole = _in_doubt_as_a_whole(run, seen)
    for habit, parts in seen.items():
        column = _column(run, book, habit, parts)
        enough = column.readable >= LEAST_READABLE or (
            column.count >= LEAST_REPEATED and (habit.source, habit.field, habit.rule, habit.direction) in whole
        )
        if enough and column.count >= LEAST_SHARE * column.readable:
            found[habit] = column
    return dict(sorted(found.items()))


def _in_doubt_as_a_whole(run: FeedRun, seen: Mapping[Habit, Mapping[Any, Seen]]) -> set[tuple[int, str, int, int]]:
    """Habits that nearly all cells of a column share, whoever the suppliers are."""
    totals: Counter[tuple[int, str, int, int]] = Counter()
    for habit, parts in seen.items():
        totals[habit.source, habit.field, habit.rule, habit.direction] += sum(some.count for some in parts.values())
    found = set()
    for key, count in totals.items():
        source, name, rule, _ = key
        readable = run.habits.all_cells[source, run.habits.readable_as[source, name, rule]]
        if readable >= LEAST_READABLE and count >= LEAST_SHARE * readable:
            found.add(key)
    return found


def _column(run: FeedRun, book: RuleBook, habit: Habit, parts: Mapping[tuple[int, int], Seen]) -> FoldedColumn:
    by_cause: Counter[int] = Counter()
    ratios: Counter[int] = Counter()
    total = Seen()
    for (cause, ratio), some in parts.items():
        by_cause[cause] += some.count
        ratios[ratio] += some.count
        total.take(some.count, some.worst, some.deviation)
    cause, most = min(by_cause.items(), key=lambda item: (-item[1], item[0]))
    span = same_ratio(ratios)
    same = span is not None and span.values >= LEAST_SHARE * total.count and most < LEAST_SHARE * total.count
    cells = run.habits.cells
    readable_as = run.habits.readable_as[habit.source, habit.field, habit.rule]
    return FoldedColumn(
        habit,
        next(rule.id for rule in book.rules if rule.order == habit.rule),
        run.plan.sources[habit.source].header,
        "unclear" if same else CAUSES[cause],
        total.count,
        max(cells[habit.supplier, habit.source, readable_as], 1),
        max(cells[habit.supplier, habit.source, ""], 1),
        GRADES[total.worst],
        None if total.deviation != total.deviation else total.deviation,
        factor_of(span) if span is not None and span.values >= LEAST_SHARE * total.count else None,
    )


class ColumnFolder:
    """Takes the findings of folded columns out of a feed's stream and puts one finding in their place."""

    def __init__(self, folded: Mapping[Habit, FoldedColumn], book: RuleBook) -> None:
        rule = book.taker("whole-column")
        assert rule is not None
        self.rule = rule
        self.folded = folded
        self.keys = [column.key for column in folded.values()]
        self.examples: dict[Habit, list[dict[str, Any]]] = {habit: [] for habit in folded}
        self._places = {habit: place for place, habit in enumerate(folded)}
        self._by_kind: dict[tuple[int, str, int, int], dict[str, int]] = defaultdict(dict)
        for habit, place in self._places.items():
            kind = (habit.source, habit.field, habit.rule, habit.direction)
            self._by_kind[kind][habit.supplier] = place

    def places(self, table: pa.Table) -> Any:
        """For each finding the place of its column among the folded ones, -1 for those that are not folded."""
        places = np.full(table.num_rows, -1, dtype=np.int64)
        if table.num_rows == 0:
            return places
        source, order, direction = (table[name].to_numpy() for name in ("source", "order", "direction"))
        fields = table["field"].combine_chunks().dictionary_encode()
        names = fields.dictionary.to_pylist()
        for (column, field, rule, way), suppliers in self._by_kind.items():
            if field not in names:
                continue
            mine = (source == column) & (order == rule) & (direction == way)
            mine &= fields.indices.to_numpy() == names.index(field)
            rows = np.flatnonzero(mine)
            if len(rows):
                listed = table["supplier"].take(pa.array(rows)).combine_chunks().dictionary_encode()
                known = np.array([suppliers.get(name, -1) for name in listed.dictionary.to_pylist()])
                places[rows] = known[listed.indices.to_numpy()]
        return places

    def findings(self, worded: pa.Table) -> Iterator[pa.Table]:
        """The findings of the columns that begin in these folded findings, which come by record."""
        listed = list(self.folded)
        places = self.places(worded)
        for place in np.unique(places[places >= 0]).tolist():
            habit = listed[place]
            missing = 3 - len(self.examples[habit])
            rows = np.flatnonzero(places == place)[:missing]
            if missing == 3:
                yield self._finding(worded.slice(int(rows[0]), 1), self.folded[habit])
            self.examples[habit] += worded.take(pa.array(rows)).to_pylist()

    def _finding(self, row: pa.Table, column: FoldedColumn) -> pa.Table:
        stated = str(row["stated"][0].as_py())
        values: dict[str, Any] = {
            "sku": "",
            "part_number": "",
            "gtin": "",
            "key": column.key,
            "rule": self.rule.id,
            "grade": column.grade,
            "deviation": column.deviation,
            "likely_cause": column.cause,
            "suggestion": "",
            "evidence": f"{column.count} findings of this column by {column.rule} are folded under this one",
            "message": self.message(column, stated),
            "order": self.rule.order,
            "direction": column.habit.direction,
        }
        for name, value in values.items():
            row = row.set_column(row.schema.get_field_index(name), name, pa.array([value], row.schema.field(name).type))
        return row.append_column("stands_for", pa.array([column.count], pa.int64()))

    def message(self, column: FoldedColumn, stated: str) -> str:
        """The sentence of a column's finding."""
        return (
            self.rule.says.replace("{detail}", column.detail(stated))
            .replace("{field}", column.habit.field)
            .replace("{column}", column.column)
            .replace("{stated}", stated)
        )
