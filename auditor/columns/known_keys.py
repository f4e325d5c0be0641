"""Texts that were met before, found again without a table of all of them being made for each look-up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.columns.marks import Marks, Places, marks_of

_LEAST = 12  # places in a table of few, as a power of two; of more there are four for each
_TURNS = 3  # places that a text may have in the table; one that finds all of them held is among the others
_MIX = np.uint64(0xD6E8FEB86659FD93)
_FREE = -1


@dataclass(frozen=True, slots=True)
class KnownKeys:
    """Distinct texts in the order in which they came; a longer one shares the table of the one that it comes of.

    What a longer one has put into the table a shorter one takes for unknown, as it is there.
    """

    texts: pa.StringArray
    _table: npt.NDArray[np.int32]  # where in the texts the one is that has a place here
    _others: Places  # the texts that are not in the table

    @staticmethod
    def of(texts: pa.StringArray) -> KnownKeys:
        """Some distinct texts."""
        size = max(_LEAST, (4 * len(texts) - 1).bit_length())
        table = np.full(1 << size, _FREE, np.int32)
        others = _put(table, marks_of(texts), np.arange(len(texts)))
        return KnownKeys(texts, table, others)

    def __len__(self) -> int:
        return len(self.texts)

    def with_more(self, texts: pa.StringArray) -> KnownKeys:
        """These and more texts, which are distinct and none of these.  Of one only one longer one may be made."""
        every = pa.concat_arrays([self.texts, texts.cast(pa.string())])
        if 4 * len(every) > 2 * len(self._table):
            return KnownKeys.of(every)
        others = _put(self._table, marks_of(texts), np.arange(len(self), len(every)))
        return KnownKeys(every, self._table, np.append(self._others, others))

    def places(self, texts: pa.Array) -> Places:
        """The place of each of some texts; -1 for others and for null."""
        if not len(self):
            return np.full(len(texts), _FREE, np.int64)
        texts = texts.cast(pa.string())
        marks = marks_of(texts)
        found = self._found(texts, marks, 0)
        left = np.flatnonzero(found < 0)
        for turn in range(1, _TURNS):
            if not len(left):
                return found
            found[left] = self._found(texts.take(pa.array(left)), marks[left], turn)
            left = left[found[left] < 0]
        if len(self._others) and len(left):
            among = pc.index_in(texts.take(pa.array(left)), value_set=self.texts.take(pa.array(self._others)))
            place = among.fill_null(_FREE).to_numpy(zero_copy_only=False)
            found[left] = np.where(place < 0, _FREE, self._others[place])
        return found

    def _found(self, texts: pa.StringArray, marks: Marks, turn: int) -> Places:
        """The places of texts that stand in the table where their marks say in one of the turns."""
        at = self._table[_places(marks, turn, len(self._table))].astype(np.int64)
        at[at >= len(self)] = _FREE
        same = pc.equal(self.texts.take(pa.array(np.maximum(at, 0))), texts).fill_null(False)
        return np.where(same.to_numpy(zero_copy_only=False), at, _FREE)


def _places(marks: Marks, turn: int, size: int) -> Places:
    mixed = (marks ^ (marks >> np.uint64(29))) * _MIX
    width = size.bit_length() - 1
    return (mixed >> np.uint64(64 - width * (turn + 1) if width * (turn + 1) < 64 else 0)).astype(np.int64) & (size - 1)


def _put(table: npt.NDArray[np.int32], marks: Marks, numbers: Places) -> Places:
    """Puts numbers where their marks say; those that found no place."""
    left = np.arange(len(numbers))
    for turn in range(_TURNS):
        at = _places(marks[left], turn, len(table))
        free = table[at] == _FREE
        table[at[free]] = numbers[left[free]]
        left = left[table[at] != numbers[left]]
    return numbers[left]
