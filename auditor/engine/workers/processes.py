"""Units audited in processes of their own, so that every core is used whatever is Python in the work.

A worker that dies costs its units a new try by another one; a unit with which three have died is lost.  This process is
never forked: who calls the auditor has threads of their own in it.  The first worker is a fresh interpreter, which
audits some records and then makes copies of itself, so that what these teach is learned once and is held in memory
once; those that replace dead ones are fresh interpreters, and so are those that get what was tried before.
"""

from __future__ import annotations

import contextlib
import threading
from collections import Counter, deque
from collections.abc import Iterable, Iterator
from itertools import chain
from pathlib import Path
from queue import Empty, SimpleQueue
from types import TracebackType
from typing import Any

from auditor.engine.pieces import BESIDE_OTHERS
from auditor.engine.process_memory import trim_memory
from auditor.engine.unit_work import MOST_DEATHS, Advanced, Event, UnitJob, UnitLost, UnitWork
from auditor.engine.workers.messages import Hello, Ready, receive, send
from auditor.engine.workers.started import Copy, Process, ended, processor_ticks, started, started_with_copies
from auditor.engine.workers.stretches import Stretches
from auditor.engine.workers.threads import in_threads
from auditor.rulebook.book import RuleBook
from auditor.version import __version__

_IN_HAND = 2  # jobs that a worker has: it begins the next one without having to ask
_LOOK_S = 10.0  # without a word from anyone, before it is looked whether all still work
_STILL_LOOKS = 6  # without any processor time, of what is a copy or may be making one
_STILL_LOOKS_ALONE = 60  # of others: a disk far away may be slow
_UNITS_TAKEN_IN = 16  # before this process gives back what it needed for them, a few MiB each
_MOST_IDLE_DEATHS = 6  # of workers that were at nothing, or never began


class _Worker:
    """One process, and the thread here that listens to it."""

    def __init__(self, process: Process, hello: Hello, told: SimpleQueue[tuple[_Worker, Any]]) -> None:
        self.ready = False
        self.jobs: deque[UnitJob] = deque()  # the first of them is the one that it is at
        self.last: UnitJob | None = None  # that it was given
        self.process = process
        self._spent: tuple[int | None, int] = (-1, 0)  # processor time as last looked at, and how often it was the same
        self._thread = threading.Thread(target=self._listen, args=(hello, told), daemon=True, name="worker")
        self._thread.start()

    @property
    def is_copy(self) -> bool:
        """Whether another one has made it."""
        return isinstance(self.process, Copy)

    def give(self, job: UnitJob) -> None:
        """Sends a job."""
        self.jobs.append(job)
        self.last = job
        assert self.process.stdin is not None
        with contextlib.suppress(OSError):  # it is gone, which its thread will tell
            send(self.process.stdin, job)

    def looks_still(self) -> int:
        """How often in a row, with this time, it was looked at and had taken no processor time."""
        spent = processor_ticks(self.process)
        self._spent = spent, self._spent[1] + 1 if spent is not None and spent == self._spent[0] else 0
        return self._spent[1]

    def _listen(self, hello: Hello, told: SimpleQueue[tuple[_Worker, Any]]) -> None:
        pipes = self.process
        assert pipes.stdin is not None and pipes.stdout is not None
        try:
            if not isinstance(pipes, Copy):
                send(pipes.stdin, hello)
            while True:
                event = receive(pipes.stdout)
                if isinstance(pipes, Copy) and isinstance(event, Ready):
                    pipes.born(event.process)
                told.put((self, event))
        except (OSError, EOFError, ValueError):
            told.put((self, None))


class Processes:
    """The worker processes of a run."""

    def __init__(self, book: RuleBook, folder: Path, workers: int, records: int = BESIDE_OTHERS) -> None:
        """`folder` is the run's work folder; each worker audits so many `records` at once."""
        self._hello = Hello(__version__, book, folder, records)
        self._wanted = workers
        self._told: SimpleQueue[tuple[_Worker, Any]] = SimpleQueue()
        self._workers: list[_Worker] = []
        self._again: deque[UnitJob] = deque()  # of workers that died
        self._deaths: Counter[tuple[int, int]] = Counter()
        self._idle_deaths = 0

    def __enter__(self) -> Processes:
        self._begin()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.end()

    def end(self) -> None:
        """Ends all processes at once."""
        for worker in self._workers:
            worker.process.kill()
        for worker in self._workers:
            ended(worker.process)
        self._workers.clear()

    def perform(self, jobs: Iterable[UnitJob]) -> Iterator[Event]:
        """Has jobs done, and passes on what is told of them, in any order."""
        waiting = Stretches(iter(jobs), self._wanted)
        taken_in = 0
        while True:
            left = self._hand_out(waiting)
            if not self._workers:  # they cannot be started here
                yield from self._without(waiting.rest())
                return
            if not left and not self._again and not any(worker.jobs for worker in self._workers):
                return
            worker, event = self._next_told()
            if event is None or (isinstance(event, Ready) and event.rules != self._hello.book.sha256):
                yield from self._died(worker)
            elif isinstance(event, Ready):
                worker.ready = True
            else:
                if not isinstance(event, Advanced):
                    worker.jobs.popleft()
                    taken_in += 1
                    if taken_in % _UNITS_TAKEN_IN == 0:
                        trim_memory()
                yield event

    def _next_told(self) -> tuple[_Worker, Any]:
        while True:
            try:
                return self._told.get(timeout=_LOOK_S)
            except Empty:
                # What a library holds while a process is copied may keep the copy waiting forever, or the process.
                unborn = any(worker.is_copy and not worker.ready for worker in self._workers)
                for worker in self._workers:
                    most = _STILL_LOOKS if worker.is_copy or unborn else _STILL_LOOKS_ALONE
                    if worker.looks_still() >= most and worker.jobs:
                        worker.process.kill()

    def _begin(self) -> None:
        process, copies = started_with_copies("audit_units", self._wanted - 1)
        every: list[Process] = [process, *copies]
        self._workers += [_Worker(one, self._hello, self._told) for one in every]
        self._start()

    def _start(self) -> None:
        while len(self._workers) < self._wanted and self._idle_deaths < _MOST_IDLE_DEATHS:
            self._workers.append(_Worker(started("audit_units"), self._hello, self._told))

    def _hand_out(self, waiting: Stretches) -> bool:
        """Gives each worker a job before any gets another one; whether there may be more."""
        fresh = any(not worker.is_copy for worker in self._workers)
        learning = any(not worker.ready for worker in self._workers if worker.is_copy)
        left = True
        for count in range(1 if learning else _IN_HAND):  # the one that will make copies takes nothing ahead of them
            for worker in self._workers:
                if not worker.ready or len(worker.jobs) != count:
                    continue
                if self._again and not (worker.is_copy and fresh):
                    worker.give(self._again.popleft())
                    continue
                job = waiting.next_after(worker.last) if left else None
                if job is None:
                    left = False  # which keeps nobody from what is to be done again
                else:
                    worker.give(job)
        return left

    def _died(self, worker: _Worker) -> Iterator[Event]:
        """Has the units of a dead worker done by others."""
        if worker not in self._workers:
            return
        self._workers.remove(worker)
        ended(worker.process)
        code = worker.process.returncode
        if worker.jobs:
            job = worker.jobs.popleft()
            self._deaths[job.key] += 1
            if job.others:  # whosever fault it was: each by itself will tell
                self._again.extend(job.alone())
            elif self._deaths[job.key] < MOST_DEATHS:
                self._again.append(job)
            else:
                yield UnitLost(job.key, _why(job, code))
            self._again.extend(worker.jobs)
        elif worker.ready or not worker.is_copy:
            self._idle_deaths += 1
        self._start()

    def _without(self, waiting: Iterator[UnitJob]) -> Iterator[Event]:
        work = UnitWork(self._hello.book, self._hello.folder)
        yield from in_threads(chain(self._again, waiting), work, self._wanted)


def _why(job: UnitJob, code: int | None) -> str:
    unit = job.unit
    records = f"from record {unit.first_record:,} on"
    if unit.records:
        records = f"{unit.first_record:,} to {unit.first_record + unit.records - 1:,}"
        records = f"records {records}"
    how = f"killed by signal {-code}" if code is not None and code < 0 else f"with code {code}"
    return (
        f"cannot be audited: {MOST_DEATHS} workers ended at {records}, the last one {how}; where that was for want of "
        "memory, run with fewer --workers."
    )
