"""Files that hold what does not fit into memory: rows in order, and rows in buckets by key."""

from __future__ import annotations

import json
import mmap
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

Rows = npt.NDArray[np.int64]
BUCKETS = 64
_BUFFER_BYTES = 4 << 20  # of all buckets of one kind
_SORTED_AT_ONCE = 1 << 12  # rows: those of a small feed alone cost as much as all of these
_WRITTEN_AT_ONCE = 1 << 12  # rows: so does opening the file for them
_WINDOW_BYTES = 64 << 10  # what the system maps around a byte that is looked at
_MOST_WINDOWS = 1024


def take_rows(rows: npt.NDArray[Any], at: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """rows[at] for rows of several columns and places or a mask; numpy itself would copy column by column."""
    if at.dtype == np.bool_:
        at = np.flatnonzero(at)
    whole = np.ascontiguousarray(rows).view(np.dtype((np.void, rows.dtype.itemsize)))
    result: npt.NDArray[Any] = whole.take(at).view(rows.dtype)
    return result


class MappedRows:
    """Rows in a file.  What is looked at is mapped into memory, a window of the file at a time, and let go of again."""

    def __init__(self, path: Path, dtype: np.dtype[Any], count: int) -> None:
        self._count = count
        self._rows: npt.NDArray[Any] = np.zeros(0, dtype=dtype)
        self._map: mmap.mmap | None = None
        if count:
            with path.open("rb") as file:  # the map outlives the file object
                self._map = mmap.mmap(file.fileno(), count * dtype.itemsize, access=mmap.ACCESS_READ)
            self._rows = np.frombuffer(self._map, dtype=dtype)

    def __len__(self) -> int:
        return self._count

    def pick(self, at: Rows) -> npt.NDArray[Any]:
        """The rows at some places, in the order of the places."""
        order = None if (at[1:] >= at[:-1]).all() else np.argsort(at, kind="stable")
        rising = at if order is None else at[order]
        windows = rising * self._rows.itemsize // _WINDOW_BYTES
        passed = np.cumsum(np.diff(windows, prepend=windows[:1]) != 0)  # how many other windows lie before
        cuts = np.searchsorted(passed, np.arange(0, int(passed[-1]) + 1 if len(passed) else 0, _MOST_WINDOWS))
        found = np.empty(len(at), dtype=self._rows.dtype)
        for start, stop in pairwise([*cuts.tolist(), len(at)]):
            some = take_rows(self._rows, rising[start:stop])
            if order is None:
                found[start:stop] = some
            else:
                found[order[start:stop]] = some
            self._let_go()
        return found

    def stretch(self, start: int, stop: int) -> npt.NDArray[Any]:
        """A copy of the rows from `start` to `stop`."""
        found = self._rows[start:stop].copy()
        self._let_go()
        return found

    def _let_go(self) -> None:
        if self._map is not None and hasattr(mmap, "MADV_DONTNEED"):  # not on every system
            self._map.madvise(mmap.MADV_DONTNEED)


def bucket_of(keys: npt.NDArray[np.uint64]) -> npt.NDArray[np.uint8]:
    """The bucket of each key, evenly spread even where keys are running numbers."""
    spread = (keys * np.uint64(0x9E3779B97F4A7C15)) >> np.uint64(58)
    return (spread % np.uint64(BUCKETS)).astype(np.uint8)


class RowStore:
    """Rows of one dtype in the order in which they were added."""

    def __init__(self, path: Path, dtype: np.dtype[Any]) -> None:
        self._path = path
        self.dtype = dtype
        self.count = 0
        self._waiting: list[npt.NDArray[Any]] = []
        self._written = 0

    def add(self, rows: npt.NDArray[Any]) -> None:
        """Appends rows."""
        self._waiting.append(rows)
        self.count += len(rows)
        if self.count - self._written >= _WRITTEN_AT_ONCE:
            self._write()

    def _write(self) -> None:
        with self._path.open("ab") as file:
            for rows in self._waiting:
                np.ascontiguousarray(rows).tofile(file)
        self._waiting, self._written = [], self.count

    def read(self) -> MappedRows:
        """All rows so far."""
        if self._waiting:
            self._write()
        return MappedRows(self._path, self.dtype, self.count)


class Buckets:
    """Rows spread over files by a number; the rows of one bucket keep the order in which they were added."""

    def __init__(self, folder: Path, name: str, dtype: np.dtype[Any]) -> None:
        self._folder = folder
        self._name = name
        self.dtype = dtype
        self._loose: list[tuple[npt.NDArray[Any], npt.NDArray[Any]]] = []  # not yet in their buckets
        self._loose_rows = 0
        self._waiting: dict[int, list[npt.NDArray[Any]]] = {}
        self._bytes = 0
        self._files: set[int] = set()
        self._counts: dict[int, int] = {}

    def add(self, rows: npt.NDArray[Any], bucket: npt.NDArray[Any]) -> None:
        """Adds rows, each to its bucket."""
        self._loose.append((rows, bucket))
        self._loose_rows += len(rows)
        self._bytes += rows.nbytes
        if self._loose_rows >= _SORTED_AT_ONCE:
            self._sort_in()
        if self._bytes > _BUFFER_BYTES:
            self.flush()

    def _sort_in(self) -> None:
        if not self._loose_rows:
            return
        rows, bucket = (np.concatenate(parts) for parts in zip(*self._loose, strict=True))
        self._loose, self._loose_rows = [], 0
        order = np.argsort(bucket, kind="stable")
        sorted_buckets = bucket[order]
        rows = take_rows(rows, order)
        changes = np.flatnonzero(sorted_buckets[1:] != sorted_buckets[:-1]) + 1
        starts = [0, *changes.tolist()] if len(rows) else []
        ends = [*starts[1:], len(rows)]
        for start, end in zip(starts, ends, strict=False):
            bucket_number = int(sorted_buckets[start])
            self._waiting.setdefault(bucket_number, []).append(rows[start:end])
            self._counts[bucket_number] = self._counts.get(bucket_number, 0) + end - start

    def flush(self) -> None:
        """Writes what waits in memory."""
        self._sort_in()
        for bucket, parts in sorted(self._waiting.items()):
            self._files.add(bucket)
            with self._path(bucket).open("ab") as file:
                for part in parts:
                    part.tofile(file)
        self._waiting = {}
        self._bytes = 0

    def _path(self, bucket: int) -> Path:
        return self._folder / f"{self._name}.{bucket}"

    def numbers(self) -> list[int]:
        """The buckets that hold rows, in order."""
        self._sort_in()
        return sorted(self._files | set(self._waiting))

    def read(self, bucket: int) -> npt.NDArray[Any]:
        """All rows of a bucket."""
        self._sort_in()
        parts = list(self._waiting.get(bucket, []))
        if bucket in self._files:
            parts.insert(0, np.fromfile(self._path(bucket), dtype=self.dtype))
        return np.concatenate(parts) if parts else np.zeros(0, dtype=self.dtype)

    def slices(self, bucket: int, size: int) -> Iterator[npt.NDArray[Any]]:
        """The rows of a bucket, at most `size` at a time; all at once where they are no more."""
        self._sort_in()
        if self._counts.get(bucket, 0) <= size:
            yield self.read(bucket)
            return
        if bucket in self._files:
            with self._path(bucket).open("rb") as file:
                while len(rows := np.fromfile(file, dtype=self.dtype, count=size)):
                    yield rows
        for part in self._waiting.get(bucket, []):
            for start in range(0, len(part), size):
                yield part[start : start + size]


class TextStore:
    """Texts that findings share, each kept once as far as memory allows, told apart by where they begin."""

    _MOST_KNOWN = 100_000

    def __init__(self, path: Path) -> None:
        self._file = path.open("w+b")
        self._known: dict[tuple[str, ...], int] = {}
        self._end = 0

    def add(self, texts: tuple[str, ...]) -> int:
        """The number of these texts."""
        found = self._known.get(texts)
        if found is not None:
            return found
        if len(self._known) >= self._MOST_KNOWN:
            self._known = {}
        number = self._known[texts] = self._end
        self._file.seek(number)
        self._end += self._file.write(json.dumps(texts).encode() + b"\n")
        return number

    def read(self, number: int) -> tuple[str, ...]:
        """The texts of a number."""
        self._file.seek(number)
        return tuple(json.loads(self._file.readline()))

    def close(self) -> None:
        """Ends the use of the file."""
        self._file.close()
