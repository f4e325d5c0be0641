"""Work beside the main thread comes to its end with it, and its errors are not lost."""

from __future__ import annotations

import threading
import time

import pytest

from auditor.engine.background import in_background
from auditor.feeds.stopping import raise_if_stopped


def test_one_worker_does_the_work_when_it_is_waited_for() -> None:
    done: list[str] = []
    with in_background(lambda: done.append(threading.current_thread().name), 1) as task:
        assert done == []
        task.wait()
    assert done == [threading.main_thread().name]


def test_two_workers_do_it_at_the_same_time() -> None:
    begun, allowed = threading.Event(), threading.Event()

    def work() -> None:
        begun.set()
        assert allowed.wait(20)

    with in_background(work, 2) as task:
        assert begun.wait(20)
        assert task.busy
        allowed.set()
        task.wait()
    assert not task.busy


@pytest.mark.parametrize("workers", [1, 2])
def test_what_the_work_raises_comes_up(workers: int) -> None:
    def work() -> None:
        raise OSError("no space left")

    with pytest.raises(OSError, match="no space left"), in_background(work, workers) as task:
        task.wait()


def test_a_failure_ends_the_work_between_two_pieces() -> None:
    ended = threading.Event()

    def work() -> None:
        try:
            while True:
                raise_if_stopped()
                time.sleep(0.001)
        finally:
            ended.set()

    with pytest.raises(KeyError), in_background(work, 2):
        raise KeyError("no such thing")
    assert ended.is_set()
