"""The vocabulary over plain Python numbers and truth values: for one listing, without numpy."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from math import floor as _floor
from math import log10, nan

NAN = nan
_EXACT, _ROUNDING = 1e9, 1e-6  # numbers below the one are held more exactly than the other


def known(x: float) -> bool:
    return x == x


def missing(x: float) -> bool:
    return x != x


def no(truth: bool) -> bool:
    return not truth


def any_of(truth: bool) -> bool:
    return truth


def count(truth: bool) -> int:
    return 1 if truth else 0


def where(truth: bool, a: float, b: float) -> float:
    return a if truth else b


def first_known(a: float, b: float) -> float:
    """`a` where it is known, else `b`."""
    return a if a == a else b


def magnitude(x: float) -> float:
    return abs(x)


def larger(a: float, b: float) -> float:
    """The larger of two; a missing one is left out."""
    if a != a:
        return b
    if b != b:
        return a
    return a if a > b else b


def smaller(a: float, b: float) -> float:
    """The smaller of two; a missing one is left out."""
    if a != a:
        return b
    if b != b:
        return a
    return a if a < b else b


def ratio(a: float, b: float) -> float:
    """a / b; missing where b is zero or either is missing."""
    return a / b if b else nan


def floor(x: float) -> float:
    return float(_floor(x)) if x == x else nan


def nearest(x: float) -> float:
    """The nearest whole number; halves go up."""
    return float(_floor(x + 0.5)) if x == x else nan


def digits(x: float) -> float:
    """How many digits the whole part has."""
    return float(_floor(log10(x))) + 1.0 if x >= 1 else 1.0


def look_up(table: Sequence[float], index: float) -> float:
    """table[index]; missing where the index is missing, not whole or outside the table."""
    if index == index and 0 <= index < len(table) and index == int(index):
        return table[int(index)]
    return nan


def constant(value: float, like: float) -> float:
    return value


def false(like: float) -> bool:
    return False


def distance_to(table: Sequence[float], x: float) -> float:
    """How far x is from the nearest value of a rising table."""
    if x != x:
        return nan
    position = bisect_left(table, x)
    below = x - table[position - 1] if position else nan
    above = table[position] - x if position < len(table) else nan
    return smaller(below, above)


def any_way(test: Callable[[float, float], bool], x: float, ways: Sequence[float]) -> bool:
    """Whether x passes a test against any of some values."""
    for way in ways:  # noqa: SIM110 - a generator costs as much again as most tests
        if test(x, way):
            return True
    return False


def digits_swapped(stated: float, expected: float) -> bool:
    """Whether two of the last six digits of `expected` changed places."""
    if not (expected >= 10.0 and stated >= 10.0 ** (digits(expected) - 1.0)):
        return False
    if expected < _EXACT and (off := (stated - expected) / 9.0) != nearest(off) and abs(off - nearest(off)) > _ROUNDING:
        return False  # a swap moves a whole number by a multiple of nine
    for low in range(5):
        for high in range(low + 1, 6):
            if expected < 10.0**high:
                break
            a = floor(expected / 10.0**low) - floor(expected / 10.0 ** (low + 1)) * 10.0
            b = floor(expected / 10.0**high) - floor(expected / 10.0 ** (high + 1)) * 10.0
            if a != b and expected + (a - b) * (10.0**high - 10.0**low) == stated:
                return True
    return False


def digit_left_out(short: float, full: float) -> bool:
    """Whether `short` is `full` with one of its last six digits left out."""
    if not full >= 10.0 or short >= 10.0 ** (digits(full) - 1.0):  # it has a digit less
        return False
    for position in range(6):
        if full < 10.0**position:
            break
        above = floor(full / 10.0 ** (position + 1)) * 10.0**position
        if above + (full - floor(full / 10.0**position) * 10.0**position) == short:
            return True
    return False
