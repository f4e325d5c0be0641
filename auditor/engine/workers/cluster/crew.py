"""The units of a run audited by the workers of a Dask cluster.

Each unit is a task of its own; what comes back is a manifest, and the files that it names are brought to the run's work
folder, where they lie as if a process of this machine had left them.  A worker that dies costs its units a new try by
another one, and so does one that stands still; a unit with which three have died is lost.
"""

from __future__ import annotations

import hashlib
import pickle
import secrets
import time
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from queue import Empty, SimpleQueue

from distributed import Client, Future
from distributed.scheduler import KilledWorker

from auditor.across.bucket_judge import BucketJudge, Judged
from auditor.engine.feed_run import FeedRun
from auditor.engine.losses import reason_of
from auditor.engine.unit_work import MOST_DEATHS, Advanced, Event, UnitDone, UnitJob, UnitLost
from auditor.engine.workers.cluster.buckets import BucketTasks, ReadFeed
from auditor.engine.workers.cluster.identity import libraries
from auditor.engine.workers.cluster.members import Members, Tell
from auditor.engine.workers.cluster.orders import Failed, Manifest, Order, Outcome, Standard
from auditor.engine.workers.cluster.parts import Parts, at_path, path_of, with_absolute_paths
from auditor.engine.workers.cluster.place import Place
from auditor.engine.workers.cluster.tasks import audit_units
from auditor.errors import OutputError, UsageError
from auditor.feeds.model import Feed
from auditor.rulebook.book import RuleBook
from auditor.version import __version__

_IN_HAND = 4  # orders for each thread of a worker: it begins the next one without having to ask
_MOST_TRIES = 3  # of a unit that fails otherwise than by a death
_MOST_AT_ONE = 4  # workers that are given the same unit, where one after the other stands still
_LOOK_S = 0.5  # between two looks at what does not tell by itself
_STILL_S = 30.0  # nothing came for so long, and for four times as long as any unit took: somebody stands still
_RESULT_S = 20.0  # how long a finished task's answer may take


@dataclass(slots=True, eq=False)
class _Out:
    """An order that is out."""

    job: UnitJob
    names: tuple[str, ...]
    died: int = 0  # workers, when it was audited together with others
    futures: list[Future] = field(default_factory=list)
    failures: int = 0
    avoid: set[str] = field(default_factory=set)


class ClusterCrew:
    """The workers of a cluster, for one run."""

    def __init__(self, client: Client, address: str, place: Place, book: RuleBook, tell: Tell) -> None:
        """`address` is the scheduler's, as it was given.  Raises OutputError where the place cannot be written."""
        self._client, self._place, self._tell = client, place, tell
        content = pickle.dumps(book)
        name = f"book-{hashlib.sha256(content).hexdigest()[:32]}"
        try:
            place.make()
            place.put_bytes(name, content)
        except OSError as error:
            raise OutputError(
                f"{place.address} cannot be written ({(error.strerror or str(error)).lower()}); name another folder "
                "for the parts of the run."
            ) from error
        session = secrets.token_hex(8)
        self._standard = Standard(session, __version__, libraries(), book.sha256, place.address, name)
        self.members = Members(client, address, self._standard, tell)
        self._told: SimpleQueue[Future] = SimpleQueue()
        self._out: dict[tuple[int, int], _Out] = {}  # by the key of the first unit
        self._by_task: dict[str, _Out] = {}
        self._again: deque[_Out] = deque()
        self._attempts = self._taken_over = 0
        self._longest_s = 0.0
        self._last = time.monotonic()  # when something came

    def begin(self, feeds: Sequence[Feed], folder: Path) -> None:
        """Looks whether workers can work for the run with this work folder.  Raises UsageError where none can."""
        self.parts = Parts(self._place, folder, self._standard.rules)
        try:
            self.members.look(feeds)
        except UsageError:
            if self._place.names("") == [self._standard.book]:
                self._place.remove("")
            raise

    @property
    def shared(self) -> Path | None:
        """The place of parts, where it is a folder that all reach."""
        return self._place.path_of("")

    def judged(
        self, runs: Sequence[FeedRun], judge: BucketJudge, asked: Sequence[tuple[int, int]]
    ) -> Iterator[Judged | None]:
        """Has buckets of listings compared; see `BucketTasks.judged`."""
        root = self.shared
        assert root is not None
        tasks = BucketTasks(self._client, self.members, self._standard, root)
        feeds = [ReadFeed(run.number, self._as_seen(run), run.plan) for run in runs]
        try:
            yield from tasks.judged(judge, asked, feeds)
        finally:
            tasks.end()

    def _as_seen(self, run: FeedRun) -> Feed:
        """A feed as workers find it."""
        name = "" if self.members.see(run.feed) else self.parts.delivered(run)
        return at_path(run.feed, (name and self._place.path_of(name)) or path_of(run.feed))

    def end(self) -> None:
        """Takes back what is still out."""
        futures = [future for out in self._out.values() for future in out.futures]
        if futures and self._client.status == "running":
            self._client.cancel(futures)

    def perform(self, jobs: Iterable[UnitJob]) -> Iterator[Event]:
        """Has jobs done, and passes on what is told of them, in any order.

        Raises OutputError where the scheduler or all workers are gone; what is done then stays where the parts are.
        """
        waiting = iter(jobs)
        self._last = time.monotonic()
        while True:
            yield from self._hand_out(waiting)
            if not self._out:
                return
            try:
                future = self._told.get(timeout=_LOOK_S)
            except Empty:
                self.members.check_there()
                self._help_out()
                continue
            out = self._by_task.pop(future.key, None)
            if out is not None and self._out.get(out.job.key) is out:  # else another worker was quicker
                self._last = time.monotonic()
                yield from self._taken(out, future)

    def _hand_out(self, waiting: Iterator[UnitJob]) -> Iterator[Event]:
        """Gives out as many orders as are wanted; tells at once of units that are done already."""
        while len(self._out) < max(2, _IN_HAND * self.members.threads):
            if self._again:
                self._submit(self._again.popleft())
                continue
            job = next(waiting, None)
            if job is None:
                return
            left: list[UnitJob] = []
            for one in job.alone():
                manifest = self.parts.found(one)
                if manifest is None:
                    left.append(one)
                else:
                    self._say_taken_over()
                    yield from _done(one, manifest)
            if left:
                self._submit(self._ordered(replace(left[0], others=tuple(left[1:]))))

    def _ordered(self, job: UnitJob, died: int = 0) -> _Out:
        return _Out(job, tuple(self.parts.name_of(one) for one in job.alone()), died)

    def _submit(self, out: _Out) -> None:
        jobs = out.job.alone()
        fetched = tuple("" if self.members.see(one.task.feed) else self.parts.delivered(one.task) for one in jobs)
        here = [with_absolute_paths(one) for one in jobs]
        job = replace(here[0], others=tuple(here[1:]))
        self._attempts += 1
        future = self._client.submit(
            audit_units,
            pickle.dumps(Order(self._standard, job, out.names, fetched, out.died)),
            key=f"audit-{self._standard.session}-{out.job.task.number}-{out.job.part}-{self._attempts}",
            workers=self.members.but(out.avoid),
            retries=0,
            pure=False,
        )
        out.futures.append(future)
        self._out[out.job.key] = self._by_task[future.key] = out
        future.add_done_callback(self._told.put)

    def _taken(self, out: _Out, future: Future) -> Iterator[Event]:
        """What came of an order."""
        try:
            outcome: Outcome = future.result(timeout=_RESULT_S)
        except (KilledWorker, TimeoutError):  # the unit's own marks tell how many workers died of it
            self._repeat(out)
            return
        except Exception as error:
            self.members.check_there()
            if out.job.others:
                self._apart(out)
            elif self._failed(out, ""):
                self._end(out)
                yield UnitLost(out.job.key, reason_of(out.job.task.feed.name, error))
            return
        self._longest_s = max(self._longest_s, outcome.seconds)
        if outcome.unfit:
            self.members.leave_out(outcome.worker, outcome.unfit)
            self._repeat(out)
        elif outcome.apart:
            self._apart(out, outcome.deaths)
        elif outcome.deaths:
            self._end(out)
            yield UnitLost(out.job.key, _why_lost(out.job))
        else:
            yield from self._audited(out, outcome)

    def _audited(self, out: _Out, outcome: Outcome) -> Iterator[Event]:
        failed: list[tuple[UnitJob, Failed]] = []
        for one, unit in zip(out.job.alone(), outcome.units, strict=True):
            if isinstance(unit, Failed):
                failed.append((one, unit))
            elif self.parts.brought(one, unit):
                yield from _done(one, unit)
            else:
                failed.append((one, Failed("is not where its worker put it; look at the folder of parts.")))
        if not failed:
            self._end(out)
        elif out.job.others:
            self._end(out)
            self._again.extend(self._ordered(one) for one, _ in failed)
        elif self._failed(out, outcome.worker):
            ((_, why),) = failed
            self._end(out)
            yield UnitLost(out.job.key, why.reason, why.no_room)

    def _failed(self, out: _Out, worker: str) -> bool:
        """Whether a unit failed for good; else it is given out once more, to another worker where there is one."""
        out.failures += 1
        if out.failures >= _MOST_TRIES or (worker and not self.members.others(out.avoid | {worker})):
            return True
        out.avoid.add(worker)
        self._repeat(out)
        return False

    def _repeat(self, out: _Out) -> None:
        self._end(out)
        out.futures.clear()
        self._again.append(out)

    def _apart(self, out: _Out, died: int = 0) -> None:
        self._end(out)
        self._again.extend(self._ordered(one, died) for one in out.job.alone())

    def _end(self, out: _Out) -> None:
        """An order is no longer out: what others still do of it is taken back."""
        del self._out[out.job.key]
        late = [future for future in out.futures if self._by_task.pop(future.key, None) is not None]
        if late:
            self._client.cancel(late)

    def _help_out(self) -> None:
        """Where nothing has come for long and a worker has nothing to do, it is given what others are at too.

        Who is first counts.
        """
        if time.monotonic() - self._last < max(_STILL_S, 4 * self._longest_s):
            return
        self._last = time.monotonic()
        busy = self.members.busy()
        if not self.members.others(busy):
            return
        for out in list(self._out.values()):
            if len(out.futures) < _MOST_AT_ONE:
                keys = {future.key for future in out.futures}
                out.avoid |= {worker for worker, tasks in busy.items() if not keys.isdisjoint(tasks)}
                self._submit(out)

    def _say_taken_over(self) -> None:
        if not self._taken_over:
            self._tell(
                "taken over", f"Goes on from parts that are in {self._place.address}.", place=self._place.address
            )
        self._taken_over += 1


def _done(job: UnitJob, manifest: Manifest) -> Iterator[Event]:
    yield Advanced(job.key, manifest.records, manifest.findings)
    yield UnitDone(job.key, frozenset(manifest.files))


def _why_lost(job: UnitJob) -> str:
    first, records = job.unit.first_record, job.unit.records
    where = f"records {first:,} to {first + records - 1:,}" if records else f"from record {first:,} on"
    return (
        f"cannot be audited: {MOST_DEATHS} workers of the cluster ended at {where}; where that was for want of memory, "
        "give the workers more of it."
    )
