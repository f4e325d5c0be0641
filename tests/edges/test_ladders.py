"""Every value of every ladder gets the answer that is pinned for it, through both paths."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import unified_diff
from functools import cache
from pathlib import Path

import pytest

from tests.edges.cell_ladders import cells, read_all
from tests.edges.decode_ladders import decode_all, decodes
from tests.edges.ladder import PINNED, Ladder, flights, lines_of, pinned_lines
from tests.edges.ladders import ROOMS
from tests.edges.paths import Listing, by_call, by_feed, with_blanks

ALONE = {"decodes": decodes, "cells": cells}  # what is read, before anything is judged


@cache
def ladders(room: str) -> tuple[Ladder, ...]:
    return tuple(ALONE[room]() if room in ALONE else ROOMS[room]())


def moved(room: str, answers: Sequence[Sequence[str]]) -> str:
    """What differs from the pinned lines, up to twenty lines of it."""
    pinned = [line for lines in pinned_lines(room).values() for line in lines]
    now = [line for ladder, own in zip(ladders(room), answers, strict=True) for line in lines_of(ladder, own)]
    return "" if now == pinned else "\n".join(list(unified_diff(pinned, now, "pinned", "now", lineterm="", n=1))[:20])


def test_every_marking_is_read_as_pinned() -> None:
    assert not moved("decodes", [decode_all(ladder) for ladder in ladders("decodes")])


def test_every_cell_is_read_as_pinned() -> None:
    assert not moved("cells", [read_all(ladder) for ladder in ladders("cells")])


@pytest.mark.parametrize("room", ROOMS)
def test_a_feed_of_every_rung_is_answered_as_pinned(room: str, tmp_path: Path) -> None:
    found = iter(by_feed([listing for ladder in ladders(room) for listing in ladder.listings()], tmp_path))
    answers = [[ladder.answer(next(found), rung) for rung in ladder.rungs] for ladder in ladders(room)]
    assert not moved(room, answers)


@pytest.mark.parametrize("room", ROOMS)
def test_the_call_answers_alike_where_an_answer_begins_and_ends(room: str) -> None:
    places: list[tuple[Ladder, str, str]] = []
    listings: list[Listing] = []
    for ladder in ladders(room):
        pinned = dict(line.split(" | ", 1) for line in pinned_lines(room)[ladder.name][1:])
        made = ladder.listings()
        for span, answer in pinned.items():
            for rung in dict.fromkeys(span.split(" .. ")):
                places.append((ladder, rung, answer))
                listings.append(made[ladder.rungs.index(rung)])
    faults = [
        f"{ladder.name} at {rung}: {answer}, not {ladder.answer(found, rung)}"
        for (ladder, rung, answer), found in zip(places, by_call(with_blanks(listings)), strict=True)
        if ladder.answer(found, rung) != answer
    ]
    assert not faults, "\n".join(faults[:20])


def test_names_of_ladders_are_told_apart() -> None:
    for room in (*ROOMS, *ALONE):
        names = [ladder.name for ladder in ladders(room)]
        assert len(set(names)) == len(names), room
        assert set(pinned_lines(room)) == set(names), room
    assert {path.stem for path in PINNED.glob("*.txt")} == {*ROOMS, *ALONE}


def test_a_run_of_one_answer_is_one_flight() -> None:
    told = [(flight.first, flight.last, flight.answer) for flight in flights("aabca")]
    assert told == [(0, 1, "a"), (2, 2, "b"), (3, 3, "c"), (4, 4, "a")]
