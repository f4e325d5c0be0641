"""What a feed repeats, added up piece by piece, and the findings that wait until the whole of it is known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import pyarrow as pa

from auditor.across.habits import Habit
from auditor.engine.filled_cells import FilledCells
from auditor.engine.table_files import whole_records
from auditor.engine.unit_parts import FeedParts
from auditor.engine.unit_work import PieceCounts

MOST_SUPPLIERS = 2_000  # of one feed whose columns are judged by themselves; memory must not grow with their number


@dataclass(slots=True)
class Seen:
    """Findings of one habit with one cause and ratio."""

    count: int = 0
    worst: int = 9  # place in GRADES
    deviation: float = float("nan")  # the largest

    def take(self, count: int, worst: int, deviation: float) -> None:
        """Adds some more of them."""
        self.count += count
        self.worst = min(self.worst, worst)
        if self.deviation != self.deviation or abs(deviation) > abs(self.deviation):
            self.deviation = deviation


@dataclass(slots=True)
class FeedHabits:
    """The habits of a feed, and where its waiting findings lie."""

    parts: FeedParts
    seen: dict[tuple[Habit, int, int], Seen] = field(default_factory=dict)  # habit, cause, ratio in steps
    readable_as: dict[tuple[int, str, int], str] = field(default_factory=dict)
    cells: FilledCells = field(default_factory=FilledCells)  # once the feed is whole
    all_cells: Counter[tuple[int, str]] = field(default_factory=Counter)
    shifts: list[Any] = field(default_factory=list)
    waiting: int = 0  # findings that are not worded
    waited: set[Habit] = field(default_factory=set)  # their habits
    _counted: Counter[tuple[str, int, str]] = field(default_factory=Counter)  # supplier, source, field: filled cells
    _suppliers: set[str] = field(default_factory=set)
    _habits: dict[Habit, Habit] = field(default_factory=dict)

    def take(self, piece: PieceCounts) -> None:
        """Adds what a piece shows."""
        self.shifts += piece.shifts
        self.readable_as.update(piece.readable_as)
        for key, count in piece.filled:
            supplier, source, name = key
            self.all_cells[source, name] += count
            if supplier in self._suppliers or len(self._suppliers) < MOST_SUPPLIERS:
                self._suppliers.add(supplier)
                self._counted[key] += count
        for one in piece.habits:
            if one.habit.supplier in self._suppliers:
                habit = self._habits.setdefault(one.habit, one.habit)  # has hundreds of ratios, each piece its own copy
                seen = self.seen.setdefault((habit, one.cause, one.ratio), Seen())
                seen.take(one.findings, one.worst, one.deviation)
        self.waiting += piece.waiting
        self.waited |= piece.waited

    def finish(self) -> None:
        """Lets go of what nobody will ask for: how often columns without a habit are filled with what is read there."""
        habits = {(habit.source, habit.field, habit.rule) for habit, _, _ in self.seen}
        self.readable_as = {key: name for key, name in self.readable_as.items() if key in habits}
        named = {(source, name) for (source, _, _), name in self.readable_as.items()}
        self.all_cells = Counter({key: count for key, count in self.all_cells.items() if key in named})
        self.cells = FilledCells({key: count for key, count in self._counted.items() if not key[2] or key[1:] in named})
        self._counted = Counter()
        self._suppliers = set()
        self._habits = {}

    @property
    def late(self) -> Path:
        """Where findings lie that waited in vain and were worded late."""
        return self.parts.of_feed("late")

    def spooled(self, name: Literal["waiting", "samples"]) -> Iterator[pa.Table]:
        """The findings of one kind by record, in parts that never end within a record."""
        yield from whole_records(self.parts.tables(name))
