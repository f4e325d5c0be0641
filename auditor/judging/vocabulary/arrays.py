"""The vocabulary over numpy arrays of float64 and bool: for the records of a block."""

from __future__ import annotations

from collections.abc import Callable, Sequence
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
    """`a` where true, else `b`; either of them itself, where nothing has to be chosen."""
    if isinstance(truth, np.ndarray):
        if _may_stand(b, a, truth) and not truth.any():
            whole: Numbers = b
            return whole
        if _may_stand(a, b, truth) and truth.all():
            whole = a
            return whole
    chosen: Numbers = np.where(truth, a, b)
    return chosen


def _may_stand(one: Any, other: Any, truth: Truths) -> bool:
    """Whether `one` alone has the form of a choice between the two."""
    return isinstance(one, np.ndarray) and one.shape == truth.shape and np.result_type(one, other) == one.dtype


def first_known(a: Numbers, b: Numbers) -> Numbers:
    """`a` where it is known, else `b`."""
    return where(a == a, a, b)


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
    found = np.full(index.shape, np.nan)
    found[fits] = values[index[fits].astype(np.int64)]
    return found


def constant(value: float, like: Numbers) -> Numbers:
    return np.full(len(like), value)


def false(like: Numbers) -> Truths:
    return np.zeros(len(like), dtype=np.bool_)


def distance_to(table: Sequence[float], x: Numbers) -> Numbers:
    """How far x is from the nearest value of a rising table."""
    values = np.asarray(table, dtype=np.float64)
    position = np.searchsorted(values, x)
    below = np.where(position > 0, x - values[np.maximum(position - 1, 0)], np.nan)
    above = np.where(position < len(values), values[np.minimum(position, len(values) - 1)] - x, np.nan)
    return np.where(x == x, np.fmin(below, above), np.nan)


def any_way(test: Callable[[Any, Any], Any], x: Numbers, ways: Sequence[Numbers]) -> Truths:
    """Whether x passes a test against any of some values."""
    found: Truths = test(x, np.stack(ways)).any(axis=0)
    return found


_MOST_PLACES = 6
_PLACES: Numbers = np.array([10.0**position for position in range(_MOST_PLACES + 1)])
_PAIRS = [np.array([(low, high) for high in range(top) for low in range(high)]).T for top in range(_MOST_PLACES + 1)]


def _places(x: Numbers, in_background: Numbers) -> tuple[Numbers, Numbers]:
    """x in as many dimensions as what it is held against, and powers of ten down whole columns beside it.

    One power for each digit place of the largest number, and one beyond.
    """
    x = x.reshape((1,) * (in_background.ndim - x.ndim) + x.shape)
    largest = float(np.fmax.reduce(x, axis=None, initial=-np.inf))
    most = min(int(np.searchsorted(_PLACES, largest, side="right")), _MOST_PLACES)
    return x, _PLACES[: most + 1].reshape((-1, *(1,) * x.ndim))


def digits_swapped(stated: Numbers, expected: Numbers) -> Truths:
    """Whether two of the last six digits of `expected` changed places."""
    expected, positions = _places(expected, stated)
    if len(positions) < 3:  # fewer than two digits
        return np.zeros(np.broadcast_shapes(stated.shape, expected.shape), dtype=np.bool_)
    low, high = _PAIRS[len(positions) - 1]
    whole = np.floor(expected / positions)
    digit = whole[:-1] - whole[1:] * 10.0
    apart = digit[low] - digit[high]
    hit = (
        (expected + apart * (positions[high] - positions[low]) == stated)
        & (apart != 0.0)
        & (expected >= positions[high])
    )
    found: Truths = hit.any(axis=0) & (stated >= 10.0 ** (digits(expected) - 1.0))
    return found


def digit_left_out(short: Numbers, full: Numbers) -> Truths:
    """Whether `short` is `full` with one of its last six digits left out."""
    full, positions = _places(full, short)
    if len(positions) < 3:  # fewer than two digits
        return np.zeros(np.broadcast_shapes(short.shape, full.shape), dtype=np.bool_)
    whole = np.floor(full / positions)
    without = whole[1:] * positions[:-1] + (full - whole[:-1] * positions[:-1])
    hit = (without == short) & (full >= positions[:-1])
    found: Truths = hit.any(axis=0) & (short != full) & (full >= 10.0)
    return found
