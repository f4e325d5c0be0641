"""Condensed texts cut at their gaps, and the claims of the pieces put together again as the claims of the texts.

A claim never reaches across a gap, so pieces are read alone; there are far fewer kinds of pieces than of texts.  Only
which tire a size speaks of is judged over a whole text: texts that may name another tire stay whole.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.claims.batch.shapes import Part
from auditor.claims.claimed_values import MOST_OCCURRENCES
from auditor.columns.digit_shapes import Bytes, characters_of

Places = npt.NDArray[np.int64]
_GAP = ord("_")


class Pieces(NamedTuple):
    """Pieces of texts in text order: the text of each, where it begins among all characters, and what it is."""

    text: Places
    start: Places
    code: npt.NDArray[np.int32]  # in `distinct`
    distinct: pa.StringArray


class ClaimTable(NamedTuple):
    """Claims as columns of one length, in text order; `start` and `end` are places among all characters."""

    owner: Places
    field: npt.NDArray[np.int64]
    value: npt.NDArray[np.float64]
    half_step: npt.NDArray[np.float64]
    open_ended: npt.NDArray[np.bool_]
    start: Places
    end: Places

    def taken(self, rows: Any) -> ClaimTable:
        """Some of the claims."""
        return ClaimTable(*(column[rows] for column in self))


def pieces_of(texts: pa.StringArray, whole: npt.NDArray[np.bool_]) -> Pieces:
    """The pieces of distinct texts, each with the gaps beside it; texts in `whole` are one piece."""
    data, offsets = characters_of(texts)
    gaps = np.flatnonzero(data == _GAP)
    text = np.searchsorted(offsets, gaps, side="right") - 1
    gaps = gaps[~whole[text] & (gaps > offsets[text]) & (gaps + 1 < offsets[text + 1])]
    filled = np.flatnonzero(np.diff(offsets) > 0)
    if len(gaps) == 0:
        return Pieces(filled, offsets[filled].astype(np.int64), filled.astype(np.int32), texts)
    start = np.union1d(offsets[filled].astype(np.int64), gaps)
    text = np.searchsorted(offsets, start, side="right") - 1
    # With every gap inside a text written twice, the pieces stand end to end.
    count = len(data) + len(gaps)
    bounds = np.append(start + np.searchsorted(gaps, start, side="right"), count).astype(np.int32)
    letters = np.full(count, _GAP, dtype=np.uint8)
    first = np.ones(count, dtype=np.bool_)
    first[gaps + np.arange(1, len(gaps) + 1)] = False
    letters[first] = data
    pieces = pa.StringArray.from_buffers(len(start), pa.py_buffer(bounds), pa.py_buffer(letters))
    coded = pieces.dictionary_encode()
    return Pieces(text, start, coded.indices.to_numpy(zero_copy_only=False), coded.dictionary)


class ClaimsFound:
    """Claims of pieces as they are found."""

    def __init__(self) -> None:
        self._parts: list[Part] = []
        self._places: list[Places] = []
        self._values: list[Any] = []
        self._single: list[tuple[int, Part]] = []

    def add(self, part: Part, positions: Places, values: Any) -> None:
        """A claim that several pieces share; `values` is one number or one for each."""
        self._parts.append(part)
        self._places.append(positions)
        self._values.append(np.full(len(positions), values) if isinstance(values, float) else values)

    def add_one(self, part: Part, position: int) -> None:
        """A claim of one piece."""
        self._single.append((position, part))

    def table(self, fields: dict[str, int]) -> ClaimTable:
        """All claims, by piece and in the order of its text; numbers the fields in `fields`."""
        parts = self._parts + [part for _, part in self._single]
        counts = [len(positions) for positions in self._places] + [1] * len(self._single)
        positions = [*self._places, np.array([position for position, _ in self._single], dtype=np.int64)]
        values = [*self._values, np.array([part.value for _, part in self._single], dtype=np.float64)]
        order = np.array([part.order for part in parts], dtype=np.int64)
        for part in parts:
            fields.setdefault(part.field, len(fields))

        def repeated(column: list[Any], kind: Any) -> Any:
            return np.repeat(np.array(column, dtype=kind), counts)

        owner = np.concatenate(positions)
        table = ClaimTable(
            owner,
            repeated([fields[part.field] for part in parts], np.int64),
            np.concatenate(values),
            repeated([part.half_step for part in parts], np.float64),
            repeated([part.open_ended for part in parts], np.bool_),
            repeated([part.start for part in parts], np.int64),
            repeated([part.end for part in parts], np.int64),
        )
        return table.taken(np.lexsort((np.repeat(order, counts), owner)))


def claims_of_texts(claims: ClaimTable, pieces: Pieces) -> ClaimTable:
    """The claims of the distinct pieces, for every text that has the piece."""
    bounds = np.searchsorted(claims.owner, np.arange(len(pieces.distinct) + 1))
    counts = np.diff(bounds)[pieces.code]
    ends = np.cumsum(counts)
    rows = np.repeat(bounds[:-1][pieces.code] - (ends - counts), counts) + np.arange(ends[-1] if len(ends) else 0)
    taken = claims.taken(rows)
    shift = np.repeat(pieces.start, counts)
    return taken._replace(owner=np.repeat(pieces.text, counts), start=taken.start + shift, end=taken.end + shift)


def without_compared(claims: ClaimTable, field: int) -> ClaimTable:
    """A text that states two values of a field compares them; then it claims none."""
    rows = np.flatnonzero(claims.field == field)
    if len(rows) == 0:
        return claims
    owners, values = claims.owner[rows], claims.value[rows]
    firsts = np.flatnonzero(np.append(True, owners[1:] != owners[:-1]))
    low, high = np.minimum.reduceat(values, firsts), np.maximum.reduceat(values, firsts)
    keep = np.ones(len(claims.field), dtype=np.bool_)
    keep[rows] = np.repeat(low == high, np.diff(np.append(firsts, len(rows))))
    return claims.taken(keep)


def by_occurrence(claims: ClaimTable, fields: int) -> dict[tuple[int, int], ClaimTable]:
    """The first MOST_OCCURRENCES claims of each field, by field and occurrence."""
    key = claims.field * (int(claims.owner.max(initial=0)) + 1) + claims.owner
    order = np.argsort(key, kind="stable")
    claims, key = claims.taken(order), key[order]
    firsts = np.flatnonzero(np.append(True, key[1:] != key[:-1])) if len(key) else np.zeros(0, np.int64)
    occurrence = np.arange(len(key)) - np.repeat(firsts, np.diff(np.append(firsts, len(key))))
    result = {}
    bounds = np.searchsorted(claims.field, np.arange(fields + 1)).tolist()
    for field in range(fields):
        own = slice(bounds[field], bounds[field + 1])
        for position in range(min(MOST_OCCURRENCES, int(occurrence[own].max(initial=-1)) + 1)):
            result[(field, position)] = claims.taken(bounds[field] + np.flatnonzero(occurrence[own] == position))
    return result


def cut(data: Bytes, starts: Any, ends: Any) -> pa.StringArray:
    """Stretches of joined texts as an array of strings."""
    lengths = ends - starts
    offsets = np.zeros(len(lengths) + 1, dtype=np.int32)
    np.cumsum(lengths, out=offsets[1:])
    source = np.repeat(starts - offsets[:-1], lengths) + np.arange(offsets[-1])
    letters = np.ascontiguousarray(data[source])
    return pa.StringArray.from_buffers(len(lengths), pa.py_buffer(offsets), pa.py_buffer(letters))
