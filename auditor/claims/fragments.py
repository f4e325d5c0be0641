"""A sentence cut into fragments at commas, brackets, dashes and joining words."""

from __future__ import annotations

from typing import NamedTuple

from auditor.claims.items import UNITS, Item
from auditor.claims.words import UPPER

MINE, PART, IMPLIED, OTHER, NOBODY = "own", "part", "implied", "other", ""


class Subject(NamedTuple):
    """Of whom a clause is."""

    who: str
    first: int
    last: int
    verb: int


NOT_KNOWN = Subject(NOBODY, -1, -1, -1)


class Fragment:
    """A part of a sentence with its cues: role -> place of the first item that has it."""

    __slots__ = ("cues", "each", "end", "filler", "of_predicate", "opened", "start", "subject", "this", "tire", "verb")

    def __init__(self, start: int, opened: str) -> None:
        self.start = start
        self.end = start
        self.opened = opened  # the mark or word before it
        self.cues: dict[str, int] = {}
        self.this = -1
        self.each = False
        self.tire = False
        self.subject: Subject | None = None  # once asked for
        self.filler: set[str] | None = None  # kinds of filler in it, once asked for
        self.of_predicate: bool | None = None  # whether what stands behind its value says whose it is, once asked for
        self.verb: int | None = None  # the first verb behind its first word, once asked for


def fragments_of(items: list[Item], labels: frozenset[str]) -> list[Fragment]:
    """Cuts a sentence into fragments."""
    found = [Fragment(0, "")]
    labeled = False
    for place, item in enumerate(items):
        text = item.text
        cut = item.kind == "mark" and (text in ",()-" or (text == ":" and (not labeled or _starts_over(items, place))))
        listed = (
            place + 1 < len(items)
            and items[place + 1].text == ":"
            and item.roles
            and _numbered(items, found[-1], place)
        )
        if listed:
            found[-1].end = place
            found.append(Fragment(place, ","))
            labeled = False
        if cut or "and" in item.roles:
            found[-1].end = place
            found.append(Fragment(place + 1, text if cut else "and"))
            labeled = False
        else:
            labeled = labeled or bool(item.roles & labels)
    found[-1].end = len(items)
    return found


def _starts_over(items: list[Item], place: int) -> bool:
    """Whether a clause begins behind a colon: "four-ply: it is an eight-ply", "850 kg: see item 4470"."""
    measured = place > 1 and bool(items[place - 1].roles & UNITS and items[place - 2].numbers)
    return measured or (place + 1 < len(items) and bool(items[place + 1].roles & {"this", "it", "this-one", "see"}))


def _numbered(items: list[Item], fragment: Fragment, place: int) -> bool:
    """Whether a value stands before a label with a colon: "Max load: 2,205 lb Weight: 138 lb" is two lines."""
    led = items[fragment.start : place]
    return any(item.numbers for item in led) and any(item.text == ":" for item in led)


def named(items: list[Item]) -> int:
    """Where a name stands in quotation marks: another product of the shop; -1 for none."""
    for place in range(len(items) - 2):
        if items[place].text == '"' == items[place + 2].text and items[place + 1].text == UPPER:
            return place
    return -1


def quoted(items: list[Item]) -> tuple[int, int] | None:
    """The first stretch of at least four items between two quotation marks."""
    marks = [place for place, item in enumerate(items) if item.text == '"']
    if len(marks) > 1 and max(marks[1] - marks[0], marks[-1] - marks[-2]) > 4:
        return marks[0], marks[-1]
    return (marks[0], len(items)) if len(marks) == 1 and len(items) - marks[0] > 5 else None
