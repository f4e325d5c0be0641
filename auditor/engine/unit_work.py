"""One unit of a feed audited start to end, its files written: the work that threads, processes and machines are given.

What the work needs travels with it: the feed (a path and how to read it), what is read of it, the unit.  What comes
back is small: how far it is, which files there are, or why there are none.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.across.facts import KeysNeeded
from auditor.across.habits import Habit, HabitCount
from auditor.engine.furniture import Furniture, furniture_of
from auditor.engine.joined_units import audited_together
from auditor.engine.losses import reason_of
from auditor.engine.pieces import MOST_RECORDS, Audited, Pieces, audited_pieces
from auditor.engine.unit_audit import UnitAuditor
from auditor.engine.unit_parts import WHOLE, Kind, Left, PartWriter, TogetherWriter, Within
from auditor.engine.worst_cells import FirstCells
from auditor.errors import OutputError
from auditor.feeds.model import Block, Feed, WorkUnit
from auditor.judging.block.feed_plan import FeedPlan, planned_blocks
from auditor.judging.block.hits import NO_GRADE
from auditor.rulebook.book import RuleBook

REJECTED_RECORD, FURNITURE_RECORD = 9, 10  # in the array of worst grades
MOST_DEATHS = 3  # of workers with one unit, which is lost then
_FEEDS_KNOWN = 8  # of which it is remembered what their pieces teach


@dataclass(frozen=True, slots=True)
class FeedTask:
    """A feed to audit: its number in the run, and what is read of it."""

    number: int
    feed: Feed
    plan: FeedPlan
    compared_by: KeysNeeded | None = None  # None where no rule looks at more than one listing


@dataclass(frozen=True, slots=True)
class UnitJob:
    """A unit to audit, the `part`-th of its feed."""

    task: FeedTask
    part: int
    unit: WorkUnit
    others: tuple[UnitJob, ...] = ()  # of small feeds that are audited in one block with this one

    def alone(self) -> tuple[UnitJob, ...]:
        """The same jobs, each by itself."""
        return (replace(self, others=()), *self.others)

    @property
    def key(self) -> tuple[int, int]:
        """What tells it from every other job of the run."""
        return self.task.number, self.part


@dataclass(frozen=True, slots=True)
class Advanced:
    """Some more records of a unit are audited."""

    key: tuple[int, int]
    records: int
    findings: int


@dataclass(frozen=True, slots=True)
class UnitDone:
    """A unit is audited, and its files of these kinds are whole."""

    key: tuple[int, int]
    kinds: frozenset[Kind]
    others: tuple[UnitDone | UnitLost, ...] = ()  # what became of the units that were audited with it
    within: Within | None = None  # where in the file of one of them its own stands


@dataclass(frozen=True, slots=True)
class UnitLost:
    """A unit cannot be audited: its feed is lost, or the run where `ends_run`."""

    key: tuple[int, int]
    reason: str
    ends_run: bool = False
    others: tuple[UnitDone | UnitLost, ...] = ()


Event = Advanced | UnitDone | UnitLost


@dataclass(frozen=True, slots=True)
class PieceCounts:
    """What a piece of a unit adds to the counts of its feed."""

    worst: npt.NDArray[np.int8]  # of every record from the end of the piece before on
    read: int
    rejected: int
    furniture: int
    breaks: int
    findings: int
    waiting: int
    waited: frozenset[Habit]
    could_not_tell: dict[str, int]
    also: dict[str, int]
    suppliers: list[tuple[str, int, int]]  # supplier, worst grade, records
    filled: list[tuple[tuple[str, int, str], int]]
    habits: list[HabitCount]
    readable_as: dict[tuple[int, str, int], str]
    shifts: list[Any]


class UnitWork:
    """Audits units of any feed of a run in this process.  Thread-safe."""

    def __init__(self, book: RuleBook, folder: Path, most_records: int = MOST_RECORDS) -> None:
        """`folder` is the run's work folder; at most so many records are audited at once."""
        self.book = book
        self.folder = folder
        self.most_records = most_records
        self.auditor = UnitAuditor(book)
        self._known: OrderedDict[int, tuple[Pieces, Furniture]] = OrderedDict()

    def perform(self, job: UnitJob, stopped: Callable[[], bool] = lambda: False) -> Iterator[Event]:
        """Audits a unit and writes its files, telling how far it is; ends early where it is `stopped`."""
        if job.others:
            yield from self._together(job, stopped)
            return
        try:
            yield from self._performed(job, stopped)
        except Exception as error:
            self.auditor = UnitAuditor(self.book)  # nobody knows what state the caches of the other are in
            try:
                yield UnitLost(job.key, reason_of(job.task.feed.name, error))
            except OutputError as full:
                yield UnitLost(job.key, str(full), ends_run=True)

    def _together(self, job: UnitJob, stopped: Callable[[], bool]) -> Iterator[Event]:
        """Audits units of several feeds in one block; by themselves where that cannot be done."""
        try:
            events, alone = self._joined(job.alone())
        except Exception:  # whosever fault it is: each unit by itself will tell
            self.auditor = UnitAuditor(self.book)
            events, alone = [], list(job.alone())
        ended: list[UnitDone | UnitLost] = []
        for one in chain(events, *(self.perform(one, stopped) for one in alone)):
            if isinstance(one, Advanced):
                yield one
            else:
                ended.append(one)
        if len(ended) == len(job.others) + 1:  # else stopped
            yield replace(ended[0], others=tuple(ended[1:]))

    def _joined(self, jobs: Sequence[UnitJob]) -> tuple[list[Event], list[UnitJob]]:
        """What becomes of units in one block, and those that have to be audited by themselves."""
        blocks: list[Block] = []
        read: list[UnitJob] = []
        alone: list[UnitJob] = []
        for job in jobs:
            feed, plan = job.task.feed, job.task.plan
            try:
                (block,) = planned_blocks(feed, job.unit, plan)
                blocks.append(self._of_feed(job.task)[1].set_aside(block, feed, job.unit))
                read.append(job)
            except Exception:  # it will be lost by itself
                alone.append(job)
        events: list[Event] = []
        if blocks:
            plans = [job.task.plan for job in read]
            parts = audited_together(blocks, plans, self.auditor, read[0].task.compared_by)
            with TogetherWriter(self.folder, *read[0].key) as file:
                for job, audited in zip(read, parts, strict=True):
                    counts, _ = _counts(audited, job.unit.first_record - 1)
                    left = Left()
                    _write(left, audited, counts, FirstCells())
                    done = UnitDone(job.key, WHOLE, within=file.add(left))
                    events += [Advanced(job.key, len(counts.worst), counts.findings), done]
        return events, alone

    def _performed(self, job: UnitJob, stopped: Callable[[], bool]) -> Iterator[Event]:
        task, unit, auditor = job.task, job.unit, self.auditor
        feed, plan = task.feed, task.plan
        pieces, furniture = self._of_feed(task)
        first_cells = FirstCells()
        last = unit.first_record - 1
        with PartWriter(self.folder, task.number, job.part) as files:
            for block in planned_blocks(feed, unit, plan):
                block = furniture.set_aside(block, feed, unit)
                for audited in audited_pieces(block, plan, auditor, task.compared_by, pieces):
                    counts, last = _counts(audited, last)
                    _write(files, audited, counts, first_cells)
                    yield Advanced(job.key, len(counts.worst), counts.findings)
                    if stopped():
                        return
                    del audited, counts  # before the next ones are made
                del block  # before the next one is read
        yield UnitDone(job.key, files.kinds)

    def _of_feed(self, task: FeedTask) -> tuple[Pieces, Furniture]:
        found = self._known.get(task.number)
        if found is None:
            folds = self.book.taker("whole-column") is not None
            found = Pieces(folds, self.most_records), furniture_of(task.feed, task.plan, self.auditor.contract)
            self._known[task.number] = found
            while len(self._known) > _FEEDS_KNOWN:
                self._known.popitem(last=False)
        return found


def _write(files: PartWriter | Left, audited: Audited, counts: PieceCounts, first_cells: FirstCells) -> None:
    result = audited.result
    files.object("pieces", (counts, audited.facts))  # together: to create a file costs more than to write it
    for record in audited.block.rejected:
        if not record.furniture:
            files.object("rejected", record)
    files.table("findings", result.findings)
    files.table("waiting", result.waiting)
    files.table("samples", result.samples)
    files.table("cells", first_cells.of(audited.cells))


def _counts(audited: Audited, last: int) -> tuple[PieceCounts, int]:
    block, result = audited.block, audited.result
    worst, end = _worst_grades(block, audited, last)
    aside = sum(record.furniture for record in block.rejected)
    suppliers = (result.suppliers[name].to_pylist() for name in result.suppliers.column_names)
    counts = PieceCounts(
        worst=worst,
        read=len(block.records) + len(block.rejected),
        rejected=len(block.rejected) - aside,
        furniture=aside,
        breaks=block.breaks,
        findings=audited.findings,
        waiting=0 if result.waiting is None else result.waiting.num_rows,
        waited=result.waited,
        could_not_tell=result.could_not_tell,
        also=result.also,
        suppliers=list(zip(*suppliers, strict=True)),
        filled=list(result.filled.by_supplier()),
        habits=result.habits.counts,
        readable_as=result.habits.readable_as,
        shifts=result.shifts,
    )
    return counts, end


def _worst_grades(block: Block, audited: Audited, last: int) -> tuple[npt.NDArray[np.int8], int]:
    """Worst grade of every record from `last` + 1 to the block's last one; rejected ones are marked."""
    numbers = [int(block.records[-1])] if len(block.records) else []
    numbers += [record.record for record in block.rejected if record.record is not None]
    end = max(numbers, default=last)
    part = np.full(max(end - last, 0), NO_GRADE, dtype=np.int8)
    for record in block.rejected:
        if record.record is not None and record.record > last:
            part[record.record - last - 1] = FURNITURE_RECORD if record.furniture else REJECTED_RECORD
    part[block.records - last - 1] = audited.result.worst
    return part, max(end, last)
