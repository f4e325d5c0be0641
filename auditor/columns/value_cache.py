"""Each distinct text of a column is read once per run: caches from text to numbers, and from marking to facts.

A cache answers a block with codes and with a snapshot that the codes point into.  Snapshots never change, so blocks in
other threads keep theirs.  A cache that grows past its cap starts anew, which keeps memory flat when all values differ.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.columns.known_keys import KnownKeys
from auditor.columns.marks import Places
from auditor.marking.store import MarkingRow
from auditor.marking.words import MarkingWords
from auditor.quantities.cell_values import Parsed
from auditor.trade.facts import FACT_POSITION, FACTS, NO_FACTS

MOST_TEXTS = 100_000  # distinct texts kept per cache
_MANY_TEXTS, _MOST_HELD = 1024, 0.8  # from how many on, and of them the share from which on, a column stays as it is
Codes = npt.NDArray[np.int32]
Floats = npt.NDArray[np.float64]
Words = Mapping[str, pa.Array]  # by kind, one text per marking


class Values(Protocol):
    """The numbers of one (field, turn) over all texts of a snapshot; NaN where a text does not state it."""

    @property
    def value(self) -> Floats: ...

    @property
    def half_step(self) -> Floats: ...

    @property
    def open_ended(self) -> npt.NDArray[np.bool_]: ...

    def words(self, codes: npt.NDArray[Any]) -> pa.Array:
        """The words of the claims of some texts; "" for cells, where the whole cell is the statement."""
        ...

    @property
    def distinct_words(self) -> tuple[pa.Array, npt.NDArray[np.intp]]:
        """The distinct words, and for every text of the snapshot the place of its own among them."""
        ...


@dataclass(slots=True)
class CellValues:
    """The values that cells state."""

    value: Floats
    half_step: Floats
    open_ended: npt.NDArray[np.bool_]

    def words(self, codes: npt.NDArray[Any]) -> pa.Array:
        return pa.repeat("", len(codes))

    @property
    def distinct_words(self) -> tuple[pa.Array, npt.NDArray[np.intp]]:
        return pa.array([""], pa.string()), np.zeros(len(self.value), np.intp)


@dataclass(frozen=True, slots=True)
class TextSnapshot:
    """The state of a text cache that a block's codes point into; code 0 is the blank cell."""

    keys: pa.Array
    status: npt.NDArray[np.int8]
    reasons: list[str]
    values: Mapping[tuple[str, int], Values]


def of_own_texts(column: pa.Array) -> pa.Array:
    """A column coded by the texts that it holds: a piece of a row group comes with those of the whole row group."""
    if not pa.types.is_dictionary(column.type) or len(column.dictionary) < _MANY_TEXTS:
        return column
    known, places = encoded(column)
    held = np.zeros(len(known) + 1, np.bool_)  # the last for null
    held[places] = True
    held[-1] = False
    if held.sum() > _MOST_HELD * len(known):
        return column
    numbers = (np.cumsum(held) - 1).astype(np.int32)[places]
    indices = pa.array(numbers, mask=places < 0) if (places < 0).any() else pa.array(numbers)
    return pa.DictionaryArray.from_arrays(indices, known.filter(pa.array(held[:-1])))


def encoded(column: pa.Array) -> tuple[pa.Array, npt.NDArray[np.intp]]:
    """(distinct texts, place of each record's text in them; -1 for null).

    Places are of the width that numpy indexes with: narrower ones would be widened anew for every gathering.
    """
    if not pa.types.is_dictionary(column.type):
        column = column.dictionary_encode()
    indices = column.indices
    if not indices.null_count:
        return column.dictionary, indices.to_numpy().astype(np.intp)
    known, codes = indices.buffers()
    start, end = indices.offset, indices.offset + len(indices)
    positions = np.frombuffer(codes, indices.type.to_pandas_dtype(), end)[start:].astype(np.intp)
    valid = np.unpackbits(np.frombuffer(known, np.uint8), count=end, bitorder="little")[start:]
    positions[valid == 0] = -1
    return column.dictionary, positions


def distinct(columns: Sequence[npt.NDArray[Any]]) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """(first row of each distinct combination, combination number of each row) over parallel integer columns."""
    ids: npt.NDArray[np.int64] | None = None
    for column in columns:
        codes = pa.array(column).dictionary_encode().indices.to_numpy(zero_copy_only=False).astype(np.int64)
        if ids is None:
            ids = codes
        else:
            wide = ids * (int(codes.max()) + 1 if len(codes) else 1) + codes
            ids = pa.array(wide).dictionary_encode().indices.to_numpy(zero_copy_only=False).astype(np.int64)
    if ids is None or len(ids) == 0:
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    count = int(ids.max()) + 1
    first = np.zeros(count, dtype=np.int64)
    first[ids[::-1]] = np.arange(len(ids) - 1, -1, -1)
    return first, ids


class TextCache:
    """Cells of one column (or of columns read alike) -> what they say."""

    def __init__(self, parse: Callable[[str], Parsed], most: int | None = None) -> None:
        self._parse = parse
        self._most = MOST_TEXTS if most is None else most
        self._lock = threading.Lock()
        self._snapshot = _empty_texts()

    def encode(self, column: pa.Array) -> tuple[Codes, TextSnapshot, npt.NDArray[np.intp]]:
        """(codes of the column's distinct texts, the snapshot they point into, each record's place in the codes).

        The last code is that of the blank cell, so that place -1 finds it.
        """
        texts, positions = encoded(column)
        codes, snapshot = self._codes(texts)
        return np.append(codes, np.int32(0)), snapshot, positions

    def _codes(self, texts: pa.Array) -> tuple[Codes, TextSnapshot]:
        snapshot = self._snapshot
        found = pc.index_in(texts, value_set=snapshot.keys)
        if not found.null_count:
            return found.to_numpy(zero_copy_only=False).astype(np.int32), snapshot
        with self._lock:
            if snapshot is not self._snapshot:
                snapshot = self._snapshot
                found = pc.index_in(texts, value_set=snapshot.keys)
            unseen = texts.filter(found.is_null()).drop_null()
            if len(unseen):
                base = snapshot
                if len(base.keys) + len(unseen) > self._most:
                    base, found = _empty_texts(), pc.index_in(texts, value_set=_BLANK_ONLY)
                    unseen = texts.filter(found.is_null()).drop_null().unique()
                snapshot = _grown_texts(base, unseen, [self._parse(t) for t in unseen.to_pylist()])
                self._snapshot = snapshot
                found = _completed(found, texts, unseen, len(base.keys))
        return found.fill_null(0).to_numpy(zero_copy_only=False).astype(np.int32), snapshot


_BLANK_ONLY = pa.array([""], pa.string())


def _completed(found: pa.Array, texts: pa.Array, unseen: pa.Array, start: int) -> pa.Array:
    """`found`, and where texts had no place yet their places among those that follow `start` others.

    Looking up all of them again would make a table of all keys a second time.
    """
    gaps = found.is_null()
    positions = pc.index_in(texts.filter(gaps), value_set=unseen)
    return pc.replace_with_mask(found, gaps, pc.add(positions, pa.scalar(start, pa.int32())))


def _empty_texts() -> TextSnapshot:
    return TextSnapshot(_BLANK_ONLY, np.zeros(1, dtype=np.int8), [""], {})


def _grown_texts(base: TextSnapshot, unseen: pa.Array, parsed: Sequence[Parsed]) -> TextSnapshot:
    old, new = len(base.keys), len(parsed)
    status = np.concatenate([base.status, np.array([p.status for p in parsed], dtype=np.int8)])
    values: dict[tuple[str, int], CellValues] = {}
    for name, kept in base.values.items():
        values[name] = CellValues(
            np.concatenate([kept.value, np.full(new, np.nan)]),
            np.concatenate([kept.half_step, np.zeros(new)]),
            np.concatenate([kept.open_ended, np.zeros(new, dtype=np.bool_)]),
        )
    for position, one in enumerate(parsed, start=old):
        for said in one.said:
            name = (said.field, said.occurrence)
            target = values.get(name)
            if target is None:
                target = values[name] = CellValues(
                    np.full(old + new, np.nan), np.zeros(old + new), np.zeros(old + new, dtype=np.bool_)
                )
            target.value[position] = said.value
            target.half_step[position] = said.half_step
            target.open_ended[position] = said.open_ended
    return TextSnapshot(
        pa.concat_arrays([base.keys, unseen.cast(pa.string())]),
        status,
        base.reasons + [p.reason for p in parsed],
        values,
    )


@dataclass(frozen=True, slots=True)
class MarkingSnapshot:
    """The state of the marking cache: the keys, FACTS x markings, and the words of each, by kind.

    Keys that say the same share a code, and `keys` holds the first of them.
    """

    keys: pa.Array
    facts: Floats
    texts: Words
    room: Floats  # shared with older snapshots until it is full
    known: KnownKeys  # every key that was read
    codes: Codes  # of each of these
    generation: int = 0  # codes hold across snapshots of one generation
    made: dict[Hashable, Any] = field(default_factory=dict)  # what followed from facts, for every code

    def word_column(self, name: str) -> pa.Array:
        """One kind of words for every code."""
        return self.texts[name]

    def words(self, codes: Codes) -> list[MarkingWords]:
        """All words of some markings."""
        taken = (self.word_column(name).take(pa.array(codes)).to_pylist() for name in MarkingWords._fields)
        return [MarkingWords(*words) for words in zip(*taken, strict=True)]

    def fact(self, name: str, codes: Codes) -> Floats:
        """A fact for every code."""
        values: Floats = self.facts[FACT_POSITION[name]][codes]
        return values


_ROWS_AT_ONCE = 4096  # as Python's objects a row takes many times its numbers' room
# Room at first; it doubles.  All at once would take 48 MiB where the system gives memory by large pages, used or not.
_ROOM = 1024
_generations = count(1)  # no two caches share one
# Where of many keys that are asked for nearly all are new, as titles are that stand for markings, keeping them is of no
# use: from a fifth of the most on the cache then starts anew.
_HARDLY = 0.75


class MarkingCache:
    """Keys of markings (see `auditor.marking.store`) -> facts and words."""

    def __init__(self, read: Callable[[str], MarkingRow], most: int | None = None) -> None:
        """`read` reads one key."""
        self._read = read
        self._most = MOST_TEXTS if most is None else most
        self._lock = threading.Lock()
        self._marked: dict[int, int] = {}  # codes by the marks of rows; those of the generation
        self._snapshot = self._begin()

    def codes(self, batches: Sequence[pa.Array]) -> tuple[list[npt.NDArray[np.intp]], MarkingSnapshot]:
        """Codes for several arrays of distinct keys at once, all into one snapshot; nulls and "" get 0."""
        keys = batches[0] if len(batches) == 1 else pa.concat_arrays(list(batches))
        snapshot = self._snapshot
        found = snapshot.known.places(keys)
        if np.count_nonzero(found < 0) > keys.null_count:
            with self._lock:
                if snapshot is not self._snapshot:
                    snapshot = self._snapshot
                    found = snapshot.known.places(keys)
                found, snapshot = self._learn(keys, found, snapshot)
        codes = snapshot.codes[np.maximum(found, 0)].astype(np.intp)
        parts, start = [], 0
        for batch in batches:
            parts.append(codes[start : start + len(batch)])
            start += len(batch)
        return parts, snapshot

    def _learn(self, keys: pa.Array, found: Places, base: MarkingSnapshot) -> tuple[Places, MarkingSnapshot]:
        """Reads the keys that were not `found` in `base`, the newest snapshot."""
        unseen = keys.filter(pa.array(found < 0)).drop_null().unique()
        if not len(unseen):
            return found, base
        many = len(base.known) > self._most // 5 and len(unseen) > self._most // 20
        hardly_repeated = many and len(unseen) > _HARDLY * len(keys)
        if hardly_repeated or len(base.known) + len(unseen) > self._most + 1:
            base = self._begin()
            unseen = keys.filter(pa.array(base.known.places(keys) < 0)).drop_null().unique()
        self._snapshot = self._grown(base, unseen)
        return self._snapshot.known.places(keys), self._snapshot

    def _begin(self) -> MarkingSnapshot:
        self._marked = {}
        room = np.empty((len(FACTS), _ROOM))
        room[:, 0] = NO_FACTS
        words = dict.fromkeys(MarkingWords._fields, _BLANK_ONLY)
        nothing = np.zeros(1, np.int32)
        known = KnownKeys.of(_BLANK_ONLY)
        return MarkingSnapshot(_BLANK_ONLY, room[:, :1], words, room, known, nothing, next(_generations))

    def _grown(self, base: MarkingSnapshot, unseen: pa.Array) -> MarkingSnapshot:
        """Adds rows.  Older snapshots look at the same room, but not beyond their own end."""
        count, room = len(base.keys), base.room
        parts: list[list[pa.Array]] = [[base.texts[name]] for name in MarkingWords._fields]
        keys, codes = [base.keys], [base.codes]
        for start in range(0, len(unseen), _ROWS_AT_ONCE):
            some = unseen.slice(start, _ROWS_AT_ONCE)
            rows = [self._read(key) for key in some.to_pylist()]
            first, of_rows = self._told_apart(rows, count)
            codes.append(of_rows)
            if not first:
                continue
            room = self._with_room(room, count, count + len(first))
            room[:, count : count + len(first)] = np.array([rows[one].facts for one in first]).T
            count += len(first)
            for part, column in zip(parts, zip(*(rows[one].words for one in first), strict=True), strict=True):
                part.append(pa.array(column, pa.string()))
            keys.append(some if len(first) == len(some) else some.take(pa.array(first)))
        words = dict(zip(MarkingWords._fields, map(pa.concat_arrays, parts), strict=True))
        known = base.known.with_more(unseen)
        of_known = np.concatenate(codes)
        return MarkingSnapshot(pa.concat_arrays(keys), room[:, :count], words, room, known, of_known, base.generation)

    def _told_apart(self, rows: Sequence[MarkingRow], count: int) -> tuple[list[int], Codes]:
        """The rows that say what none did before them, and the codes of all; `count` is the next code."""
        first: list[int] = []
        codes = np.zeros(len(rows), np.int32)
        for place, row in enumerate(rows):
            code = count + len(first)
            known = self._marked.setdefault(row.mark, code) if row.mark else code
            if known == code:
                first.append(place)
            codes[place] = known
        return first, codes

    def _with_room(self, room: Floats, old: int, new: int) -> Floats:
        """Room for `new` rows, with the `old` in it."""
        if new <= room.shape[1]:
            return room
        wider = np.empty((len(FACTS), max(new, min(2 * room.shape[1], self._most + 1))))
        wider[:, :old] = room[:, :old]
        return wider
