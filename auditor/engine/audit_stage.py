"""The first stage of a run: every unit of every feed audited by some worker, and the feeds put together in order.

Units are handed out as they are planned, those of the next feed before the last ones of a feed are done; what comes
back is taken in by feed and unit, so that nothing depends on who is quicker.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Protocol

from auditor.across.facts import KeysNeeded
from auditor.engine.feed_run import FeedRun, FeedTaker
from auditor.engine.joined_units import MOST_RECORDS, RECORDS_TOGETHER, joined_by
from auditor.engine.known_feeds import KnownFeeds, shown_name
from auditor.engine.record_estimate import estimate_records
from auditor.engine.unit_work import Advanced, Event, FeedTask, UnitDone, UnitJob, UnitLost
from auditor.errors import FeedError, OutputError
from auditor.feeds.model import Feed, WorkUnit
from auditor.judging.block.feed_plan import FeedPlan, plan_feed

_MOST_HELD = 512  # jobs that wait for others like them
_MOST_UNDER_WAY = 1024  # feeds, until the one that waited longest for others like it is audited without them
Perform = Callable[[Iterable[UnitJob]], Iterator[Event]]


class Comparison(Protocol):
    """What takes the facts that listings are compared by."""

    want: KeysNeeded

    def take(self, feed: int, block: Any) -> None:
        """Takes in those of some records; feeds and records come in order."""

    def forget(self, feed: int) -> None:
        """Forgets those of the feed taken in last."""


@dataclass(slots=True)
class _Under:
    """A feed under way."""

    number: int
    feed: Feed
    taker: FeedTaker | None = None
    units: deque[WorkUnit] = field(default_factory=deque)  # handed out and not yet taken in
    handed_out: int = 0
    taken: int = 0
    planned: bool = False  # whether all its units are known
    failure: Exception | None = None  # why it is lost, where that was found when it was planned
    begun: bool = False


def _one_of(jobs: Sequence[UnitJob]) -> UnitJob:
    return replace(jobs[0], others=tuple(jobs[1:]))


class AuditStage:
    """Hands out the units of feeds, and takes in what becomes of them."""

    def __init__(
        self,
        known: KnownFeeds,
        folder: Path,
        across: Comparison | None,
        plan: Callable[[Feed], FeedPlan] = plan_feed,
        *,
        finer: int = 0,
        joins: bool = False,
    ) -> None:
        """`plan` says what is read of a feed; `finer` parts units further, into some so many records each.

        `joins` has small feeds audited together.
        """
        self._known, self._folder, self._across = known, folder, across
        self._plan, self._finer, self._joins = plan, finer, joins
        self._under: deque[_Under] = deque()  # in order; the first is the one that is taken in
        self._ended: dict[tuple[int, int], UnitDone | UnitLost] = {}  # that wait to be taken in
        self._advanced: dict[int, list[int]] = defaultdict(lambda: [0, 0])  # of feeds that have not begun
        self._lost: set[int] = set()  # no more units of them are handed out
        self.runs: list[FeedRun] = []

    def run(self, perform: Perform) -> list[FeedRun]:
        """Audits all feeds; those that cannot be are lost, and told of in their order."""
        for event in perform(self._jobs_together()):
            if isinstance(event, Advanced):
                self._advance(event)
                continue
            for ended in (event, *event.others):
                self._end(ended)
            self._take_in()
        self._take_in()
        return self.runs

    def _end(self, ended: UnitDone | UnitLost) -> None:
        if isinstance(ended, UnitLost):
            if ended.ends_run:
                raise OutputError(ended.reason)
            self._lost.add(ended.key[0])
        if ended.key[0] >= (self._under[0].number if self._under else 0):  # else its feed is lost already
            self._ended[ended.key] = ended

    def _jobs_together(self) -> Iterator[UnitJob]:
        """All jobs, those of small feeds whose columns mean the same in one."""
        waiting: dict[Hashable, list[UnitJob]] = {}
        held = 0
        for job in self._jobs():
            alike = self._alike(job)
            if alike is None:
                yield job
                continue
            together = waiting.setdefault(alike, [])
            together.append(job)
            held += 1
            if sum(one.unit.records or 0 for one in together) > RECORDS_TOGETHER - MOST_RECORDS:
                held -= len(together)
                yield _one_of(waiting.pop(alike))
            elif held >= _MOST_HELD or len(self._under) >= _MOST_UNDER_WAY:
                oldest = len(self._under) >= _MOST_UNDER_WAY
                chosen = next(iter(waiting)) if oldest else max(waiting, key=lambda key: len(waiting[key]))
                held -= len(waiting[chosen])
                yield _one_of(waiting.pop(chosen))
        yield from map(_one_of, waiting.values())

    def _alike(self, job: UnitJob) -> Hashable | None:
        """What small feeds have in common that are audited in one block; None for others."""
        try:
            return joined_by(job.task.feed, job.task.plan, job.unit) if self._joins else None
        except Exception:  # it will be lost when it is read
            return None

    def _jobs(self) -> Iterator[UnitJob]:
        for number, feed in self._known.feeds():
            under = _Under(number, feed)
            self._under.append(under)
            if len(self._under) == 1:
                self._begin(under)
            try:
                yield from self._jobs_of(under)
            except Exception as error:
                under.failure = error
            under.planned = True
            self._take_in()

    def _jobs_of(self, under: _Under) -> Iterator[UnitJob]:
        across = self._across
        want = None if across is None else across.want
        task = FeedTask(under.number, under.feed, self._plan(under.feed), want)
        under.taker = FeedTaker(task, self._folder, None if across is None else across.take)
        for unit in under.feed.units():
            for part in under.feed.finer(unit, self._finer) if self._finer else (unit,):
                if under.number in self._lost:
                    return
                under.units.append(part)
                under.handed_out += 1
                yield UnitJob(task, under.handed_out - 1, part)

    def _begin(self, under: _Under) -> None:
        """Tells that a feed is the one being taken in now."""
        under.begun = True
        progress = self._known.progress
        try:
            progress.stage(f"auditing {shown_name(under.feed)}", *estimate_records(under.feed))
        except Exception as error:
            under.failure = under.failure or error
        records, findings = self._advanced.pop(under.number, (0, 0))
        if records:
            progress.advance(records, findings)

    def _advance(self, event: Advanced) -> None:
        number = event.key[0]
        if self._under and self._under[0].number == number:
            self._known.progress.advance(event.records, event.findings)
        elif number > (self._under[0].number if self._under else -1):
            self._advanced[number][0] += event.records
            self._advanced[number][1] += event.findings

    def _take_in(self) -> None:
        """Takes in what is next in order, as far as it is there."""
        while self._under:
            under = self._under[0]
            if not under.begun:
                self._begin(under)
            try:
                if not self._taken_in(under):
                    return
            except Exception as error:
                self._lose(under, error)
            self._under.popleft()

    def _taken_in(self, under: _Under) -> bool:
        """Whether a feed is whole."""
        while under.units:
            ended = self._ended.pop((under.number, under.taken), None)
            if ended is None:
                return False
            if isinstance(ended, UnitLost):
                raise FeedError(ended.reason)
            assert under.taker is not None
            under.taker.take(under.units.popleft(), ended)
            under.taken += 1
        if under.failure is not None:
            raise under.failure
        if not under.planned:
            return False
        assert under.taker is not None
        run = under.taker.finish()
        self._known.check_unchanged(under.feed)
        self.runs.append(run)
        return True

    def _lose(self, under: _Under, error: Exception) -> None:
        self._lost.add(under.number)
        self._known.lose_opened(under.number, self._known.why(under.feed, error))
        if self._across is not None:
            self._across.forget(under.number)
