"""Units of work in threads: results in order, never far ahead of the taker, errors where they belong."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator

import pytest

from auditor.engine.pool import streamed


def three(unit: int) -> Iterator[tuple[int, int]]:
    for position in range(3):
        time.sleep(0.002 * ((unit + position) % 3))
        yield unit, position


def weight_of_one(_: object) -> int:
    return 1


@pytest.mark.parametrize("workers", [1, 2, 4])
@pytest.mark.parametrize("most", [1, 100])
def test_results_come_in_the_order_of_the_units(workers: int, most: int) -> None:
    found = list(streamed(three, range(9), workers, weight_of_one, most))
    assert found == [(unit, position) for unit in range(9) for position in range(3)]


def test_a_unit_rests_while_nobody_takes_its_results() -> None:
    made: list[int] = []

    def many(unit: int) -> Iterator[int]:
        for position in range(50):
            made.append(unit)
            yield position

    results = streamed(many, range(6), 2, weight_of_one, 4)
    assert next(results) == 0
    before = -1
    while before != len(made):  # until both threads rest
        before = len(made)
        time.sleep(0.1)
    assert set(made) <= {0, 1}
    assert len(made) <= 2 * 4 + 3  # those that wait, one in the hand of each thread, one taken
    assert len(list(results)) == 6 * 50 - 1


def test_an_error_comes_up_after_the_results_before_it() -> None:
    def broken(unit: int) -> Iterator[int]:
        yield unit
        if unit == 2:
            raise OSError("unit 2 is broken")

    taken = []
    with pytest.raises(OSError, match="unit 2"):
        for result in streamed(broken, range(5), 2, weight_of_one, 10):
            taken.append(result)
    assert taken == [0, 1, 2]


def test_a_taker_that_leaves_sets_resting_threads_free() -> None:
    threads: set[threading.Thread] = set()

    def endless(unit: int) -> Iterator[int]:
        threads.add(threading.current_thread())
        while True:
            yield unit

    results = streamed(endless, range(3), 2, weight_of_one, 2)
    next(results)
    results.close()  # type: ignore[attr-defined]
    for thread in threads:
        thread.join(20)
    assert not [thread for thread in threads if thread.is_alive()]
