"""Sets kept as bits answer as Python's sets do, however many members there are."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from auditor.judging.block.member_sets import MemberSets

MEMBERS = 200
sets = st.lists(st.sets(st.integers(0, MEMBERS - 1), max_size=6), min_size=1, max_size=12)


def members(found: MemberSets) -> list[set[int]]:
    numbers = found.numbers(np.arange(len(found.words[0])))
    return [{member for member in range(MEMBERS + 100) if number >> member & 1} for number in numbers]


@given(sets)
def test_they_answer_as_sets_do(one: list[set[int]]) -> None:
    other = [one[-1 - place] for place in range(len(one))]
    a, b = MemberSets.of(one, MEMBERS), MemberSets.of(other, MEMBERS)
    assert members(a) == one
    assert members(a & b) == [x & y for x, y in zip(one, other, strict=True)]
    assert members(a - b) == [x - y for x, y in zip(one, other, strict=True)]
    assert members(a.at(np.array([0, 0]))) == [one[0], one[0]]
    for member in (0, 63, 64, MEMBERS - 1, MEMBERS + 99):
        assert a.holding(member).tolist() == [member in own for own in one]


@given(sets, st.integers(1, 4))
def test_stretches_are_united(listed: list[set[int]], length: int) -> None:
    starts = np.arange(0, len(listed), length)
    united = MemberSets.of(listed, MEMBERS).united(starts)
    assert members(united) == [set().union(*listed[at : at + length]) for at in starts]


@given(st.lists(st.integers(0, MEMBERS - 1), min_size=1))
def test_members_are_put_in_one_by_one(numbers: list[int]) -> None:
    made = MemberSets.empty(MEMBERS, len(numbers))
    for place, number in enumerate(numbers):
        made.put(number, np.arange(len(numbers)) == place)
    assert members(made) == members(MemberSets.single(np.array(numbers), MEMBERS)) == [{n} for n in numbers]


def test_no_stretches_unite_to_nothing() -> None:
    assert MemberSets.empty(3, 0).united(np.zeros(0, dtype=np.int64)).numbers(np.zeros(0, dtype=np.int64)) == []
