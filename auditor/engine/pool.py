"""Runs units of work in order: in this thread, or in a few threads that are never far ahead of the taker.

Results come back first in, first out, so that outputs do not depend on the number of workers.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from threading import Condition
from typing import Generic, TypeVar

Unit = TypeVar("Unit")
Result = TypeVar("Result")


def usual_workers() -> int:
    """The cores this process may use."""
    try:
        return max(1, len(os.sched_getaffinity(0)))
    except AttributeError:  # not on every system
        return max(1, os.cpu_count() or 1)


def streamed(
    work: Callable[[Unit], Iterable[Result]],
    units: Iterable[Unit],
    workers: int,
    weigh: Callable[[Result], int],
    most: int,
) -> Iterator[Result]:
    """All results of `work(unit)` for every unit, in the order of the units.

    At most `workers` + 1 units are under way or waiting, and a unit whose results that wait to be taken weigh `most`
    rests until they are, so that memory stays flat however slow the taker is.
    """
    if workers <= 1:
        for unit in units:
            yield from work(unit)
        return
    pool = ThreadPoolExecutor(workers, thread_name_prefix="audit")
    waiting: deque[_Channel[Result]] = deque()
    try:
        for unit in units:
            channel: _Channel[Result] = _Channel(weigh, most)
            waiting.append(channel)
            pool.submit(_fill, channel, work, unit)
            if len(waiting) > workers:
                yield from waiting[0].results()
                waiting.popleft()
        while waiting:
            yield from waiting[0].results()
            waiting.popleft()
    finally:
        for channel in waiting:
            channel.abandon()
        pool.shutdown(wait=False, cancel_futures=True)


def _fill(channel: _Channel[Result], work: Callable[[Unit], Iterable[Result]], unit: Unit) -> None:
    try:
        for result in work(unit):
            if not channel.put(result):
                return
            del result  # before the next one is made
        channel.end(None)
    except BaseException as error:
        channel.end(error)


class _Channel(Generic[Result]):
    """The results of one unit on their way from the thread that makes them to the one that takes them."""

    def __init__(self, weigh: Callable[[Result], int], most: int) -> None:
        self._weigh = weigh
        self._most = most
        self._results: deque[Result] = deque()
        self._weight = 0
        self._ended = False
        self._abandoned = False
        self._error: BaseException | None = None
        self._changed = Condition()

    def put(self, result: Result) -> bool:
        """Adds a result, once there is room; False where nobody will take it."""
        with self._changed:
            self._changed.wait_for(lambda: self._weight < self._most or self._abandoned)
            self._results.append(result)
            self._weight += self._weigh(result)
            self._changed.notify_all()
            return not self._abandoned

    def end(self, error: BaseException | None) -> None:
        """No more results come: all are there, or making the next one raised `error`."""
        with self._changed:
            self._ended, self._error = True, error
            self._changed.notify_all()

    def abandon(self) -> None:
        """No more results will be taken."""
        with self._changed:
            self._abandoned = True
            self._changed.notify_all()

    def results(self) -> Iterator[Result]:
        """The results as they come, each let go of by the channel; raises what making them raised."""
        while True:
            with self._changed:
                self._changed.wait_for(lambda: bool(self._results) or self._ended)
                if not self._results:
                    break
                result = self._results.popleft()
                self._weight -= self._weigh(result)
                self._changed.notify_all()
            yield result
            del result
        if self._error is not None:
            raise self._error
