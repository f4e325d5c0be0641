"""Cases and right listings laid out as the records of a feed, and the answer sheet of it."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tests.catalog.cases import Case, Expect
from tests.catalog.valid import Listing


@dataclass(frozen=True, slots=True)
class Answer:
    """One expected finding at a place: the 1-based record number in the feed."""

    feed: str
    record: int
    kind: str
    expect: Expect


@dataclass(frozen=True, slots=True)
class Laid:
    """A feed laid out: its listings in order, the answers, and what each record may have besides.

    `kinds` names the kind of mistake by record number, for every listing of a case; a record not in it is
    a right listing.  `may` gives by record number the rules whose findings are no false alarm.
    """

    name: str
    listings: tuple[Listing, ...]
    answers: tuple[Answer, ...]
    kinds: dict[int, str]
    may: dict[int, frozenset[str]]

    @property
    def rows(self) -> list[dict[str, str]]:
        """The cells of every record."""
        return [made.cells for made in self.listings]


def lay_out(name: str, right: Iterable[Listing], cases: Sequence[Case], rng: random.Random) -> Laid:
    """Mix right listings and cases; the listings of one case stay together and in order."""
    units: list[Case | Listing] = [*right, *cases]
    rng.shuffle(units)
    listings: list[Listing] = []
    answers: list[Answer] = []
    kinds: dict[int, str] = {}
    may: dict[int, frozenset[str]] = {}
    for unit in units:
        start = len(listings) + 1
        members = (unit,) if isinstance(unit, Listing) else unit.listings
        rules = frozenset() if isinstance(unit, Listing) else unit.may
        for position, made in enumerate(members):
            if made.may or rules:
                may[start + position] = frozenset(made.may) | rules
            if not isinstance(unit, Listing):
                kinds[start + position] = unit.kind
        if not isinstance(unit, Listing):
            answers += [Answer(name, start + wanted.at, unit.kind, wanted) for wanted in unit.expects]
        listings += members
    return Laid(name, tuple(listings), tuple(answers), kinds, may)
