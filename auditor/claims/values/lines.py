"""Sentences that are no sentences: headings that name a tire, and rows of its fields."""

from __future__ import annotations

from collections.abc import Sequence

from auditor.claims.subject.clauses import Fragment
from auditor.claims.terms.items import LOAD_UNITS, Item
from auditor.claims.terms.words import LOWER, OWN, OWN_MODEL, UPPER
from auditor.rulebook.texts import WORD

# What stands beside a name in the heading of a text: "Wongara Outback, winter tire 225/65R17 106V XL".
_OF_HEADINGS = frozenset(
    {"tire", "tires", "with", "this", "it", "winter", "summer", "all-season", "xl", "sl", "hl", "runflat", "terrain",
     "snowflake", "mud-and-snow"}
)  # fmt: skip
_SIGNS_OF_HEADINGS = frozenset({UPPER, OWN, OWN_MODEL, ",", "-", "(", ")", "."})
_LONGEST_MARK = 3  # letters in capitals: A/T, 4x4


def heads_with_size(items: Sequence[Item]) -> int:
    """The place of the service description in a heading of names and the own size: it says which tire this is.

    -1 where a sentence is none, or has no service description right behind the own size.
    """
    place = -1
    for at, item in enumerate(items):
        if item.kind == "service":
            if place >= 0 or at == 0 or items[at - 1].text != OWN:
                return -1
            place = at
        elif not _is_of_heading(item):
            return -1
    return place


# Of lines that are nothing but loads and speeds: "Traglast 615 kg | Höchstgeschwindigkeit 240 km/h".
_OF_FIELDS = frozenset(
    {"load", "speed", "max", "single", "dual", "each", "tire", "is", "at", "kmh", "mph", *LOAD_UNITS}
)
_MARKS_OF_FIELDS = frozenset(":|/,;-()=")


def is_line_of_data(items: Sequence[Item]) -> bool:
    """Whether a sentence without a verb is a row of fields of this tire.

    It is headed by names and the own size ("Ridge 195/65R15 91T - Traglast 615 kg"), or has no other words than those
    of its fields.
    """
    if all(_is_of_fields(item) for item in items):
        return True
    for item in items:
        if item.kind == "own":
            return True
        if not _is_of_heading(item):
            return False
    return False


_OF_OTHERS = frozenset({"vehicle", "rim", "thing", "group", "another"})


def is_figure_of_title(items: Sequence[Item], clause: Fragment) -> bool:
    """Whether a clause of a title with the own size is a figure and its unit: "..., 1.215 kg, 190 km/h"."""
    inside = items[clause.start : clause.end]
    told = all(_is_of_fields(item) for item in inside) and any(item.kind == "own" for item in items)
    return told and all(item.text != LOWER and item.roles.isdisjoint(_OF_OTHERS) for item in items)


def _is_of_fields(item: Item) -> bool:
    if item.kind == "mark":
        return item.text in _MARKS_OF_FIELDS
    roles = {role for role in item.roles if role[0] != WORD}
    return item.kind in ("number", "pair") or (bool(roles) and not item.numbers and roles <= _OF_FIELDS)


def _is_of_heading(item: Item) -> bool:
    if item.text in _SIGNS_OF_HEADINGS or (item.text.isupper() and len(item.text) <= _LONGEST_MARK):
        return True
    roles = {role for role in item.roles if role[0] != WORD}
    return bool(roles) and not item.numbers and roles <= _OF_HEADINGS
