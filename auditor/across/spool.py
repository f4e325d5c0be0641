"""Files that hold what does not fit into memory: rows in order, and rows in buckets by key."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

Rows = npt.NDArray[np.int64]
BUCKETS = 64
_BUFFER_BYTES = 1 << 20


def picked(rows: npt.NDArray[Any], at: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """rows[at] for rows of several columns and places or a mask; numpy itself would copy column by column."""
    if at.dtype == np.bool_:
        at = np.flatnonzero(at)
    whole = np.ascontiguousarray(rows).view(np.dtype((np.void, rows.dtype.itemsize)))
    result: npt.NDArray[Any] = whole.take(at).view(rows.dtype)
    return result


class RowStore:
    """Rows of one dtype in the order in which they were added."""

    def __init__(self, path: Path, dtype: np.dtype[Any]) -> None:
        self._path = path
        self.dtype = dtype
        self.count = 0

    def add(self, rows: npt.NDArray[Any]) -> None:
        """Appends rows."""
        with self._path.open("ab") as file:
            np.ascontiguousarray(rows).tofile(file)
        self.count += len(rows)

    def read(self) -> npt.NDArray[Any]:
        """All rows so far, mapped from the file so that only what is looked at is read."""
        if not self.count:
            return np.zeros(0, dtype=self.dtype)
        with self._path.open("rb") as file:  # the map outlives the file object
            return np.memmap(file, dtype=self.dtype, mode="r", shape=(self.count,))


class Buckets:
    """Rows spread over files by a number; the rows of one bucket keep the order in which they were added."""

    def __init__(self, folder: Path, name: str, dtype: np.dtype[Any]) -> None:
        self._folder = folder
        self._name = name
        self.dtype = dtype
        self._waiting: dict[int, list[npt.NDArray[Any]]] = {}
        self._bytes = 0
        self._files: set[int] = set()
        self._counts: dict[int, int] = {}

    def add(self, rows: npt.NDArray[Any], bucket: npt.NDArray[Any]) -> None:
        """Adds rows, each to its bucket."""
        order = np.argsort(bucket, kind="stable")
        sorted_buckets = bucket[order]
        rows = picked(rows, order)
        changes = np.flatnonzero(sorted_buckets[1:] != sorted_buckets[:-1]) + 1
        starts = [0, *changes.tolist()] if len(rows) else []
        ends = [*starts[1:], len(rows)]
        for start, end in zip(starts, ends, strict=False):
            bucket_number = int(sorted_buckets[start])
            self._waiting.setdefault(bucket_number, []).append(rows[start:end])
            self._counts[bucket_number] = self._counts.get(bucket_number, 0) + end - start
        self._bytes += rows.nbytes
        if self._bytes > 16 * _BUFFER_BYTES:
            self._flush()

    def _flush(self) -> None:
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
        return sorted(self._files | set(self._waiting))

    def read(self, bucket: int) -> npt.NDArray[Any]:
        """All rows of a bucket."""
        parts = list(self._waiting.get(bucket, []))
        if bucket in self._files:
            parts.insert(0, np.fromfile(self._path(bucket), dtype=self.dtype))
        return np.concatenate(parts) if parts else np.zeros(0, dtype=self.dtype)

    def slices(self, bucket: int, size: int) -> Iterator[npt.NDArray[Any]]:
        """The rows of a bucket, at most `size` at a time; all at once where they are no more."""
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
