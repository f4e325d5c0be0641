"""What arrays of texts of many lengths need: values that grow, stretches gathered, stretches told apart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

Ints = npt.NDArray[np.int64]
_ODD = np.uint64(0x9E3779B97F4A7C15)
_MIX = np.uint64(0xD6E8FEB86659FD93)


class Growing:
    """Rows of numbers, added one by one and asked for as columns."""

    def __init__(self, *kinds: npt.DTypeLike) -> None:
        self._room = [np.zeros(0, kind) for kind in kinds]  # columns with room for more rows
        self._count = 0
        self._new: list[tuple[Any, ...]] = []

    def __len__(self) -> int:
        return self._count + len(self._new)

    def add(self, row: tuple[Any, ...]) -> int:
        """Adds a row; its place."""
        self._new.append(row)
        return len(self) - 1

    def add_all(self, columns: Sequence[Sequence[Any] | npt.NDArray[Any]]) -> int:
        """Adds rows, given as columns; the place of the first."""
        self._keep_new()
        start = self._count
        self._keep(columns)
        return start

    @property
    def columns(self) -> list[npt.NDArray[Any]]:
        """All rows so far, column by column."""
        self._keep_new()
        return [column[: self._count] for column in self._room]

    def _keep_new(self) -> None:
        if self._new:
            self._keep(list(zip(*self._new, strict=True)))
            self._new = []

    def _keep(self, columns: Sequence[Sequence[Any] | npt.NDArray[Any]]) -> None:
        count = self._count + len(columns[0])
        if count > len(self._room[0]):
            wider = [np.zeros(2 * count, column.dtype) for column in self._room]
            for old, new in zip(self._room, wider, strict=True):
                new[: self._count] = old[: self._count]
            self._room = wider
        for column, added in zip(self._room, columns, strict=True):
            column[self._count : count] = added
        self._count = count


def gathered(values: npt.NDArray[Any], starts: Ints, places: npt.NDArray[Any]) -> tuple[npt.NDArray[Any], Ints]:
    """The values of the stretches `places`, one after another, and the bounds of each; -1 is an empty stretch."""
    begins = starts[places]
    lengths = starts[places + 1] - begins
    if len(places) and int(places.min()) < 0:
        lengths[places < 0] = 0
    bounds = np.zeros(len(places) + 1, np.int64)
    np.cumsum(lengths, out=bounds[1:])
    begins -= bounds[:-1]
    index = np.repeat(begins, lengths)
    index += np.arange(len(index), dtype=np.int64)
    return values[index], bounds


def without_runs(
    filler: npt.NDArray[np.bool_], raised: npt.NDArray[np.bool_], flat: npt.NDArray[Any], bounds: Ints
) -> tuple[npt.NDArray[Any], Ints]:
    """Stretches in which of several values of filler in a row only the last is kept, and what is raised before it."""
    if not len(flat):
        return flat, bounds
    kept = np.ones(len(flat), np.bool_)
    np.logical_and(filler[:-1], filler[1:], out=kept[:-1])
    np.logical_not(kept[:-1], out=kept[:-1])
    last = bounds[1:-1] - 1
    kept[last[last >= 0]] = True
    before = _counted(kept)
    high = np.flatnonzero(filler & raised)
    end = np.flatnonzero(kept)[before[high]]
    some = high[(end > high) & (np.append(high[1:], len(flat)) > end)]
    if len(some):
        kept[some] = True
        before = _counted(kept)
    return (flat[kept], before[bounds]) if before[-1] < len(flat) else (flat, bounds)


def _counted(kept: npt.NDArray[np.bool_]) -> Ints:
    """How many are kept before each place, and of all."""
    before = np.zeros(len(kept) + 1, np.int64)
    np.cumsum(kept, out=before[1:])
    return before


def hashes(mixed: npt.NDArray[np.uint64], starts: Ints) -> npt.NDArray[np.uint64]:
    """A 64-bit mark of each stretch of `mix`ed values: their sum, each times a power of an odd number."""
    lengths = np.diff(np.append(starts, len(mixed)))
    within = np.arange(len(mixed), dtype=np.int64)
    within -= np.repeat(starts, lengths)
    powers = np.full(int(lengths.max()) + 1, _ODD)
    powers[0] = 1
    powers = np.multiply.accumulate(powers)
    sums: npt.NDArray[np.uint64] = np.add.reduceat(mixed * powers[within], starts)
    return sums + lengths.astype(np.uint64) * np.uint64(0x8CB92BA72F3D8DD7)


def mix(values: npt.NDArray[Any]) -> npt.NDArray[np.uint64]:
    """Numbers whose bits tell nothing of their neighbors'."""
    mixed = (values.astype(np.uint64) + np.uint64(1)) * _MIX
    mixed ^= mixed >> np.uint64(32)
    mixed *= _MIX
    mixed ^= mixed >> np.uint64(29)
    return mixed


def told_apart(values: npt.NDArray[Any]) -> tuple[Ints, Ints]:
    """The first place of each distinct value, and for every place the number of its own."""
    coded = pa.array(values).dictionary_encode()
    ids = coded.indices.to_numpy().astype(np.int64)
    first = np.zeros(len(coded.dictionary), np.int64)
    first[ids[::-1]] = np.arange(len(ids) - 1, -1, -1)
    return first, ids


def starts_of(stretches: npt.NDArray[Any]) -> Ints:
    """Where each stretch of equal values begins."""
    return np.flatnonzero(np.append(True, stretches[1:] != stretches[:-1])) if len(stretches) else np.zeros(0, np.int64)


def any_of_each(flags: npt.NDArray[np.bool_], bounds: Ints) -> npt.NDArray[np.bool_]:
    """For every stretch whether anything in it is flagged."""
    found = np.zeros(len(bounds) - 1, np.bool_)
    found[np.searchsorted(bounds, np.flatnonzero(flags), side="right") - 1] = True
    return found


def union_of_each(bits: Ints, bounds: Ints) -> Ints:
    """For every stretch all bits of anything in it."""
    found = np.zeros(len(bounds) - 1, np.int64)
    some = np.flatnonzero(bounds[1:] > bounds[:-1])
    if len(some):
        found[some] = np.bitwise_or.reduceat(bits, bounds[some])
    return found


def first_of_each(flags: npt.NDArray[np.bool_], bounds: Ints) -> Ints:
    """For every stretch the place of the first flagged value; -1 for none."""
    at = np.append(np.flatnonzero(flags), len(flags))
    found = at[np.searchsorted(at, bounds[:-1])]
    return np.where(found < bounds[1:], found, -1)
