"""What a feed repeats, added up block by block, and the findings that wait until the whole of it is known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pyarrow as pa

from auditor.across.habits import Habit, HabitsSoFar
from auditor.engine.table_files import read_tables, whole_records

if TYPE_CHECKING:
    from auditor.engine.unit_audit import UnitResult

MOST_SUPPLIERS = 2_000  # of one feed whose columns are judged by themselves; memory must not grow with their number
_SPOOLED_ROWS = 1 << 15


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

    folder: Path
    number: int
    folds: bool
    so_far: HabitsSoFar = field(default_factory=HabitsSoFar)
    seen: dict[tuple[Habit, int, int], Seen] = field(default_factory=dict)  # habit, cause, ratio in steps
    readable_as: dict[tuple[int, str, int], str] = field(default_factory=dict)
    cells: Counter[tuple[str, int, str]] = field(default_factory=Counter)  # supplier, source, field: filled cells
    all_cells: Counter[tuple[int, str]] = field(default_factory=Counter)
    shifts: list[Any] = field(default_factory=list)
    waiting: int = 0  # findings that are not worded
    _suppliers: set[str] = field(default_factory=set)
    _writers: dict[str, pa.RecordBatchFileWriter] = field(default_factory=dict)

    def take(self, result: UnitResult) -> None:
        """Adds what a block shows."""
        self.so_far.learn(result.habits)
        self.shifts += result.shifts
        self.readable_as.update(result.habits.readable_as)
        for key, count in result.filled.by_supplier():
            supplier, source, name = key
            self.all_cells[source, name] += count
            if supplier in self._suppliers or len(self._suppliers) < MOST_SUPPLIERS:
                self._suppliers.add(supplier)
                self.cells[key] += count
        for one in result.habits.counts:
            if one.habit.supplier in self._suppliers:
                seen = self.seen.setdefault((one.habit, one.cause, one.ratio), Seen())
                seen.take(one.findings, one.worst, one.deviation)
        for name, table in (("waiting", result.waiting), ("samples", result.samples)):
            if table is not None:
                if name not in self._writers:
                    self._writers[name] = pa.ipc.new_file(str(self.path(name)), table.schema)
                self._writers[name].write_table(table.combine_chunks(), max_chunksize=_SPOOLED_ROWS)
        if result.waiting is not None:
            self.waiting += result.waiting.num_rows

    def close(self) -> None:
        """No more blocks come."""
        for writer in self._writers.values():
            writer.close()

    def path(self, name: str) -> Path:
        """Where findings of one kind lie."""
        return self.folder / f"{name}-{self.number}.arrow"

    def spooled(self, name: str) -> Iterator[pa.Table]:
        """The findings of one kind by record, in parts that never end within a record."""
        if self.path(name).exists():
            yield from whole_records(read_tables(self.path(name)))
