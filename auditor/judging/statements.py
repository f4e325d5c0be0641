"""The statements of listings: every value a listing states, beside the facts of the marking that governs it.

Written once for one listing (scalars) and for a block of records (arrays).  A `Statements` object hides where values
come from: it answers with a float or a float64 array, whichever vocabulary it was made over.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from functools import cache
from typing import Any, NamedTuple

from auditor.rulebook.book import RuleBook
from auditor.rulebook.built_in import load_contract
from auditor.trade.facts import CONVERTED

MARKING_TEXTS = ("marking", "size", "service_description")
TEXTS = ("title", "description")
IDENTITY = ("supplier", "sku", "part_number", "gtin", "brand", "model")
REGIONS = MARKING_TEXTS + TEXTS


@cache
def cell_fields() -> frozenset[str]:
    """The listing fields whose cells are read into values: all but texts and markings."""
    fields = load_contract().fields.values()
    return frozenset(field.name for field in fields if field.quantity not in ("text", "marking"))


class Source(NamedTuple):
    """A cell of the listing: a feed column (or a JSON key) and the contract field it holds first."""

    position: int  # position among the sources
    field: str
    header: str  # the feed's own header


class Slot(NamedTuple):
    """One value that a source can state: `field` is what it speaks about, `report` the field a finding names."""

    source: int
    field: str
    report: str
    occurrence: int = 0  # a text may claim one thing more than once

    @property
    def is_claim(self) -> bool:
        return self.report in TEXTS


class TextMarking(NamedTuple):
    """A text other than the governing marking that states a size or a service description."""

    source: int
    report: str
    codes: Any  # rows of the marking store; 0 where the text states nothing


class Governing(NamedTuple):
    """Which marking governs: its row in the marking store, and the sources of its two halves."""

    codes: Any
    size_source: Any
    service_source: Any
    index_stands_in: Any  # the split load index was used for want of a service description
    symbol_stands_in: Any
    texts: tuple[TextMarking, ...]


# Something that follows from the facts of a marking alone, made from a vocabulary and what answers with facts.
FactFunction = Callable[[Any, Callable[[str], Any]], Any]


class Statements:
    """Access to stated values and governing facts.  Subclasses supply `_value` and friends."""

    ops: Any
    book: RuleBook
    sources: tuple[Source, ...]
    slots: dict[str, tuple[Slot, ...]]
    governing: Governing
    nothing: Any  # all missing
    never: Any  # all false
    memo: dict[Hashable, Any]

    def value(self, slot: Slot) -> Any:
        """The stated number (or code number) in the slot's field's unit; missing where blank or unreadable."""
        raise NotImplementedError

    def per_value(self, slot: Slot, make: Callable[[Any], Any]) -> Any:
        """What follows from a stated value alone; in a feed, made once per distinct text."""
        return make(self.value(slot))

    def half_step(self, slot: Slot) -> Any:
        """Half of the last stated digit, in the field's unit."""
        raise NotImplementedError

    def open_ended(self, slot: Slot) -> Any:
        """Whether the value was stated as "or more"."""
        raise NotImplementedError

    def unreadable(self, source: Source) -> Any:
        """Whether the cell holds something that could not be read."""
        raise NotImplementedError

    def all_readable(self) -> bool:
        """Whether it is already known that every cell could be read."""
        return False

    def repeats_governing(self, text: TextMarking) -> bool:
        """Whether it is already known that a text says nothing but the governing marking, or nothing at all."""
        return False

    def filled(self, source: Source) -> Any:
        """Whether the cell holds anything but a spelling of "unknown"."""
        raise NotImplementedError

    def texts_pass(self, source: Source, test: Callable[[str], bool]) -> Any:
        """Whether the cell's text, without blanks around it, passes a test; in a feed, asked once per distinct text."""
        raise NotImplementedError

    def marking_fact(self, name: str, codes: Any) -> Any:
        """A fact of FACTS for rows of the marking store."""
        raise NotImplementedError

    def fact(self, name: str) -> Any:
        """A fact of the governing marking; lb, mph and inches are converted here."""
        return self.cached(("fact", name), lambda: self._fact(name))

    def _fact(self, name: str) -> Any:
        if name in CONVERTED:
            base, factor = CONVERTED[name]
            return self.fact(base) * factor
        return self.marking_fact(name, self.governing.codes)

    def per_marking(self, make: FactFunction) -> Any:
        """What follows from the governing marking alone; in a feed, made once per distinct marking.

        `make` is kept with what it made, so it has to be the same object whenever the same is asked.
        """
        return make(self.ops, self.fact)

    def may_state(self, name: str) -> bool:
        """Whether any marking could have the fact; where none has, asking for it is idle."""
        return True

    def cached(self, key: Hashable, make: Callable[[], Any]) -> Any:
        """A value that several rules need, made once per listing or block."""
        found = self.memo.get(key)
        if found is None:
            found = self.memo[key] = make()
        return found

    def text_fact(self, field: str, name: str) -> Any:
        """A fact of what the text of `marking`, `size` or `service_description` says by itself."""
        raise NotImplementedError

    def supplier_in(self, names: tuple[str, ...]) -> Any:
        """Whether the listing's supplier is one of the names."""
        raise NotImplementedError

    def gtin_fault(self, source: Source) -> Any:
        """Whether the cell is a GTIN whose check digit or length is wrong."""
        raise NotImplementedError

    def at(self, rows: Any) -> Statements:
        """The same statements for some of the records only."""
        raise NotImplementedError

    def own(self, field: str) -> tuple[Slot, ...]:
        """The slots of a field that are cells, not claims in texts."""
        return tuple(slot for slot in self.slots.get(field, ()) if not slot.is_claim)

    def claims(self, field: str) -> tuple[Slot, ...]:
        """The slots of a field that are claims in title or description."""
        return tuple(slot for slot in self.slots.get(field, ()) if slot.is_claim)

    def first(self, field: str) -> Any:
        """The first stated value of a field over its cells; missing where none."""
        slots = self.own(field)
        if not slots:
            return self.nothing
        result = self.value(slots[0])
        for slot in slots[1:]:
            result = self.ops.first_known(result, self.value(slot))
        return result

    def stands_in(self, field: str) -> Any:
        """Where a split field is used in place of a service description, so that it is no statement of its own."""
        if field == "speed_symbol":
            return self.governing.symbol_stands_in
        return self.governing.index_stands_in if field in ("load_index", "load_index_dual") else self.never

    def source_of(self, field: str) -> Source | None:
        """The source whose first field this is."""
        for source in self.sources:
            if source.field == field:
                return source
        return None


class MarkingCells(NamedTuple):
    """Rows of the marking store for the texts of listings, 0 where a text is absent or unreadable."""

    marking: Any
    size: Any
    service: Any
    titles: tuple[tuple[int, str, Any], ...]  # (source, report, rows) of what title and description claim
    whole_titles: tuple[tuple[int, Any], ...]  # (source, rows) of titles read as markings, where no cell gives one


def governing_marking(
    st: Statements,
    cells: MarkingCells,
    positions: dict[str, int],
    split: tuple[Any, Any, Any],
    compose: Callable[[Any, Any, Any, Any, Any, Any, Any], Any],
) -> Governing:
    """Chooses the marking that governs each listing.

    `marking` where it can be read, else `size`, else the title read as a marking, else a size that a text claims.
    A marking without a load index takes the service description field, else the split fields.
    `compose(need, base, service, index, dual, symbol, use_service)` returns the rows of the joined markings.
    """
    ops, fact = st.ops, st.marking_fact
    has_marking = fact("readable", cells.marking) == 1.0
    has_size = fact("readable", cells.size) == 1.0 if "size" in positions else st.never
    base = ops.where(has_marking, cells.marking, cells.size)
    size_source = ops.where(has_marking, positions.get("marking", -1), positions.get("size", -1))
    known = has_marking | has_size
    title_used, by_title = [], dict[int, Any]()
    whole = [(source, codes, "readable") for source, codes in cells.whole_titles]
    for source, codes, told in (*whole, *((source, codes, "family") for source, _, codes in cells.titles)):
        stated = ops.known(fact(told, codes)) & (fact("readable", codes) == 1.0)
        use = ops.no(known) & stated
        base = ops.where(use, codes, base)
        size_source = ops.where(use, source, size_source)
        known = known | stated
        if told == "readable":
            by_title[source] = use
        else:
            title_used.append(use | by_title.get(source, st.never))
    index, dual, symbol = split
    described = "service_description" in positions
    if not described and index is st.nothing and symbol is st.nothing:  # nothing could be taken
        texts = _other_texts(st, cells, positions, has_marking, st.never, title_used)
        return Governing(base, size_source, size_source, st.never, st.never, texts)
    has_index = ops.known(fact("load_index", base))
    has_symbol = ops.known(fact("speed_symbol", base))
    service_known = fact("readable", cells.service) == 1.0 if described else st.never
    use_service = known & ops.no(has_index) & service_known
    has_index = has_index | (use_service & ops.known(fact("load_index", cells.service)))
    has_symbol = has_symbol | (use_service & ops.known(fact("speed_symbol", cells.service)))
    use_index = known & ops.no(has_index) & ops.known(index)
    use_symbol = known & ops.no(has_symbol) & ops.known(symbol) & (symbol >= 0)
    need = use_service | use_index | use_symbol
    service_source = ops.where(use_service, positions.get("service_description", -1), size_source)
    service_source = ops.where(use_index, positions.get("load_index", -1), service_source)
    codes = base
    if ops.any_of(need):
        codes = compose(
            need,
            base,
            cells.service,
            ops.where(use_index, index, st.nothing),
            ops.where(use_index, dual, st.nothing),
            ops.where(use_symbol, symbol, st.nothing),
            use_service,
        )
    texts = _other_texts(st, cells, positions, has_marking, use_service, title_used)
    return Governing(codes, size_source, service_source, use_index, use_symbol, texts)


def _other_texts(
    st: Statements,
    cells: MarkingCells,
    positions: dict[str, int],
    has_marking: Any,
    use_service: Any,
    title_used: Sequence[Any],
) -> tuple[TextMarking, ...]:
    ops = st.ops
    texts = []
    if "marking" in positions and "size" in positions:
        texts.append(TextMarking(positions["size"], "size", ops.where(has_marking, cells.size, 0)))
    if "service_description" in positions:
        codes = ops.where(use_service, 0, cells.service)
        texts.append(TextMarking(positions["service_description"], "service_description", codes))
    for (source, report, codes), used in zip(cells.titles, title_used, strict=True):
        texts.append(TextMarking(source, report, ops.where(used, 0, codes)))
    return tuple(texts)
