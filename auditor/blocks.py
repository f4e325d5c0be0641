"""The statements of a block of records, as arrays gathered from the value caches by code."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.book import RuleBook
from auditor.facts import FACT_PLACE, code_text
from auditor.gtin_arrays import gtin_faults
from auditor.marking_store import JOIN_MARK, SERVICE_MARK
from auditor.readings import BLANK, BLANK_MARKINGS, UNREADABLE
from auditor.statements import (
    CONVERTED,
    MARKING_TEXTS,
    TEXTS,
    Governing,
    MarkingCells,
    OfMarking,
    Slot,
    Source,
    Statements,
    TextMarking,
    govern,
)
from auditor.value_cache import Codes, MarkingCache, MarkingSnapshot, TextSnapshot, encoded
from auditor.vocabulary import arrays

Rows = npt.NDArray[np.int64]


class CodedText:
    """One coded column of a block: codes of its texts, the snapshot that they point into, and the records' places."""

    __slots__ = ("_codes", "_places", "snapshot")

    def __init__(self, codes: Codes, snapshot: TextSnapshot, places: npt.NDArray[np.intp] | None = None) -> None:
        """`codes` by record, or by distinct text with each record's `places` among them."""
        self._codes = codes
        self._places = places
        self.snapshot = snapshot

    @property
    def codes(self) -> Codes:
        """The code of every record."""
        return self._codes if self._places is None else self._codes.take(self._places, mode="wrap")

    def gather(self, table: npt.NDArray[Any]) -> Any:
        """table[code] for every record; `table` has a row per text of the snapshot."""
        return table[self._codes] if self._places is None else table[self._codes].take(self._places, mode="wrap")

    def spread(self, make: Callable[[npt.NDArray[Any]], Any], table: npt.NDArray[Any]) -> Any:
        """make(table[code]) for every record, made once per distinct text."""
        made = make(table[self._codes])
        if self._places is None:
            return made
        if made.dtype == np.bool_ and not made.any():
            return np.zeros(len(self._places), dtype=np.bool_)
        return made.take(self._places, mode="wrap")

    @property
    def own_codes(self) -> Codes:
        """The codes of the column's texts, in the order that the records' places count."""
        return self._codes

    def of_records(self, values: npt.NDArray[Any]) -> Any:
        """For every record the value of its text; `values` has one for each of `own_codes`."""
        return values if self._places is None else values[self._places]

    def count_known(self, table: npt.NDArray[np.float64]) -> int:
        """For how many records table[code] is there."""
        known = ~np.isnan(table[self._codes])
        if self._places is None:
            return int(np.count_nonzero(known))
        if not known.any():
            return 0
        if known[:-1].all():  # the last is the blank cell's, at place -1
            return int(np.count_nonzero(self._places >= 0))
        return int(np.count_nonzero(known.take(self._places)))

    def at(self, rows: Rows) -> CodedText:
        """The same for some of the records."""
        if self._places is None:
            return CodedText(self._codes[rows], self.snapshot)
        return CodedText(self._codes, self.snapshot, self._places[rows])


class BlockStatements(Statements):
    """The statements of some records.  All answers are arrays with one element per record."""

    ops = arrays

    def __init__(
        self,
        book: RuleBook,
        sources: tuple[Source, ...],
        texts: dict[int, CodedText],
        raw: dict[int, pa.Array],
        count: int,
    ) -> None:
        """`texts` are the coded columns by source place, `raw` the columns kept as plain text (identity, GTIN)."""
        self.book = book
        self.sources = sources
        self.texts = texts
        self.raw = raw
        self.count = count
        self.default_supplier = ""  # of the feed, for records that name none
        self.memo: dict[Hashable, Any] = {}
        self.nothing = np.full(count, np.nan)
        self.never = np.zeros(count, dtype=np.bool_)
        self.markings: MarkingSnapshot
        self.text_codes: dict[str, Codes] = {}
        self.text_filled: dict[str, npt.NDArray[np.bool_]] = {}
        self.slots = _slots(sources, texts)

    def value(self, slot: Slot) -> Any:
        return self.cached(("value", slot), lambda: self._gather(slot, "value"))

    def per_value(self, slot: Slot, make: Callable[[Any], Any]) -> Any:
        coded = self.texts[slot.source]
        return coded.spread(make, coded.snapshot.values[(slot.field, slot.turn)].value)

    def half_step(self, slot: Slot) -> Any:
        return self._gather(slot, "half_step")

    def open_ended(self, slot: Slot) -> Any:
        return self._gather(slot, "open_ended")

    def _gather(self, slot: Slot, name: str) -> Any:
        coded = self.texts[slot.source]
        return coded.gather(getattr(coded.snapshot.values[(slot.field, slot.turn)], name))

    def unreadable(self, source: Source) -> Any:
        filled = self.text_filled.get(source.field)
        if filled is not None:
            return filled & ~(self.text_fact(source.field, "readable") == 1.0)
        coded = self.texts.get(source.place)
        return self.never if coded is None else coded.spread(lambda s: s == UNREADABLE, coded.snapshot.status)

    def filled(self, source: Source) -> Any:
        filled = self.text_filled.get(source.field)
        if filled is not None:
            return filled
        coded = self.texts.get(source.place)
        return self.never if coded is None else coded.spread(lambda s: s != BLANK, coded.snapshot.status)

    def marking_fact(self, name: str, codes: Any) -> Any:
        return self.markings.facts[FACT_PLACE[name]].take(codes, mode="wrap")  # quicker than looking at the ends

    def per_marking(self, make: OfMarking) -> Any:
        return self.cached(make, lambda: self._per_marking(make))

    def _per_marking(self, make: OfMarking) -> Any:
        kept = self.markings.made
        made = kept.get(make)
        if made is None:
            made = kept[make] = make(self.ops, self._fact_of_all)
        if made.dtype == np.bool_ and not made.any():
            return self.never
        return made.take(self.governing.codes, mode="wrap")

    def _fact_of_all(self, name: str) -> Any:
        """A fact for every marking of the snapshot."""
        base, factor = CONVERTED.get(name, (name, 1.0))
        values = self.markings.facts[FACT_PLACE[base]]
        return values if base == name else values * factor

    def _fact(self, name: str) -> Any:
        return super()._fact(name) if self.may_state(name) else self.nothing

    def may_state(self, name: str) -> bool:
        base = CONVERTED[name][0] if name in CONVERTED else name
        kept = self.markings.made
        known: bool | None = kept.get(base)
        if known is None:
            known = kept[base] = not np.isnan(self.markings.facts[FACT_PLACE[base]]).all()
        return known

    def text_fact(self, field: str, name: str) -> Any:
        codes = self.text_codes.get(field)
        return self.nothing if codes is None else self.marking_fact(name, codes)

    def supplier_in(self, names: tuple[str, ...]) -> Any:
        source = self.source_of("supplier")
        by_feed = self.default_supplier in names
        if source is None:
            return np.full(self.count, by_feed)
        texts = pc.utf8_trim_whitespace(self.raw[source.place].cast(pa.string()).fill_null(""))
        named = pc.is_in(texts, value_set=pa.array(list(names))).to_numpy(zero_copy_only=False)
        return named | pc.equal(texts, "").to_numpy(zero_copy_only=False) if by_feed else named

    def gtin_fault(self, source: Source) -> Any:
        return self.cached(("gtin", source.place), lambda: gtin_faults(self.raw[source.place]))

    def source_codes(self, place: int) -> Any:
        """Codes of a source's texts, equal where the texts are; for telling distinct findings apart."""
        if place < 0:
            return np.zeros(self.count, dtype=np.int64)
        coded = self.texts.get(place)
        if coded is not None:
            return coded.codes.astype(np.int64)
        column = self.raw[place]
        return encoded(column)[1].astype(np.int64)

    def cell_column(self, place: int, rows: Rows | None = None) -> pa.Array:
        """The raw texts of a source, "" for blank cells; of all records, or of some."""
        if place < 0:
            return pa.array([""], pa.string()).take(pa.array(np.zeros(self.count, dtype=np.int64)))
        coded = self.texts.get(place)
        if coded is not None:
            return coded.snapshot.keys.take(pa.array((coded if rows is None else coded.at(rows)).codes))
        column = self.raw[place] if rows is None else self.raw[place].take(pa.array(rows))
        return column.cast(pa.string()).fill_null("")

    def stated_column(self, hit: Any) -> pa.Array:
        """The raw texts of the whole cells, or a claim's own words."""
        if hit.report not in TEXTS or hit.source not in self.texts:
            return self.cell_column(hit.source)
        coded = self.texts[hit.source]
        words = None
        for about in (hit.about, "marking", "service_description"):
            values = coded.snapshot.values.get((about, hit.turn))
            if values is None:
                continue
            own = values.words(coded.codes)
            words = own if words is None else pc.if_else(pc.equal(words, ""), own, words)
        return self.cell_column(hit.source) if words is None else words

    def reason_column(self, field: str, place: int) -> pa.Array:
        """Why cells could not be read, as a clause: lower case, no full stop."""
        if field in self.text_codes:
            codes: Any = self.text_codes[field]
            reasons = self.markings.word_column("reason")
            texts = reasons.take(pa.array(np.unique(codes))).to_pylist()
        else:
            coded = self.texts.get(place)
            if coded is None:
                return self.cell_column(-1)
            codes = coded.codes
            texts = [coded.snapshot.reasons[code] for code in np.unique(codes).tolist()]
        _, where = np.unique(codes, return_inverse=True)
        clauses = [text.rstrip(".")[:1].lower() + text.rstrip(".")[1:] for text in texts]
        return pa.array(clauses, pa.string()).take(pa.array(where))

    def at(self, rows: Any) -> BlockStatements:
        part = BlockStatements.__new__(BlockStatements)
        part.book, part.sources, part.slots = self.book, self.sources, self.slots
        part.texts = {place: text.at(rows) for place, text in self.texts.items()}
        part.raw = _Taken(self.raw, rows)
        part.count = len(rows)
        part.default_supplier = self.default_supplier
        part.memo = {}
        part.nothing = np.full(len(rows), np.nan)
        part.never = np.zeros(len(rows), dtype=np.bool_)
        part.markings = self.markings
        part.text_filled = {name: filled[rows] for name, filled in self.text_filled.items()}
        part.text_codes = {name: codes[rows] for name, codes in self.text_codes.items()}
        g = self.governing
        part.governing = Governing(
            g.codes[rows],
            g.size_source[rows],
            g.service_source[rows],
            g.index_stands_in[rows],
            g.symbol_stands_in[rows],
            tuple(TextMarking(t.source, t.report, t.codes[rows]) for t in g.texts),
        )
        return part


class _Taken(dict[int, Any]):
    """Plain columns of a part of a block, taken only when asked for."""

    def __init__(self, raw: dict[int, Any], rows: Any) -> None:
        super().__init__()
        self._raw = raw
        self._rows = pa.array(rows, pa.int64())

    def __missing__(self, place: int) -> Any:
        self[place] = self._raw[place].take(self._rows)
        return self[place]


def _slots(sources: tuple[Source, ...], texts: dict[int, CodedText]) -> dict[str, tuple[Slot, ...]]:
    """The slots that the block's texts can fill: own fields first, then what other cells say beside their own."""
    grouped: dict[str, list[Slot]] = {}
    for source in sources:
        coded = texts.get(source.place)
        if coded is None:
            continue
        for field, turn in coded.snapshot.values:
            if field in ("marking", "service_description"):
                continue
            report = source.field if source.field in TEXTS else field
            grouped.setdefault(field, []).append(Slot(source.place, field, report, turn))
    return {field: tuple(sorted(slots, key=lambda s: (s.source, s.turn))) for field, slots in grouped.items()}


def settle_markings(st: BlockStatements, cache: MarkingCache, columns: dict[int, pa.Array]) -> None:
    """Decodes the marking texts of a block and chooses the governing ones.

    `columns` are the raw columns of marking, size and service description by source place.
    """
    places = {source.field: source.place for source in reversed(st.sources)}
    parts: list[tuple[str, pa.Array, Any]] = []  # what, distinct keys, place of each record's key
    for field in MARKING_TEXTS:
        if field in places:
            texts, where = encoded(columns[places[field]])
            texts = _marking_texts(texts)
            st.text_filled[field] = _gathered(pc.not_equal(texts, ""), where)
            if field == "service_description":
                texts = pc.if_else(pc.equal(texts, ""), "", pc.binary_join_element_wise(SERVICE_MARK, texts, ""))
            parts.append((field, texts, where))
    for source in st.sources:
        if source.field in TEXTS and source.place in st.texts:
            parts.extend(_claimed(st, source))
    keys = [texts for _, texts, _ in parts]
    coded, st.markings = cache.codes(keys) if keys else ([], cache.codes([pa.array([], pa.string())])[1])
    titles: list[tuple[int, str, Codes]] = []
    zero = np.zeros(st.count, dtype=np.int32)
    for (what, _, where), codes in zip(parts, coded, strict=True):
        own = _gathered(codes, where)
        if what in MARKING_TEXTS:
            st.text_codes[what] = own
        else:
            titles.append((places[what.split(":")[0]], what.split(":")[0], own))
    cells = MarkingCells(
        st.text_codes.get("marking", zero),
        st.text_codes.get("size", zero),
        st.text_codes.get("service_description", zero),
        tuple(titles),
    )
    split = (st.first("load_index"), st.first("load_index_dual"), st.first("speed_symbol"))
    joiner = _Joiner(st, cache, [codes for _, _, codes in titles])
    st.governing = joiner.carry_over(govern(st, cells, places, split, joiner))
    st.memo.clear()


def _marking_texts(texts: pa.Array) -> pa.Array:
    """`auditor.readings.marking_text` over distinct texts."""
    texts = pc.utf8_trim_whitespace(texts)
    rare = np.flatnonzero(_BLANK_STARTS[first_bytes(texts)])
    if len(rare) == 0:
        return texts
    blank = pc.is_in(pc.utf8_lower(texts.take(pa.array(rare))), value_set=_BLANKS).to_numpy(zero_copy_only=False)
    if not blank.any():
        return texts
    mask = np.zeros(len(texts), dtype=np.bool_)
    mask[rare[blank]] = True
    return pc.if_else(pa.array(mask), "", texts)


def first_bytes(texts: pa.Array) -> npt.NDArray[np.uint8]:
    """The first byte of every text; 0 for one without."""
    _, offsets, data = texts.buffers()
    starts = np.frombuffer(offsets, np.int32, texts.offset + len(texts) + 1)[texts.offset :]
    if data is None or data.size == 0:
        return np.zeros(len(texts), dtype=np.uint8)
    found = np.frombuffer(data, np.uint8).take(starts[:-1], mode="clip")
    found[starts[1:] == starts[:-1]] = 0
    return found


_BLANKS = pa.array(sorted(BLANK_MARKINGS))
# The bytes that such a text may begin with, in either case; a letter outside ASCII may be one's capital.
_BLANK_STARTS = np.zeros(256, dtype=np.bool_)
_BLANK_STARTS[[ord(case) for blank in BLANK_MARKINGS for case in {blank[:1].lower(), blank[:1].upper()} if case]] = True
_BLANK_STARTS[128:] = True


def _gathered(values: Any, where: Any) -> Any:
    """values[where], with zero where a record has none (-1)."""
    if isinstance(values, pa.Array):
        values = values.to_numpy(zero_copy_only=False).astype(np.bool_)
    return np.append(values, np.zeros(1, dtype=values.dtype)).take(where, mode="wrap")


def _claimed(st: BlockStatements, source: Source) -> list[tuple[str, pa.Array, Any]]:
    """Sizes and service descriptions that a text claims, as distinct keys and the place of each record's key."""
    found = []
    coded = st.texts[source.place]
    for field, mark in (("marking", ""), ("service_description", SERVICE_MARK)):
        for turn in range(8):
            values = coded.snapshot.values.get((field, turn))
            if values is None:
                break
            every, where = values.distinct_words
            texts, places = _used(every, where[coded.own_codes])
            if mark:
                texts = pc.if_else(pc.equal(texts, ""), "", pc.binary_join_element_wise(mark, texts, ""))
            found.append((f"{source.field}:{field}", texts, coded.of_records(places)))
    return found


def _used(texts: pa.Array, places: npt.NDArray[np.intp]) -> tuple[pa.Array, npt.NDArray[np.intp]]:
    """Those of distinct texts that some places point to, and the places among them."""
    used = np.zeros(len(texts), dtype=np.bool_)
    used[places] = True
    return texts.filter(pa.array(used)), (np.cumsum(used) - 1)[places]


class _Joiner:
    """Joins cells into one marking, once per distinct combination."""

    def __init__(self, st: BlockStatements, cache: MarkingCache, titles: list[Codes]) -> None:
        self._st = st
        self.titles = titles
        self._cache = cache
        self._kept: Codes | None = None

    def carry_over(self, governing: Governing) -> Governing:
        """The same with codes of the newest snapshot, where the cache started anew while joining."""
        kept = self._kept
        if kept is None:
            return governing
        self._st.text_codes = {name: kept[codes] for name, codes in self._st.text_codes.items()}
        texts = tuple(TextMarking(t.source, t.report, kept[t.codes]) for t in governing.texts)
        return governing._replace(texts=texts)

    def __call__(
        self, need: Any, base: Any, service: Any, index: Any, dual: Any, symbol: Any, use_service: Any
    ) -> Codes:
        st = self._st
        rows = np.flatnonzero(need)
        taken = [
            base[rows].astype(np.int64),
            np.where(use_service, service, 0)[rows].astype(np.int64),
            *(
                np.where(number[rows] == number[rows], number[rows], -1.0).astype(np.int64)
                for number in (index, dual, symbol)
            ),
        ]
        first, inverse = distinct(taken)
        keys = self._keys([column[first] for column in taken])
        (joined,), snapshot = self._cache.codes([pa.array(keys, pa.string())])
        result = np.asarray(base, dtype=np.int32).copy()
        if snapshot.generation != st.markings.generation:
            used = np.unique(np.concatenate([base, *self._in_use()]))
            (old, joined), snapshot = self._cache.codes(
                [st.markings.keys.take(pa.array(used)), pa.array(keys, pa.string())]
            )
            self._kept = np.zeros(len(st.markings.keys), dtype=np.int32)
            self._kept[used] = old
            result = self._kept[result]
        st.markings = snapshot
        result[rows] = joined[inverse]
        return result

    def _in_use(self) -> list[Any]:
        return [*self._st.text_codes.values(), *self.titles]

    def _keys(self, taken: Sequence[npt.NDArray[np.int64]]) -> list[str]:
        st = self._st
        names = st.markings.keys
        sizes = names.take(pa.array(taken[0])).to_pylist()
        services = names.take(pa.array(taken[1])).to_pylist()
        keys = []
        for size, service, index, dual, symbol in zip(sizes, services, *(t.tolist() for t in taken[2:]), strict=True):
            parts = (
                size,
                service.removeprefix(SERVICE_MARK),
                "" if index < 0 else str(index),
                "" if dual < 0 else str(dual),
                "" if symbol < 0 else code_text("speed_symbol", float(symbol), st.book.tables),
            )
            keys.append(JOIN_MARK.join(parts))
        return keys


def distinct(columns: Sequence[npt.NDArray[Any]]) -> tuple[Rows, Rows]:
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
