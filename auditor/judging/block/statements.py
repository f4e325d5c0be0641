"""The statements of a block of records, as arrays gathered from the value caches by code."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.owns import Owns
from auditor.claims.batch.replaced_column import Replaced
from auditor.columns.gtins import gtin_faults
from auditor.columns.value_cache import Codes, MarkingSnapshot, TextSnapshot, encoded
from auditor.judging.block.joined_feeds import JoinedFeeds
from auditor.judging.checks.identities import gtin_is_faulty
from auditor.judging.statements import (
    TEXTS,
    FactFunction,
    Governing,
    Slot,
    Source,
    Statements,
    TextMarking,
    said_as,
)
from auditor.judging.vocabulary import arrays
from auditor.quantities.cell_values import BLANK, UNREADABLE
from auditor.rulebook.book import RuleBook
from auditor.trade.facts import CONVERTED, FACT_POSITION

Rows = npt.NDArray[np.int64]


class CodedText:
    """One coded column of a block: codes of its texts, the snapshot that they point into, and the records' places."""

    __slots__ = ("_codes", "_places", "snapshot")

    def __init__(self, codes: Codes, snapshot: TextSnapshot, positions: npt.NDArray[np.intp] | None = None) -> None:
        """`codes` by record, or by distinct text with each record's `places` among them."""
        self._codes = codes
        self._places = positions
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


class TextMarkings(NamedTuple):
    """The reading of a column of texts that tells the markings in them, and what it was read beside."""

    coded: CodedText
    owns: Owns


class BlockStatements(Statements):
    """The statements of some records.  All answers are arrays with one element per record."""

    ops = arrays

    def __init__(
        self,
        book: RuleBook,
        sources: tuple[Source, ...],
        texts: Mapping[int, CodedText],
        raw: dict[int, pa.Array],
        count: int,
    ) -> None:
        """`texts` are the coded columns by source place, `raw` the columns kept as plain text (identity, GTIN)."""
        self.book = book
        self.sources = sources
        self.texts = texts
        self.raw = raw
        self.whole_texts: Mapping[int, pa.Array] = {}  # titles and descriptions as they stand
        self.new_sentences = 0  # of these, as far as it is known
        self.count = count
        self.default_supplier = ""  # of the feed, for records that name none
        self.joined: JoinedFeeds | None = None  # where records of several feeds stand in this block
        self.memo: dict[Hashable, Any] = {}
        self.nothing = np.full(count, np.nan)
        self.never = np.zeros(count, dtype=np.bool_)
        self.markings: MarkingSnapshot
        self.text_markings: Mapping[int, TextMarkings] = {}  # by text
        self.replaced: Mapping[str, Replaced] = {}  # by field the tires that texts say theirs stand in for
        self.text_codes: dict[str, Codes] = {}
        self.text_filled: dict[str, npt.NDArray[np.bool_]] = {}
        self.text_given: dict[str, npt.NDArray[np.bool_]] = {}
        self.slots = _slots(sources, texts)

    def value(self, slot: Slot) -> Any:
        return self.cached(("value", slot), lambda: self._gather(slot, "value"))

    def per_value(self, slot: Slot, make: Callable[[Any], Any]) -> Any:
        coded = self.texts[slot.source]
        return coded.spread(make, coded.snapshot.values[(slot.field, slot.occurrence)].value)

    def half_step(self, slot: Slot) -> Any:
        return self._gather(slot, "half_step")

    def open_ended(self, slot: Slot) -> Any:
        return self._gather(slot, "open_ended")

    def _gather(self, slot: Slot, name: str) -> Any:
        coded = self.texts[slot.source]
        return coded.gather(getattr(coded.snapshot.values[(slot.field, slot.occurrence)], name))

    def unreadable(self, source: Source) -> Any:
        filled = self.text_filled.get(source.field)
        if filled is not None:
            return filled & ~(self.text_fact(source.field, "readable") == 1.0)
        coded = self.texts.get(source.position)
        return self.never if coded is None else coded.spread(lambda s: s == UNREADABLE, coded.snapshot.status)

    def filled(self, source: Source) -> Any:
        filled = self.text_filled.get(source.field)
        if filled is not None:
            return filled
        coded = self.texts.get(source.position)
        return self.never if coded is None else coded.spread(lambda s: s != BLANK, coded.snapshot.status)

    def given(self, source: Source) -> Any:
        return self.text_given[source.field]

    def marking_fact(self, name: str, codes: Any) -> Any:
        return self.markings.facts[FACT_POSITION[name]].take(codes, mode="wrap")  # quicker than looking at the ends

    def per_marking(self, make: FactFunction) -> Any:
        return self.cached(make, lambda: self._per_marking(make))

    def _per_marking(self, make: FactFunction) -> Any:
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
        values = self.markings.facts[FACT_POSITION[base]]
        return values if base == name else values * factor

    def _fact(self, name: str) -> Any:
        return super()._fact(name) if self.may_state(name) else self.nothing

    def may_state(self, name: str) -> bool:
        base = CONVERTED[name][0] if name in CONVERTED else name
        kept = self.markings.made
        known: bool | None = kept.get(base)
        if known is None:
            known = kept[base] = not np.isnan(self.markings.facts[FACT_POSITION[base]]).all()
        return known

    def text_fact(self, field: str, name: str) -> Any:
        codes = self.text_codes.get(field)
        return self.nothing if codes is None else self.marking_fact(name, codes)

    def supplier_in(self, names: tuple[str, ...]) -> Any:
        source = self.source_of("supplier")
        joined = self.joined
        by_feed = np.full(self.count, self.default_supplier in names) if joined is None else joined.supplied_by(names)
        if source is None:
            return by_feed
        texts = pc.utf8_trim_whitespace(self.raw[source.position].cast(pa.string()).fill_null(""))
        named = pc.is_in(texts, value_set=pa.array(list(names))).to_numpy(zero_copy_only=False)
        return named | (by_feed & pc.equal(texts, "").to_numpy(zero_copy_only=False))

    def gtin_fault(self, source: Source) -> Any:
        return self.cached(("gtin", source.position), lambda: gtin_faults(self.raw[source.position], gtin_is_faulty))

    def texts_pass(self, source: Source, test: Callable[[str], bool]) -> Any:
        coded = self.texts.get(source.position)
        if coded is not None and source.position not in self.raw:
            texts = coded.snapshot.keys.take(pa.array(coded.own_codes)).to_pylist()
            return coded.of_records(np.array([test(text.strip()) for text in texts], dtype=np.bool_))
        distinct, positions = encoded(self.raw[source.position])
        texts = [*distinct.cast(pa.string()).fill_null("").to_pylist(), ""]  # the last for blank cells, at place -1
        return np.array([test(text.strip()) for text in texts], dtype=np.bool_)[positions]

    def cell_column(self, position: int, rows: Rows | None = None) -> pa.Array:
        """The raw texts of a source, "" for blank cells; of all records, or of some."""
        if position < 0:
            return pa.array([""], pa.string()).take(pa.array(np.zeros(self.count, dtype=np.int64)))
        coded = self.texts.get(position)
        if coded is not None:
            return coded.snapshot.keys.take(pa.array((coded if rows is None else coded.at(rows)).codes))
        column = self.raw[position] if rows is None else self.raw[position].take(pa.array(rows))
        return column.cast(pa.string()).fill_null("")

    def stated_column(self, hit: Any) -> pa.Array:
        """The raw texts of the whole cells, or a claim's own words."""
        if hit.about in TEXTS:  # the whole text is in question, no claim in it
            return self.raw[hit.source].cast(pa.string()).fill_null("")
        if hit.report not in TEXTS or hit.source not in self.texts:
            return self.cell_column(hit.source)
        coded = self.texts[hit.source]
        words = None
        for claim in said_as(hit.rule, hit.about, hit.occurrence):
            values = coded.snapshot.values.get(claim)
            if values is None:
                continue
            own = values.words(coded.codes)
            words = own if words is None else pc.if_else(pc.equal(words, ""), own, words)
        if words is not None and not pc.any(pc.equal(words, "")).as_py():
            return words
        # A text that says nothing but the listing's own marking is in question as a whole, as it stands.
        whole = self.whole_texts[hit.source].cast(pa.string()).fill_null("")
        return whole if words is None else pc.if_else(pc.equal(words, ""), whole, words)

    def reason_column(self, field: str, position: int) -> pa.Array:
        """Why cells could not be read, as a clause: lower case, no full stop."""
        if field in self.text_codes:
            codes: Any = self.text_codes[field]
            reasons = self.markings.word_column("reason")
            texts = reasons.take(pa.array(np.unique(codes))).to_pylist()
        else:
            coded = self.texts.get(position)
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
        part.texts = _TakenTexts(self.texts, rows)
        part.raw = _Taken(self.raw, rows)
        part.whole_texts = _Taken(self.whole_texts, rows)
        part.count = len(rows)
        part.default_supplier = self.default_supplier
        part.joined = None if self.joined is None else self.joined.at(rows)
        part.memo = {}
        part.nothing = np.full(len(rows), np.nan)
        part.never = np.zeros(len(rows), dtype=np.bool_)
        part.markings = self.markings
        part.text_filled = {name: filled[rows] for name, filled in self.text_filled.items()}
        part.text_given = {name: given[rows] for name, given in self.text_given.items()}
        part.text_codes = {name: codes[rows] for name, codes in self.text_codes.items()}
        g = self.governing
        part.governing = Governing(
            g.codes[rows],
            g.size_source[rows],
            g.service_source[rows],
            g.index_stands_in[rows],
            g.symbol_stands_in[rows],
            g.size_stands_in[rows],
            tuple(TextMarking(t.source, t.report, t.codes[rows]) for t in g.texts),
        )
        return part


class _Taken(dict[int, Any]):
    """Plain columns of a part of a block, taken only when asked for."""

    def __init__(self, raw: Mapping[int, Any], rows: Any) -> None:
        super().__init__()
        self._raw = raw
        self._rows = pa.array(rows, pa.int64())

    def __missing__(self, position: int) -> Any:
        self[position] = self._raw[position].take(self._rows)
        return self[position]


class _TakenTexts(Mapping[int, CodedText]):
    """Coded columns of a part of a block, taken only when asked for: most findings are about few of them."""

    def __init__(self, whole: Mapping[int, CodedText], rows: Any) -> None:
        self._whole = whole
        self._rows = rows
        self._taken: dict[int, CodedText] = {}

    def __getitem__(self, position: int) -> CodedText:
        found = self._taken.get(position)
        if found is None:
            found = self._taken[position] = self._whole[position].at(self._rows)
        return found

    def __contains__(self, position: object) -> bool:
        return position in self._whole

    def __iter__(self) -> Iterator[int]:
        return iter(self._whole)

    def __len__(self) -> int:
        return len(self._whole)


def _slots(sources: tuple[Source, ...], texts: Mapping[int, CodedText]) -> dict[str, tuple[Slot, ...]]:
    """The slots that the block's texts can fill: own fields first, then what other cells say beside their own."""
    grouped: dict[str, list[Slot]] = {}
    for source in sources:
        coded = texts.get(source.position)
        if coded is None:
            continue
        for field, occurrence in coded.snapshot.values:
            if field in ("marking", "service_description"):
                continue
            grouped.setdefault(field, []).append(Slot(source.position, field, source.field, occurrence))
    return {field: tuple(sorted(slots, key=lambda s: (s.source, s.occurrence))) for field, slots in grouped.items()}
