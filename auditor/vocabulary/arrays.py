"""The vocabulary over numpy arrays of float64 and bool: for the records of a block."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]
Truths = npt.NDArray[np.bool_]

NAN = float("nan")


def known(x: Numbers) -> Truths:
    found: Truths = x == x
    return found


def missing(x: Numbers) -> Truths:
    found: Truths = x != x
    return found


def no(truth: Truths) -> Truths:
    return ~truth


def any_of(truth: Truths) -> bool:
    return bool(truth.any())


def count(truth: Truths) -> int:
    return int(np.count_nonzero(truth))


def where(truth: Truths, a: Any, b: Any) -> Numbers:
    chosen: Numbers = np.where(truth, a, b)
    return chosen


def either(a: Numbers, b: Numbers) -> Numbers:
    """`a` where it is known, else `b`."""
    return np.where(a == a, a, b)


def magnitude(x: Numbers) -> Numbers:
    return np.abs(x)


def larger(a: Any, b: Any) -> Numbers:
    """The larger of two; a missing one is left out."""
    found: Numbers = np.fmax(a, b)
    return found


def smaller(a: Any, b: Any) -> Numbers:
    """The smaller of two; a missing one is left out."""
    found: Numbers = np.fmin(a, b)
    return found


def ratio(a: Any, b: Any) -> Numbers:
    """a / b; missing where b is zero or either is missing."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(b == 0, np.nan, a / b)


def floor(x: Numbers) -> Numbers:
    return np.floor(x)


def nearest(x: Numbers) -> Numbers:
    """The nearest whole number; halves go up."""
    return np.floor(x + 0.5)


def digits(x: Numbers) -> Numbers:
    """How many digits the whole part has."""
    return np.floor(np.log10(np.where(x >= 1, x, 1.0))) + 1.0


def look_up(table: Sequence[float], index: Numbers) -> Numbers:
    """table[index]; missing where the index is missing, not whole or outside the table."""
    values = np.asarray(table, dtype=np.float64)
    fits = (index >= 0) & (index < len(values)) & (np.floor(index) == index)
    safe = np.where(fits, index, 0).astype(np.int64)
    return np.where(fits, values[safe], np.nan)


def constant(value: float, like: Numbers) -> Numbers:
    return np.full(len(like), value)


def false(like: Numbers) -> Truths:
    return np.zeros(len(like), dtype=np.bool_)


def distance_to(table: Sequence[float], x: Numbers) -> Numbers:
    """How far x is from the nearest value of a rising table."""
    values = np.asarray(table, dtype=np.float64)
    place = np.searchsorted(values, x)
    below = np.where(place > 0, x - values[np.maximum(place - 1, 0)], np.nan)
    above = np.where(place < len(values), values[np.minimum(place, len(values) - 1)] - x, np.nan)
    return np.where(x == x, np.fmin(below, above), np.nan)


_PLACES = 10.0 ** np.arange(7)[:, None]  # one row per digit place: all places are tried at once
_LOW, _HIGH = np.array([(low, high) for low in range(5) for high in range(low + 1, 6)]).T


def digits_swapped(stated: Numbers, expected: Numbers) -> Truths:
    """Whether two of the last six digits of `expected` changed places."""
    whole = np.floor(expected / _PLACES)
    digit = whole[:-1] - whole[1:] * 10.0
    a, b = digit[_LOW], digit[_HIGH]
    swapped = expected + (a - b) * (_PLACES[_HIGH] - _PLACES[_LOW])
    hit = (expected >= _PLACES[_HIGH]) & (swapped == stated) & (a != b)
    found: Truths = hit.any(axis=0) & (stated >= 10.0 ** (digits(expected) - 1.0))
    return found


def digit_left_out(short: Numbers, full: Numbers) -> Truths:
    """Whether `short` is `full` with one of its last six digits left out."""
    whole, places = np.floor(full / _PLACES), _PLACES[:-1]
    without = whole[1:] * places + (full - whole[:-1] * places)
    hit = (full >= places) & (without == short)
    found: Truths = hit.any(axis=0) & (short != full) & (full >= 10.0)
    return found
