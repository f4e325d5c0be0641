"""A ladder: one listing in which a value climbs, and the rung at which each answer begins.

Where an edge in `policy_edges` and its like is one number, a ladder is everything that can be said of a value: which
rule speaks, at which grade, with which likely cause.  Where an answer begins and ends is kept in `pinned/`, one file
per room, in words: a change of any number in between shows there as a moved line.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

from tests.edges.edge import filled
from tests.edges.paths import Found, Listing

PINNED = Path(__file__).with_name("pinned")


@dataclass(frozen=True, slots=True)
class Ladder:
    """The values that stand for `{x}` in a listing, in the order in which they are tried."""

    name: str
    listing: Listing
    rungs: tuple[str, ...]
    shows: str = (
        ""  # beside rule, grade and cause: `evidence`, or `derived` for nothing but what follows from the marking
    )

    def listings(self) -> list[Listing]:
        """One listing per rung."""
        return [filled(self.listing, rung) for rung in self.rungs]

    def answer(self, found: Sequence[Found], rung: str) -> str:
        """What is found in the listing of a rung, in one line."""
        if self.shows == "derived":
            return " ".join(_follows(one, rung) for one in found) or "nothing"
        return "; ".join(self._words(one) for one in found) or "nothing"

    def _words(self, one: Found) -> str:
        words = f"{one.rule} {one.grade}"
        if "{x}" not in self.listing.get(one.field, ""):
            words += f" in {one.field}"
        if one.derived:
            words += f" -> {one.derived}"
        if one.cause not in ("", "unclear"):
            words += f" ({one.cause})"
        if one.suggestion and one.suggestion != one.derived:
            words += f" write {one.suggestion!r}"
        if self.shows == "evidence":
            sides = re.findall(r"(?:agree|differ) [^;]*", one.evidence)
            words += f" [{', but '.join(sides)}]" if sides else ""
        return words


def _follows(one: Found, rung: str) -> str:
    """What follows from a marking for one field: `{x}` where it is the rung's own number, in mm `{x} in` for inches.

    Diameter and revolutions follow from the rest by formula: that they do is enough here.
    """
    name = one.field.removeprefix("max_")
    if not one.derived:
        return f"{name}?"
    if one.field in ("overall_diameter_mm", "revs_per_km"):
        return name
    if one.derived == rung:
        return f"{name} {{x}}"
    inches = float(rung) if re.fullmatch(r"[0-9.]+", rung) else 0.0
    if one.field == "section_width_mm" and abs(float(one.derived) - 25.4 * inches) < 0.051:
        return f"{name} {{x}} in"
    return f"{name} {one.derived}"


@dataclass(frozen=True, slots=True)
class Flight:
    """The rungs from one place to another (both included) that get one answer."""

    first: int
    last: int
    answer: str


def flights(answers: Iterable[str]) -> Iterator[Flight]:
    """Runs of one answer."""
    for answer, places in groupby(enumerate(answers), key=lambda pair: pair[1]):
        run = [place for place, _ in places]
        yield Flight(run[0], run[-1], answer)


def lines_of(ladder: Ladder, answers: Sequence[str]) -> list[str]:
    """The pinned lines of one ladder: a heading, and where each answer begins and ends."""
    lines = [f"== {ladder.name}"]
    for flight in flights(answers):
        first, last = ladder.rungs[flight.first], ladder.rungs[flight.last]
        lines.append(f"{first if first == last else f'{first} .. {last}'} | {flight.answer}")
    return lines


def pinned_lines(room: str) -> dict[str, list[str]]:
    """The pinned lines of every ladder of a room, by its name."""
    found: dict[str, list[str]] = {}
    for line in (PINNED / f"{room}.txt").read_text(encoding="utf-8").splitlines():
        if line.startswith("== "):
            lines = found[line[3:]] = [line]
        elif line and not line.startswith("#"):
            lines.append(line)
    return found


def span(first: float, last: float, step: float) -> list[str]:
    """Values from first to last, as cells hold them."""
    count = round((last - first) / step)
    return [text(first + place * step) for place in range(count + 1)]


def near(center: float, share: float, steps: int) -> list[str]:
    """Values around one, up to a share of it on both sides, in so many steps on each side."""
    return [text(center * (1.0 + share * place / steps)) for place in range(-steps, steps + 1)]


def rising(*parts: Iterable[str]) -> tuple[str, ...]:
    """All values of some spans, each once, from the lowest up."""
    return tuple(sorted({value for part in parts for value in part}, key=float))


def text(value: float) -> str:
    """A number with two decimals at most: three could be thousands."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
