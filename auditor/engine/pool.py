"""Runs units of work in order: in this thread, or in a few threads with a short queue.

Results come back first in, first out, so that outputs do not depend on the number of workers.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TypeVar

Unit = TypeVar("Unit")
Result = TypeVar("Result")


def usual_workers() -> int:
    """The cores this process may use."""
    try:
        return max(1, len(os.sched_getaffinity(0)))
    except AttributeError:  # not on every system
        return max(1, os.cpu_count() or 1)


def in_order(work: Callable[[Unit], Result], units: Iterable[Unit], workers: int) -> Iterator[Result]:
    """`work(unit)` for every unit, in the order of the units.

    At most `workers` + 1 units are under way or waiting, so that memory stays flat however slow the taker is.
    """
    if workers <= 1:
        for unit in units:
            yield work(unit)
        return
    pool = ThreadPoolExecutor(workers, thread_name_prefix="audit")
    waiting: deque[Future[Result]] = deque()
    try:
        for unit in units:
            waiting.append(pool.submit(work, unit))
            if len(waiting) > workers:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    finally:
        pool.shutdown(wait=False, cancel_futures=True)
