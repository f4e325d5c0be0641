"""What one listing states, read into plain numbers, and the marking that governs it."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from functools import lru_cache
from math import nan
from pathlib import Path
from typing import Any

from auditor.judging.checks.identities import gtin_is_faulty
from auditor.judging.governing import MarkingCells, governing_marking, split_size_numbers
from auditor.judging.statements import (
    MARKING_TEXTS,
    TEXTS,
    FactFunction,
    Governing,
    Slot,
    Source,
    Statements,
    TextMarking,
    cell_fields,
)
from auditor.judging.vocabulary import scalars
from auditor.marking.store import NO_ROW, SERVICE_MARK, SHORT_KEY, MarkingRow, joined_key, read_row, read_short_row
from auditor.quantities.cell_values import (
    BLANK,
    READ,
    SHORT,
    UNREADABLE,
    Parsed,
    marking_text,
    parse_cell,
    parse_short_cell,
)
from auditor.rulebook.book import RuleBook
from auditor.trade.codes import code_text
from auditor.trade.facts import FACT_POSITION
from auditor.trade.tables import Tables

_FILLED, _EMPTY = Parsed(READ), Parsed(BLANK)
_SHORT_TEXT = 2_000  # characters, up to which what was read of a text is kept
_MOST_MADE = 400  # kept of one marking; several books' rules ask for some fifty each


def _read_claims(text: str, title: bool, own: tuple[str, str, str], book: RuleBook) -> tuple[Parsed, dict[str, str]]:
    """What a text claims, and what the signs of the own marking in it stand for."""
    if not text:
        return _EMPTY, {}
    read = _read_kept if len(text) <= _SHORT_TEXT else _read_kept.__wrapped__
    return read(text, title, own, book.tables, book.own.folder)


@lru_cache(maxsize=1_024)
def _read_kept(
    text: str, title: bool, own: tuple[str, str, str], tables: Tables, folder: Path | None
) -> tuple[Parsed, dict[str, str]]:
    """Reads a text; kept, since a listing that was corrected is asked about again with the same texts."""
    # Start-up: the lexicon and the patterns of texts cost time that a listing without texts saves.
    from auditor.claims.lexicon import lexicon_of
    from auditor.claims.texts import own_of, parse_claims

    quoted = own_of(*own)
    return parse_claims(text, lexicon_of(folder), tables, quoted, title), quoted.signs


def _by_source(slot: Slot) -> tuple[int, int]:
    return slot.source, slot.occurrence


class ListingStatements(Statements):
    """The statements of one listing."""

    ops = scalars
    nothing = nan
    never = False

    def __init__(self, cells: Iterable[tuple[str, str, str]], book: RuleBook) -> None:
        """`cells` are (field, header, text); a field may come more than once."""
        self.book = book
        self.memo: dict[Hashable, Any] = {}
        self.texts: list[str] = []
        self.rows: list[MarkingRow] = [NO_ROW]
        self.status: list[int] = []
        self.reasons: list[str] = []
        self.values: dict[Slot, tuple[float, float, bool, str]] = {}
        sources: list[Source] = []
        grouped: dict[str, list[Slot]] = {}
        own: dict[str, list[Slot]] = {}
        self.codes: dict[str, int] = {}
        self.keys: list[str] = [""]
        self.title_codes: list[tuple[int, str, int]] = []
        for name, header, text in cells:
            sources.append(Source(len(sources), name, header))
            self.texts.append(text)
            self._read(sources[-1], text, grouped, own)
        self._read_texts(sources, grouped)
        self.sources = tuple(sources)
        self.slots = {name: tuple(sorted(slots, key=_by_source)) for name, slots in grouped.items()}
        self.own_slots = {name: tuple(slots) for name, slots in own.items()}
        self.facts: dict[str, float] = {}
        self.governing = self._govern()

    def _read(self, source: Source, text: str, grouped: dict[str, list[Slot]], own: dict[str, list[Slot]]) -> None:
        tables = self.book.tables
        position, field, _ = source
        own_kind = self.book.own.measured.get(field)
        if field in cell_fields() or own_kind is not None:
            parse = parse_short_cell if len(text) <= SHORT else parse_cell
            parsed = parse(text, field, tables, own=own_kind)
            for said in parsed.said:
                name = said.field
                slot = Slot(position, name, field, said.occurrence)  # a part of a combined cell names the cell
                self.values[slot] = (said.value, said.half_step, said.open_ended, said.words or text)
                if name in own:
                    grouped[name].append(slot)
                    own[name].append(slot)
                else:
                    grouped.setdefault(name, []).append(slot)
                    own[name] = [slot]
        elif field in MARKING_TEXTS:
            parsed = self._read_marking(source, text)
        elif field in TEXTS:
            parsed = _EMPTY  # read when the listing's own marking is known
        else:
            parsed = _FILLED if text.strip() else _EMPTY
        self.status.append(parsed.status)
        self.reasons.append(parsed.reason)

    def _read_texts(self, sources: list[Source], grouped: dict[str, list[Slot]]) -> None:
        """Reads title and description, which quote the listing's own marking."""
        texts = [source for source in sources if source.field in TEXTS]
        if not texts:
            return
        own = {
            source.field: self.texts[source.position] for source in reversed(sources) if source.field in MARKING_TEXTS
        }
        marking = (own.get("marking", ""), own.get("size", ""), own.get("service_description", ""))
        for source in texts:
            text = self.texts[source.position]
            parsed, signs = _read_claims(text, source.field == "title", marking, self.book)
            self.status[source.position] = parsed.status
            self._take_claims(source, parsed, text, grouped, signs)

    def _take_claims(
        self, source: Source, parsed: Parsed, text: str, grouped: dict[str, list[Slot]], signs: dict[str, str]
    ) -> None:
        for said in parsed.said:
            slot = Slot(source.position, said.field, source.field, said.occurrence)
            words = "" if said.words in signs else said.words or text
            self.values[slot] = (said.value, said.half_step, said.open_ended, words)
            if said.field in ("marking", "service_description"):
                mark = SERVICE_MARK if said.field == "service_description" else ""
                words = signs.get(said.words, said.words)
                self.title_codes.append((source.position, source.field, self._row(mark + words if words else "")))
            else:
                grouped.setdefault(said.field, []).append(slot)

    def _read_marking(self, source: Source, text: str) -> Parsed:
        key = marking_text(text)
        if not key:
            self.codes[source.field] = 0
            return Parsed(BLANK)
        self.codes[source.field] = self._row(SERVICE_MARK + key if source.field == "service_description" else key)
        row = self.rows[self.codes[source.field]]
        return Parsed(READ if row.facts[0] == 1.0 else UNREADABLE, reason=row.words.reason)

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
        positions = {source.field: source.position for source in reversed(self.sources)}
        cells = MarkingCells(
            self.codes.get("marking", 0),
            self.codes.get("size", 0),
            self.codes.get("service_description", 0),
            tuple(self.title_codes),
            tuple(self._whole_titles()),
            self._split_size(),
        )
        split = (self.first("load_index"), self.first("load_index_dual"), self.first("speed_symbol"))
        return governing_marking(self, cells, positions, split, self._compose)

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

    def _compose(
        self, need: bool, base: int, service: int, index: float, dual: float, symbol: float, use_service: bool
    ) -> int:
        described = self.keys[service][1:] if use_service else ""
        return self._row(
            joined_key(self.keys[base], described, index, dual, code_text("speed_symbol", symbol, self.book.tables))
        )

    def own(self, field: str) -> tuple[Slot, ...]:
        return self.own_slots.get(field, ())

    def fact(self, name: str) -> float:
        found = self.facts.get(name)
        if found is None:
            found = self.facts[name] = self._fact(name)
        return found

    def per_marking(self, make: FactFunction) -> Any:
        kept = self.rows[self.governing.codes].made
        made = kept.get(make)
        if made is None:
            if len(kept) >= _MOST_MADE:  # an own check may bring a new function every time
                kept.clear()
            made = kept[make] = make(self.ops, self.fact)
        return made

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
