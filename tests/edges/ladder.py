"""A ladder: one listing in which a value climbs, and the rungs at which each answer begins and ends.

Where an edge in `policy_edges` and its like is one number, a ladder is everything that can be said of a value: which
rule speaks, at which grade, with which likely cause.  From which rung to which each of it is said is kept in `pinned/`,
one file per room, in words: a change of any number in between shows there as a moved line.  A rung of which no line
tells gets no finding, or is not read.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

from tests.edges.edge import filled
from tests.edges.paths import Found, Listing

Answer = frozenset[str]
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?")
_FACTORS = tuple(
    way for factor in (0.45359237, 1.609344, 25.4, 0.79375, 6.894757293168361) for way in (factor, 1.0 / factor)
)
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

    def answer(self, found: Sequence[Found], rung: str) -> Answer:
        """What is found in the listing of a rung: each finding and its cause, or only what follows from the marking."""
        if self.shows == "derived":
            return told(_follows(one, rung) for one in found)
        return told(text for one in found for text in self._words(one, rung))

    def _words(self, one: Found, rung: str) -> Iterator[str]:
        climbs = "{x}" in self.listing.get(one.field, "")
        place = "" if climbs else f" in {one.field}"
        words = f"{one.rule} {one.grade}{place}"
        if one.derived:
            words += f" -> {one.derived if climbs else _converted(one.derived, rung)}"
        if one.suggestion and one.suggestion != one.derived:
            words += f" write {one.suggestion!r}"
        if self.shows == "evidence":
            sides = re.findall(r"(?:agree|differ) [^;]*", one.evidence)
            words += f" [{', but '.join(sides)}]" if sides else ""
        yield words
        if one.cause not in ("", "unclear"):
            yield f"{one.cause}{place}"


def _converted(derived: str, rung: str) -> str:
    """A derived value, or `{x} converted` for the rung in another unit: that it is that is enough where many are."""
    if not (_NUMBER.fullmatch(derived) and _NUMBER.fullmatch(rung)):
        return derived
    rounding = 0.51 * 10.0 ** -len(derived.partition(".")[2])
    near = (abs(float(derived) - float(rung) * factor) <= rounding for factor in _FACTORS)
    return "{x} converted" if any(near) else derived


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
    number = float(rung) if _NUMBER.fullmatch(rung) else 0.0
    for dot in (1.0, 10.0, 100.0):
        if one.field == "section_width_mm" and abs(float(one.derived) - 25.4 * number / dot) < 0.051:
            return f"{name} {{x}} in{f' / {dot:.0f}' * (dot > 1.0)}"
    return f"{name} {without_rung(one.derived, rung) if one.field == 'marking' else one.derived}"


def without_rung(text: str, rung: str) -> str:
    """A text with `{x}` for the rung, where it is no part of a longer number or word; `{x:0.}` with a dot in it."""
    if rung[0].isdecimal():
        for whole in (1, 2):
            text = re.sub(rf"(?<![0-9.]){rung[:whole]}\.{rung[whole:]}(?![0-9.])", "{x:" + "0" * whole + ".}", text)
        return re.sub(rf"(?<![0-9.]){re.escape(rung)}(?:(?P<zero>\.?0+)(?![0-9])|(?![0-9.]))", r"{x\g<zero>}", text)
    return re.sub(rf"(?<![A-Z]){re.escape(rung)}(?![A-Z])", "{x}", text)


def told(texts: Iterable[str]) -> Answer:
    """An answer of some texts, each told apart from the same one before it."""
    counted = Counter(texts)
    return frozenset(
        f"{text} ({time})" if time > 1 else text for text in counted for time in range(1, counted[text] + 1)
    )


def turns(answers: Sequence[Answer]) -> list[int]:
    """The places at which an answer begins or ends."""
    last = len(answers) - 1
    beside = ((place, max(place - 1, 0), min(place + 1, last)) for place in range(len(answers)))
    return [
        at
        for at, before, after in beside
        if at in (0, last) or answers[at] != answers[before] or answers[at] != answers[after]
    ]


def lines_of(ladder: Ladder, answers: Sequence[Answer]) -> list[str]:
    """The pinned lines of one ladder: a heading, and from where to where each text is among the answers."""
    between = _between(ladder)
    by_runs: dict[str, list[str]] = {}
    for text in dict.fromkeys(text for answer in answers for text in sorted(answer)):
        has = groupby(range(len(answers)), [text in answer for answer in answers].__getitem__)
        runs = [list(places) for inside, places in has if inside]
        ends = ((ladder.rungs[run[0]], ladder.rungs[run[-1]]) for run in runs)
        found = between.join(low if low == high else f"{low}..{high}" for low, high in ends)
        by_runs.setdefault(found, []).append(text)
    return [f"== {ladder.name}", *(f"{'; '.join(texts)} | {told}" for told, texts in by_runs.items())]


def answers_of(ladder: Ladder, lines: Sequence[str]) -> list[Answer]:
    """What is pinned for each rung of a ladder; the other way round from `lines_of`."""
    place = {rung: number for number, rung in enumerate(ladder.rungs)}
    answers: list[set[str]] = [set() for _ in ladder.rungs]
    for line in lines:
        text, _, runs = line.rpartition(" | ")
        for run in runs.split(_between(ladder)):
            low, _, high = run.partition("..")
            for number in range(place[low], place[high or low] + 1):
                answers[number].update(text.split("; "))
    return [frozenset(answer) for answer in answers]


def _between(ladder: Ladder) -> str:
    return "; " if any(" " in rung for rung in ladder.rungs) else " "


def pinned_lines(room: str) -> dict[str, list[str]]:
    """The pinned lines of every ladder of a room, by its name."""
    found: dict[str, list[str]] = {}
    for line in (PINNED / f"{room}.txt").read_text(encoding="utf-8").splitlines():
        if line.startswith("== "):
            lines = found[line[3:]] = []
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
    """A number with two decimals at most, since three could be thousands; one from 200 on."""
    return f"{value:.{1 if value >= 200.0 else 2}f}".rstrip("0").rstrip(".")
