"""Units of work in threads: none is left out, errors come up, and threads end when nobody listens any more."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from types import SimpleNamespace
from typing import Any

import pytest

from auditor.engine.unit_work import Advanced, Event, UnitDone
from auditor.engine.workers.threads import in_this_thread, in_threads


class Work:
    """Stands for the audit of units: each tells twice how far it is."""

    def __init__(self) -> None:
        self.threads: set[threading.Thread] = set()
        self.begun: list[int] = []

    def perform(self, job: Any, stopped: Callable[[], bool] = lambda: False) -> Iterator[Event]:
        self.threads.add(threading.current_thread())
        self.begun.append(job.part)
        if job.part == 7:
            raise OSError("unit 7 is broken")
        for records in (2, 3):
            yield Advanced((0, job.part), records, 0)
            if stopped():
                return
        yield UnitDone((0, job.part), frozenset())


def jobs(count: int) -> list[Any]:
    return [SimpleNamespace(part=part) for part in range(count)]


def test_one_after_the_other() -> None:
    work: Any = Work()
    found = list(in_this_thread(jobs(3), work))
    assert [event.key[1] for event in found] == [0, 0, 0, 1, 1, 1, 2, 2, 2]


@pytest.mark.parametrize("workers", [1, 2, 4])
def test_every_unit_is_done(workers: int) -> None:
    work: Any = Work()
    found = list(in_threads(iter(jobs(7)), work, workers))
    assert sorted(event.key[1] for event in found if isinstance(event, UnitDone)) == list(range(7))
    assert sum(event.records for event in found if isinstance(event, Advanced)) == 35


def test_units_are_not_handed_out_far_ahead() -> None:
    work: Any = Work()
    asked: list[int] = []

    def told() -> Iterator[Any]:
        for job in jobs(7):
            asked.append(job.part)
            yield job

    events = in_threads(told(), work, 2)
    next(events)
    assert asked == [0, 1, 2]
    events.close()  # type: ignore[attr-defined]


def test_an_error_that_is_no_loss_comes_up() -> None:
    work: Any = Work()
    with pytest.raises(OSError, match="unit 7"):
        list(in_threads(jobs(9), work, 2))


def test_threads_end_when_nobody_listens() -> None:
    work: Any = Work()
    events = in_threads(jobs(5), work, 2)
    next(events)
    events.close()  # type: ignore[attr-defined]
    for thread in work.threads:
        thread.join(20)
    assert not [thread for thread in work.threads if thread.is_alive()]
