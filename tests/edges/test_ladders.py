"""Every value of every ladder gets the answer that is pinned for it, through both paths."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import unified_diff
from functools import cache
from pathlib import Path

import pytest

from tests.edges.ladder import PINNED, Answer, Ladder, answers_of, lines_of, pinned_lines, told, turns
from tests.edges.ladders import ALONE, ROOMS
from tests.edges.paths import by_call, by_feed, with_blanks

ADVICE = "`python -m tests.edges` pins what is answered now; read what moved before it is committed"


@cache
def ladders(room: str) -> tuple[Ladder, ...]:
    return tuple(ALONE[room][0]() if room in ALONE else ROOMS[room]())


def moved(room: str, answers: Sequence[Sequence[Answer]]) -> str:
    """What differs from the pinned lines, up to twenty lines of it."""
    pinned = [line for name, lines in pinned_lines(room).items() for line in (f"== {name}", *lines)]
    now = [line for ladder, own in zip(ladders(room), answers, strict=True) for line in lines_of(ladder, own)]
    changes = list(unified_diff(pinned, now, "pinned", "now", lineterm="", n=1))
    return "" if now == pinned else "\n".join([ADVICE, *changes[:20]])


@pytest.mark.parametrize("room", ALONE)
def test_every_rung_is_read_as_pinned(room: str) -> None:
    assert not moved(room, [ALONE[room][1](ladder) for ladder in ladders(room)])


@pytest.mark.parametrize("room", ROOMS)
def test_a_feed_of_every_rung_is_answered_as_pinned(room: str, tmp_path: Path) -> None:
    found = iter(by_feed([listing for ladder in ladders(room) for listing in ladder.listings()], tmp_path))
    answers = [[ladder.answer(next(found), rung) for rung in ladder.rungs] for ladder in ladders(room)]
    assert not moved(room, answers)


@pytest.mark.parametrize("room", ROOMS)
def test_the_call_answers_alike_where_an_answer_begins_and_ends(room: str) -> None:
    pinned = pinned_lines(room)
    places = [
        (ladder, place, answers[place])
        for ladder in ladders(room)
        for answers in (answers_of(ladder, pinned[ladder.name]),)
        for place in turns(answers)
    ]
    found = by_call(with_blanks([ladder.listings()[place] for ladder, place, _ in places]))
    faults = [
        f"{ladder.name} at {rung}: {sorted(answer)}, not {sorted(ladder.answer(own, rung))}"
        for (ladder, place, answer), own in zip(places, found, strict=True)
        for rung in (ladder.rungs[place],)
        if ladder.answer(own, rung) != answer
    ]
    assert not faults, "\n".join([ADVICE, *faults[:20]])


def test_names_of_ladders_are_told_apart() -> None:
    for room in (*ROOMS, *ALONE):
        names = [ladder.name for ladder in ladders(room)]
        assert len(set(names)) == len(names), room
        assert set(pinned_lines(room)) == set(names), room
    assert {path.stem for path in PINNED.glob("*.txt")} == {*ROOMS, *ALONE}


def test_what_is_pinned_is_read_back() -> None:
    ladder = Ladder("five", {"marking": "{x}"}, ("1", "2", "3", "4", "5"))
    answers = [told(texts) for texts in (["a"], ["a", "b"], [], ["b", "b"], ["a"])]
    lines = lines_of(ladder, answers)
    assert lines == ["== five", "a | 1..2 5", "b | 2 4", "b (2) | 4"]
    assert answers_of(ladder, lines[1:]) == answers
    assert turns(answers) == [0, 1, 2, 3, 4]
    assert turns([told("a")] * 4) == [0, 3]
