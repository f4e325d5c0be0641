"""Findings that wait for their feed: the first of each mistake are worded at once, and no more of them than needed."""

from __future__ import annotations

import numpy as np

from auditor.across.habits import BlockHabits, Habit, HabitsSoFar

ONE, OTHER = Habit("Dunmarrow Supply", 3, "max_load_kg", 7, 1), Habit("Harrowgate Lots", 3, "max_load_kg", 7, 1)


def test_the_first_of_each_mistake_are_samples_until_there_are_some_before_them() -> None:
    found = BlockHabits([ONE, OTHER], [9, 9], [], np.array([0, 1, 0, 1, 0, 0, 1, 1, -1]), {})
    waiting = np.array([0, 2, 3, 4, 5, 6, 7])
    so_far = HabitsSoFar()

    def sampled(first_record: int) -> dict[Habit, list[int]]:
        records = np.arange(first_record, first_record + 9)
        return {habit: some.tolist() for habit, some in so_far.to_sample(found, waiting, records).items()}

    assert sampled(100) == {ONE: [0, 2, 4], OTHER: [3, 6, 7]}
    so_far.learn(found, {ONE: 104})
    assert sampled(200) == {ONE: [], OTHER: [3, 6, 7]}
    # Another thread may be at records before those that were sampled: theirs come first.
    assert sampled(50) == {ONE: [0, 2, 4], OTHER: [3, 6, 7]}
    so_far.learn(found, {ONE: 54, OTHER: 57})
    so_far.learn(found, {ONE: 104})
    assert sampled(100) == {ONE: [], OTHER: []}
