"""Units audited in this process: in the thread that asks, or in a few threads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from queue import SimpleQueue
from threading import Event as Flag

from auditor.engine.unit_work import Advanced, Event, UnitJob, UnitWork


def in_this_thread(jobs: Iterable[UnitJob], work: UnitWork) -> Iterator[Event]:
    """One unit after the other."""
    for job in jobs:
        yield from work.perform(job)


def in_threads(jobs: Iterable[UnitJob], work: UnitWork, workers: int) -> Iterator[Event]:
    """As many units at once as there are workers; what they tell comes in any order."""
    waiting = iter(jobs)
    told: SimpleQueue[Event | BaseException] = SimpleQueue()
    stop = Flag()
    pool = ThreadPoolExecutor(workers, thread_name_prefix="audit")
    under_way = 0
    try:
        while True:
            while under_way <= workers and (job := next(waiting, None)) is not None:  # one more, so that none idles
                pool.submit(_perform, job, work, told, stop)
                under_way += 1
            if not under_way:
                return
            event = told.get()
            if isinstance(event, BaseException):
                raise event
            under_way -= not isinstance(event, Advanced)
            yield event
    finally:
        stop.set()
        pool.shutdown(wait=False, cancel_futures=True)


def _perform(job: UnitJob, work: UnitWork, told: SimpleQueue[Event | BaseException], stop: Flag) -> None:
    try:
        for event in work.perform(job, stop.is_set):
            told.put(event)
    except BaseException as error:
        told.put(error)
