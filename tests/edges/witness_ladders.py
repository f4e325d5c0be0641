"""The listings beside each rule and cause that tell its numbers, as rungs: what each of them is answered.

They are made from the numbers, so a number that is changed moves its listings here, beside what they get.
"""

from __future__ import annotations

from tests.edges import witnesses
from tests.edges.ladder import Answer, Ladder, told
from tests.edges.paths import Listing, by_call
from tests.edges.rule_book import RULES_FOLDER, data


def witnessed() -> list[Ladder]:
    """One ladder per rule or cause."""
    files = [data(path.stem) for path in sorted(RULES_FOLDER.glob("*.toml"))]
    names = [one["id"] for file in files for one in file.get("rule", ())]
    ladders = []
    for name in (*names, *(one["name"] for file in files for one in file.get("cause", ()))):
        rungs = dict.fromkeys(_text(listing) for listing in witnesses.beside(name))
        if rungs:
            ladders.append(Ladder(name, {}, tuple(rungs)))
    return ladders


def _text(listing: Listing) -> str:
    return ", ".join(f"{field}={text}" for field, text in listing.items())


def answer_witnesses(ladder: Ladder) -> list[Answer]:
    """What the listing of each rung is answered."""
    listings = [dict(part.split("=", 1) for part in rung.split(", ")) for rung in ladder.rungs]
    return [
        told(
            f"{one.rule} {one.grade} in {one.field}{f' -> {one.derived}' * bool(one.derived)} {one.cause}".rstrip()
            for one in found
        )
        for found in by_call(listings)
    ]
