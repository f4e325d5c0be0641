"""One feed put together from the parts of its units: its grades and counts kept, its findings in record order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from sys import intern
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.across.offers import OfferCounts
from auditor.engine.feed_habits import FeedHabits
from auditor.engine.rule_counts import RuleCounts
from auditor.engine.table_files import whole_records
from auditor.engine.unit_parts import FeedParts
from auditor.engine.unit_work import FeedTask, UnitDone
from auditor.engine.worst_cells import first_cells
from auditor.feeds.accounts import check_count
from auditor.feeds.model import Feed, Rejected, WorkUnit
from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.block.hits import NO_GRADE
from auditor.mapping.shared_parts import shared


@dataclass(slots=True)
class FeedRun:
    """What is known of a feed once all its records are audited."""

    number: int
    feed: Feed
    plan: FeedPlan
    parts: FeedParts
    habits: FeedHabits
    worst: npt.NDArray[np.int8] = field(default_factory=lambda: np.zeros(0, dtype=np.int8))
    could_not_tell: RuleCounts = field(default_factory=RuleCounts)
    also: Counter[str] = field(default_factory=Counter)  # own rule -> findings of others on whose cell it fails too
    suppliers: Counter[tuple[str, int]] = field(default_factory=Counter)  # supplier, worst grade
    holding: npt.NDArray[np.int8] | None = None  # worst grades without what decisions accept, where there are any
    let_through: Counter[str] = field(default_factory=Counter)  # supplier -> listings that decisions release
    rejected: int = 0
    furniture: int = 0
    findings: int = 0
    offers: OfferCounts | None = None  # what became of its substitutes
    _sha256: str = ""

    def sha256(self) -> str:
        """SHA-256 of the file as sent; read once, however often it is asked for."""
        if not self._sha256:
            self._sha256 = self.feed.sha256()
        return self._sha256

    @property
    def records(self) -> int:
        return len(self.worst)

    def cells_kept(self) -> Iterator[pa.Table]:
        """The raw cells of the worst few records, in record order."""
        yield from first_cells(self.parts.tables("cells"))

    def rejected_records(self) -> Iterator[Rejected]:
        """The rejected records, in order."""
        if self.rejected:
            yield from self.parts.objects("rejected")


class FeedTaker:
    """Puts a feed together as its units come in, in their order."""

    def __init__(self, task: FeedTask, folder: Path, take_facts: Callable[[int, Any], None] | None) -> None:
        """`take_facts` gets what listings are compared by."""
        parts = FeedParts(folder, task.number)
        self.run = FeedRun(task.number, task.feed, task.plan, parts, FeedHabits(parts))
        self._take_facts = take_facts
        self._worst = bytearray()  # one byte per record is all that grows with the feed
        self._breaks = self._read = 0
        self._could_not_tell: Counter[str] = Counter()

    def take(self, unit: WorkUnit, done: UnitDone) -> None:
        """Takes in the next unit."""
        run = self.run
        part = run.parts.add(done.kinds, done.within)
        missing = unit.first_record - 1 - len(self._worst)  # records at the end of the unit before that no block holds
        self._worst += bytes([NO_GRADE]) * missing
        for piece, facts in run.parts.objects("pieces", [part]):
            self._worst += piece.worst.tobytes()
            self._breaks += piece.breaks
            self._read += piece.read
            run.rejected += piece.rejected
            run.furniture += piece.furniture
            run.findings += piece.findings
            self._could_not_tell.update(piece.could_not_tell)
            run.also.update({intern(rule): count for rule, count in piece.also.items()})
            run.habits.take(piece)
            for supplier, worst, count in piece.suppliers:
                run.suppliers[shared((supplier, worst))] += count
            if self._take_facts is not None and facts is not None:
                self._take_facts(run.number, facts)
        run.parts.remove("pieces", part)

    def finish(self) -> FeedRun:
        """The feed as a whole.  Raises FeedError where not all of its records came in."""
        run = self.run
        run.worst = np.frombuffer(self._worst, dtype=np.int8)
        run.could_not_tell = RuleCounts({intern(rule): count for rule, count in self._could_not_tell.items()})
        run.habits.finish()
        check_count(self._read, run.feed.counted_records(self._breaks))
        check_count(self._read, run.records)  # a record that no block holds would count as one without a finding
        return run


def spooled_findings(run: FeedRun) -> Iterator[pa.Table]:
    """The feed's findings in record order, some thousand at a time; those of one record are never parted."""
    yield from whole_records(run.parts.tables("findings"))
