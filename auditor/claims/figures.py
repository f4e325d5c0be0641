"""Figures that no claim is made of: article numbers, prices, years, miles of warranty.

Numbers from a thousand on meet no bound that a frame asks for but that of a year, so that two sentences which differ in
nothing else are understood alike, unless a claim names the number.  So a sentence without a unit or a label of figures
is read with two other numbers in its place, years and none: where both say the same, all such sentences do.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from auditor.trade.patterns import Pattern

PLAIN_FIGURE = "[1-9][0-9]{3,5}"
_FIGURE = Pattern(rf"{PLAIN_FIGURE}|[1-9][0-9]{{0,2}}([,.])[0-9]{{3}}")
_ANY = "\ue00f"  # no text has it: a figure that is written like the general one is read as any other is
_TRIES = ((2_003, 1), (7_919, 331))  # the first number, and the step to the next
T = TypeVar("T")


def general(token: str) -> str:
    """The figure that stands for all that are read alike; a token that is none stands for itself."""
    found = _FIGURE.fullmatch(token) if token[0].isdigit() else None
    return f"{_ANY}{found[1] or ''}" if found else token


def read_generally(tokens: Sequence[str], read: Callable[[tuple[str, ...]], T]) -> T | None:
    """What is read of a sentence whatever its figures are; None where that depends on them."""
    tries = []
    for number, step in _TRIES:
        tried = list(tokens)
        for place, token in enumerate(tokens):
            if found := _FIGURE.fullmatch(token):
                digits = str(number)
                tried[place] = f"{digits[:-3]}{found[1] or ''}{digits[-3:]}"
                number += step
        tries.append(read(tuple(tried)))
    return tries[0] if tries[0] == tries[1] else None
