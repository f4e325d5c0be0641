"""The words of markings, read when a finding first asks for them: few of a feed's markings ever come into one."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.columns.marking_rows import Words
from auditor.marking.words import MarkingWords

Places = npt.NDArray[np.int64]


class WordStore:
    """Words by code, for the markings of one generation of a cache.  Code 0 has none."""

    def __init__(self, read: Callable[[pa.Array], Words]) -> None:
        """`read` gives the words of distinct keys, one text per kind and key."""
        self._read = read
        self._lock = threading.Lock()
        self._where = np.zeros(1, dtype=np.int32)  # of a code's words in the columns; -1 while they are not read
        self._columns = dict.fromkeys(MarkingWords._fields, pa.array([""], pa.string()))

    def add(self, codes: Places, words: Words) -> None:
        """Keeps words that are at hand."""
        with self._lock:
            self._keep(codes, words)

    def taken(self, name: str, keys: pa.Array, codes: npt.NDArray[Any]) -> pa.Array:
        """One kind of words of some codes; `keys` are the keys by code."""
        with self._lock:
            self._reach(len(keys))
            unread = np.flatnonzero(np.bincount(codes[self._where[codes] < 0]))
            if len(unread):
                self._keep(unread, self._read(keys.take(pa.array(unread))))
            where, column = self._where[codes], self._columns[name]
        return column.take(pa.array(where))

    def _keep(self, codes: Places, words: Words) -> None:
        self._reach(int(codes.max()) + 1)
        start = len(self._columns["canonical"])
        self._where[codes] = np.arange(start, start + len(codes), dtype=np.int32)
        self._columns = {name: pa.concat_arrays([column, words[name]]) for name, column in self._columns.items()}

    def _reach(self, count: int) -> None:
        if count > len(self._where):
            self._where = np.concatenate([self._where, np.full(count - len(self._where), -1, dtype=np.int32)])


class WordColumn(NamedTuple):
    """One kind of words for every code of a snapshot."""

    name: str
    keys: pa.Array
    store: WordStore

    def take(self, codes: pa.Array) -> pa.Array:
        """The words of some codes."""
        return self.store.taken(self.name, self.keys, codes.to_numpy(zero_copy_only=False))

    def slice(self, start: int) -> pa.Array:
        """The words of all codes from `start` on."""
        return self.store.taken(self.name, self.keys, np.arange(start, len(self.keys)))
