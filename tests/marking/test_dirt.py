"""Dirt changes nothing: markings of every family, each written in every dirty way, alone and two at a time.

What is suggested for such a text says the same as the text.
"""

from __future__ import annotations

import csv
import random
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

import auditor
from auditor.marking import Marking, decode
from auditor.marking.families import family_file
from auditor.trade.family import FAMILIES
from tests.marking.dirt import DIRT
from tests.trials.wild import facts_of

REFERENCE = Path(__file__).parents[1] / "reference" / "markings.csv"
DANGEROUS = ("load_index", "load_index_dual", "speed_symbol", "speed_open")
# A half in figures of its own, and a letter that is a digit elsewhere, are not told from what they may be beside these.
APART = {
    "bars as entities",
    "blanks as entities",
    "written twice",
    *(name for name in DIRT if name.endswith(" the size")),
}


@cache
def markings() -> tuple[str, ...]:
    """Markings of all families, from their files and the published ones; a bare index alone is as good as a price."""
    texts = dict.fromkeys(text for name in FAMILIES for text in family_file(name).EXAMPLES)
    with REFERENCE.open(encoding="utf-8", newline="") as file:
        texts |= dict.fromkeys(row["marking"] for row in csv.DictReader(file) if row["marking"])
    return tuple(text for text in texts if _is_whole(decode(text)))


def _is_whole(found: object) -> bool:
    if not isinstance(found, Marking) or found.unread or found.unlisted:
        return False
    return found.service.load_index is None or found.service.speed_symbol is not None


def said(marking: Marking) -> Marking:
    """All that a marking states; not how it was written, nor a word that states nothing."""
    return replace(marking, unread=(), nonstandard=False, canonical="", other_letters=())


def _read(dirty: str) -> Marking:
    found = decode(dirty)
    assert isinstance(found, Marking), (dirty, found)
    return found


def test_every_family_is_drawn_from() -> None:
    assert {_read(text).family for text in markings()} == set(FAMILIES)
    assert len(markings()) > 500


@pytest.mark.parametrize("name", DIRT)
def test_one_kind_of_dirt_changes_nothing(name: str) -> None:
    changed = 0
    for text in markings():
        dirty = DIRT[name](text)
        if dirty == text or (text, name) in NOT_TOLD:
            continue
        found, changed = _read(dirty), changed + 1
        assert said(found) == said(_read(text)), dirty
        if found.says_all:
            assert said(_read(found.canonical)) == said(found), dirty
    assert changed > 5


# Letters that name the width, where an O may be one more; a tread type whose letter stands apart.
NOT_TOLD = {
    ("FR70-14", "a zero as a letter"),
    ("MH90-21 M/C 54H", "a zero as a letter"),
    ("480/80R50 159A8 TL R-1W", "a blank before the symbol"),
}


def test_two_kinds_of_dirt_lead_to_no_other_load_or_speed() -> None:
    dice, names = random.Random(5), [name for name in DIRT if name not in APART]
    for _ in range(4_000):
        text, (one, other) = dice.choice(markings()), dice.sample(names, 2)
        dirty = DIRT[other](DIRT[one](text))
        found, clean = decode(dirty), _read(text)
        if not isinstance(found, Marking):  # refused: nothing is believed
            continue
        for name in DANGEROUS:
            assert getattr(found.service, name) in (getattr(clean.service, name), None, False), (dirty, name)
        assert found.rim_diameter_in in (clean.rim_diameter_in, None), dirty


def test_what_is_suggested_says_the_same_and_a_title_is_read_alike() -> None:
    dice = random.Random(6)
    for _ in range(600):
        text, name = dice.choice(markings()), dice.choice(list(DIRT))
        dirty = DIRT[name](text)
        verdict = auditor.audit_listing({"marking": dirty})
        (suggested,) = [one.suggestion for one in verdict.findings if one.rule == "marking-nonstandard"] or [""]
        assert not suggested or said(_read(suggested)) == said(_read(dirty)), dirty
        found = decode(dirty)
        titled = auditor.audit_listing({"title": dirty}).decoded
        assert facts_of(titled) == facts_of(found if isinstance(found, Marking) else None), dirty
