"""Finds the sizes in a normalised text, and tells whether two of them are one size written twice."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable
from dataclasses import replace
from operator import attrgetter

from auditor.marking.letters import PLY
from auditor.marking.normalise import Written
from auditor.marking.parts import Tail
from auditor.marking.rim_apart import rim_apart
from auditor.marking.service import BARE, DESCRIPTION
from auditor.marking.shape import Found, Misfit, Size
from auditor.marking.shapes import (
    alpha,
    metric,
    metric_weak,
    millimetres,
    numeric_mm,
    rim_first,
)
from auditor.marking.shapes_inch import (
    inch_diameter,
    inch_diameter_weak,
    numeric_inch,
    numeric_no_dot,
    numeric_whole,
    numeric_x,
    slashed,
)
from auditor.marking.shapes_named import by_names
from auditor.marking.tail import read_tail

STRONG: tuple[Callable[[str], Found], ...] = (
    metric,
    inch_diameter,
    millimetres,
    alpha,
    numeric_mm,
    numeric_inch,
)
WEAK: tuple[Callable[[str], Found], ...] = (
    inch_diameter_weak,
    rim_first,
    metric_weak,
    numeric_x,
    numeric_whole,
    numeric_no_dot,
    slashed,
    by_names,
    rim_apart,
)


def find_sizes(text: str, readers: tuple[Callable[[str], Found], ...]) -> tuple[list[Size], list[Misfit]]:
    """The sizes in a normalised text in order, none overlapping another, and what only looked like one."""
    sizes: list[Size] = []
    misfits: list[Misfit] = []
    for reader in readers:
        for found in reader(text):
            if isinstance(found, Misfit):
                misfits.append(found)
                continue
            place = bisect_left(sizes, found.start, key=_start)
            free = (place == 0 or sizes[place - 1].end <= found.start) and (
                place == len(sizes) or found.end <= sizes[place].start
            )
            if free and _ends_well(text, found.end):
                sizes.insert(place, found)
    return sizes, misfits


def all_sizes(text: str) -> tuple[list[Size], list[Misfit]]:
    """The sizes of a normalised text by the sure readers; where there is nothing for them, by the others."""
    sizes, misfits = find_sizes(text, STRONG)
    if not sizes and not misfits:
        sizes, misfits = find_sizes(text, WEAK)
        misfits = [one for one in misfits if one.doubt]
    return sizes, misfits


_NO_BLANKS = "\u2e80"  # the scripts from here on leave no blanks between words: `205/55R16轮胎`
_start = attrgetter("start")


def _ends_well(text: str, end: int) -> bool:
    """Whether what is glued to the size is a service description or understood letters, not more of a number."""
    if end >= len(text) or not text[end].isalnum() or text[end] >= _NO_BLANKS:
        return True
    if text[end].isdigit():
        return any(form.match(text, end) is not None for form in (DESCRIPTION, BARE, PLY))
    near = text[end - 1 : end + 24]
    return read_tail(Written(near, near, False), 1, tail=Tail(), strict=True).end > 1


def same_size(one: Size, other: Size) -> Size | None:
    """One size out of two ways of writing the same one: `150/70r17 / 150/70-17`; None where they differ."""
    if one.text == other.text:
        return one
    if one.shape != other.shape or one.shape == "alpha":  # F60-15 and FR60-15 are two sizes
        return None
    numbers = ("width_mm", "width_in", "aspect", "rim_in", "rim_mm", "overall_in", "overall_mm", "code")
    if any(getattr(one, name) != getattr(other, name) for name in numbers):
        return None
    for name in ("prefix", "suffix", "construction", "speed_letter"):
        if getattr(one, name) and getattr(other, name) and getattr(one, name) != getattr(other, name):
            return None
    told = [bool(size.prefix) + bool(size.suffix) + bool(size.construction) for size in (one, other)]
    more, less = (one, other) if told[0] >= told[1] else (other, one)
    if any(getattr(less, name) and not getattr(more, name) for name in ("prefix", "suffix", "construction")):
        return None
    return replace(more, start=one.start, end=one.end) if more is other else one
