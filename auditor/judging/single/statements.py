"""What one listing states, read into plain numbers, and the marking that governs it."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from math import nan
from typing import Any

from auditor.judging.checks.identities import gtin_is_faulty
from auditor.judging.derived import STRENGTHS
from auditor.judging.described import MarkingCells
from auditor.judging.failures import Collector
from auditor.judging.governing import Taken, governing_marking, split_size_numbers
from auditor.judging.single.cells import ReadCell, Stated, read_cell_at, read_text_at
from auditor.judging.single.plan import kept_beside, plan_of
from auditor.judging.single.shapes import shape_of
from auditor.judging.statements import (
    OWN_PARTS,
    OWN_TEXTS,
    FactFunction,
    Governing,
    Slot,
    Source,
    Statements,
    TextFunction,
    TextMarking,
)
from auditor.judging.vocabulary import scalars
from auditor.marking.store import NO_ROW, SERVICE_MARK, SHORT_KEY, MarkingRow, joined_key, read_row, read_short_row
from auditor.quantities.beside_markings import may_stand
from auditor.quantities.cell_values import BLANK, READ, UNREADABLE, marking_text
from auditor.quantities.service_cells import plain_service
from auditor.rulebook.book import RuleBook
from auditor.trade.codes import code_text
from auditor.trade.facts import FACT_POSITION

_MOST_MADE = 400  # kept of one marking; several books' rules ask for some fifty each


def _in_order(slots: tuple[Slot, ...]) -> tuple[Slot, ...]:
    return tuple(sorted(slots, key=_by_source)) if len(slots) > 1 else slots


def _by_source(slot: Slot) -> tuple[int, int]:
    return slot.source, slot.occurrence


def _with_told(own: tuple[str, ...], markings: Sequence[str]) -> tuple[str, ...]:
    """The cells that say what is the listing's own, with what a text tells where they lack it."""
    # Start-up: few listings have texts.
    from auditor.claims.told_by_texts import with_told

    return with_told(own, markings)


class ListingStatements(Statements):
    """The statements of one listing."""

    ops = scalars
    nothing = nan
    never = False
    alone = True

    def __init__(self, cells: Sequence[tuple[str, str, str]], book: RuleBook) -> None:
        """`cells` are (field, header, text); a field may come more than once."""
        self.book = book
        self.memo: dict[Hashable, Any] = {}
        self.texts = [text for _, _, text in cells]
        shape = shape_of(tuple([(field, header) for field, header, _ in cells]), tuple(book.own.measured.items()))
        self.shape = shape
        self.sources = shape.sources
        self.rows: list[MarkingRow] = [NO_ROW]
        self.keys = [""]
        self.codes: dict[str, int] = {}
        self.title_codes: list[tuple[int, str, int]] = []
        self.status = [BLANK] * len(cells)
        self.reasons: dict[int, str] = {}
        self.values: dict[Slot, Stated] = {}
        self.facts: dict[str, float] = {}
        self.own_slots: dict[str, tuple[Slot, ...]] = {}
        self.claim_slots: dict[str, tuple[Slot, ...]] = {}
        self._read_cells()
        self.slots = self._read_texts() if shape.texts else self.own_slots
        self.governing = self._govern()
        self.governed = self.rows[self.governing.codes]
        self.plan = plan_of(book)
        self.judged_values = kept_beside(self.governed, self.plan)

    def _read_cells(self) -> None:
        shape, texts, status, tables = self.shape, self.texts, self.status, self.book.tables
        for source in shape.markings:
            self._read_marking(source, texts[source.position])
        for position, field, kind in shape.measured:
            found = read_cell_at(texts[position], position, field, tables, kind)
            status[position] = found.status
            if found.status == UNREADABLE:
                self.reasons[position] = found.reason
            self._take(found, self.own_slots)
        for position in shape.others:
            if texts[position].strip():
                status[position] = READ

    def _take(self, found: ReadCell, slots: dict[str, tuple[Slot, ...]]) -> None:
        for field, slot, alone, stated in found.said:
            self.values[slot] = stated
            if field:
                slots[field] = slots[field] + alone if field in slots else alone

    def _read_texts(self) -> dict[str, tuple[Slot, ...]]:
        """Reads title and description, which quote the listing's own marking; what cells and texts state together."""
        own = cells = tuple(map(self._own_text, (*OWN_TEXTS, *OWN_PARTS)))
        for source in self.shape.texts:
            position, field, _ = source
            title = field == "title"
            found = read_text_at(self.texts[position], position, field, cells if title else own, self.book)
            if found.markings and (told := _with_told(own, found.markings)) != own:
                own = told
                if not title:  # what it says of its own tire is left as it was read to be known
                    again = read_text_at(self.texts[position], position, field, own, self.book)
                    found = again._replace(markings=found.markings)
            self.status[position] = found.status
            self._take(found, self.claim_slots)
            for key in found.markings:
                self.title_codes.append((position, field, self._row(key)))
        slots = dict(self.own_slots)
        for field, claims in self.claim_slots.items():
            slots[field] = _in_order(slots[field] + claims) if field in slots else _in_order(claims)
        return slots

    def _own_text(self, field: str) -> str:
        position = self.shape.positions.get(field)
        return "" if position is None else self.texts[position]

    def _read_marking(self, source: Source, text: str) -> None:
        key = marking_text(text)
        if not key:
            self.codes[source.field] = 0
            return
        service = source.field == "service_description"
        self.codes[source.field] = self._row(SERVICE_MARK + plain_service(key) if service else key)
        if may_stand(text, source.field):
            self._take(read_cell_at(text, source.position, source.field, self.book.tables, None), self.own_slots)
        row = self.rows[self.codes[source.field]]
        self.status[source.position] = READ if row.facts[0] == 1.0 else UNREADABLE
        self.reasons[source.position] = row.words.reason

    def _row(self, key: str) -> int:
        if not key or key == SERVICE_MARK:
            return 0
        if key in self.keys:  # a title often repeats the marking
            return self.keys.index(key)
        read = read_short_row if len(key) <= SHORT_KEY else read_row
        self.rows.append(read(key, self.book.tables))
        self.keys.append(key)
        return len(self.rows) - 1

    def _govern(self) -> Governing:
        cells = MarkingCells(
            self.codes.get("marking", 0),
            self.codes.get("size", 0),
            self.codes.get("service_description", 0),
            tuple(self.title_codes),
            tuple(self._whole_titles()),
            self._split_size(),
        )
        split = (self.first("load_index"), self.first("load_index_dual"), self.first("speed_symbol"))
        return governing_marking(self, cells, self.shape.positions, split, self._compose)

    def _whole_titles(self) -> Iterator[tuple[int, int]]:
        """Titles read as markings, where neither of the cells for a marking gives a text."""
        if self.codes.get("marking") or self.codes.get("size"):
            return
        for source in self.sources:
            if source.field == "title":
                row = self.codes["title"] = self._row(marking_text(self.texts[source.position]))
                self.reasons[source.position] = self.rows[row].words.reason
                yield source.position, row

    def _split_size(self) -> int | None:
        """The size that split fields make, where neither of the cells for a marking gives a text."""
        if self.codes.get("marking") or self.codes.get("size"):
            return None
        numbers = split_size_numbers(self)
        if numbers is None:
            return None
        # Start-up: most listings have a marking.
        from auditor.marking.split_size import SplitSize, split_size_text

        text = split_size_text(SplitSize(*numbers))
        return self._row(text) if text else None

    def _compose(self, need: bool, base: int, service: int, taken: Taken, use_service: bool) -> int:
        described = self.keys[service][1:] if use_service else ""
        symbol, prefix = (
            code_text(field, code, self.book.tables)
            for field, code in (("speed_symbol", taken.symbol), ("size_prefix", taken.prefix))
        )
        return self._row(joined_key(self.keys[base], described, (taken.index, taken.dual), symbol, prefix))

    def run_rules(self, out: Collector) -> None:
        """Runs every rule that may have something to say."""
        self.plan.run(self, self.shape, self.judged_values, out)

    def own(self, field: str) -> tuple[Slot, ...]:
        return self.own_slots.get(field, ())

    def claims(self, field: str) -> tuple[Slot, ...]:
        return self.claim_slots.get(field, ())

    def first(self, field: str) -> float:
        for slot in self.own_slots.get(field, ()):
            value = self.values[slot][0]
            if value == value:
                return value
        return self.nothing

    def marking_sources(self) -> tuple[Source, ...]:
        return self.shape.markings

    def source_of(self, field: str) -> Source | None:
        return self.shape.first.get(field)

    def fact(self, name: str) -> float:
        place = FACT_POSITION.get(name)
        if place is not None:
            return self.governed.facts[place]
        found = self.facts.get(name)
        if found is None:
            found = self.facts[name] = self._fact(name)
        return found

    def per_marking(self, make: FactFunction) -> Any:
        kept = self.governed.made
        made = kept.get(make)
        if made is None:
            if len(kept) >= _MOST_MADE:  # an own check may bring a new function every time
                kept.clear()
            made = kept[make] = make(self.ops, self.fact)
        return made

    def judged(self, slot: Slot, fact: str) -> tuple[dict[Hashable, Any], Hashable]:
        value = self.values[slot][0]
        if value != value or fact in STRENGTHS:
            return self.memo, slot
        return self.judged_values, (slot.field, value)

    def beside_marking(self, key: tuple[Any, ...], make: Callable[[], Any]) -> Any:
        found = self.judged_values.get(key)
        if found is None:
            found = self.judged_values[key] = make()
        return found

    def beside_governing(self, text: TextMarking, make: TextFunction) -> Any:
        name = self.keys[text.codes]
        if len(name) > SHORT_KEY:
            return make(self, text)
        found = self.judged_values.get((make, name))
        if found is None:
            found = self.judged_values[make, name] = make(self, text)
        return found

    def value(self, slot: Slot) -> float:
        return self.values[slot][0]

    def half_step(self, slot: Slot) -> float:
        return self.values[slot][1]

    def open_ended(self, slot: Slot) -> bool:
        return self.values[slot][2]

    def unreadable(self, source: Source) -> bool:
        return self.status[source.position] == UNREADABLE

    def all_readable(self) -> bool:
        return UNREADABLE not in self.status

    def repeats_governing(self, text: TextMarking) -> bool:
        return text.codes == 0 or text.codes == self.governing.codes

    def filled(self, source: Source) -> bool:
        return self.status[source.position] != BLANK

    def given(self, source: Source) -> bool:
        return bool(self.texts[source.position].strip())

    def marking_fact(self, name: str, codes: int) -> float:
        return self.rows[codes].facts[FACT_POSITION[name]]

    def text_fact(self, field: str, name: str) -> float:
        return self.marking_fact(name, self.codes.get(field, 0))

    def supplier_in(self, names: tuple[str, ...]) -> bool:
        source = self.source_of("supplier")
        return source is not None and self.texts[source.position].strip() in names

    def texts_pass(self, source: Source, test: Callable[[str], bool]) -> bool:
        return test(self.texts[source.position].strip())

    def gtin_fault(self, source: Source) -> bool:
        return gtin_is_faulty(self.texts[source.position])

    def at(self, rows: Any) -> ListingStatements:
        return self
