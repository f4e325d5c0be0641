"""The statements of listings: every value a listing states, beside the facts of the marking that governs it.

Written once for one listing (scalars) and for a block of records (arrays).  A `Statements` object hides where values
come from: it answers with a float or a float64 array, whichever vocabulary it was made over.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import cache
from typing import Any, NamedTuple

from auditor.quantities.cell_values import DENIED
from auditor.rulebook.book import RuleBook
from auditor.rulebook.built_in import load_contract
from auditor.rulebook.rule import Rule
from auditor.trade.facts import CONVERTED

MARKING_TEXTS = ("marking", "size", "service_description")
TEXTS = ("title", "description")
OWN_TEXTS = (*MARKING_TEXTS, "brand", "model")  # what texts repeat of their listing
OWN_PARTS = ("load_index", "load_index_dual", "speed_symbol",
             "section_width_mm", "aspect_ratio", "rim_diameter_in", "construction")  # the same, split  # fmt: skip
IDENTITY = ("supplier", "sku", "part_number", "gtin", "brand", "model")
REGIONS = MARKING_TEXTS + TEXTS
SPLIT_SIZE = ("section_width_mm", "section_width_in", "aspect_ratio", "rim_diameter_in", "construction", "size_prefix")


@cache
def cell_fields() -> frozenset[str]:
    """The listing fields whose cells are read into values: all but texts and markings."""
    fields = load_contract().fields.values()
    return frozenset(field.name for field in fields if field.quantity not in ("text", "marking"))


def place_of(field: str) -> tuple[int, str]:
    """Where a field stands among a listing's sources: as in the contract, texts behind, own fields last, by name.

    What is said of a listing must not hang on the order of its members, or of its feed's columns.
    """
    return _places().get(field, _LAST), field


@cache
def _places() -> dict[str, int]:
    fields = sorted(load_contract().fields, key=TEXTS.__contains__)
    return {name: place for place, name in enumerate(fields)}


_LAST = 1 << 20  # more than there are fields


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


def said_as(rule: Rule, about: str, occurrence: int) -> list[tuple[str, int]]:
    """The claims with which a text may say what a finding is about; the first that has words of its own counts."""
    if rule.derives == "denial":
        return [(DENIED + about, occurrence)]
    return [(about, occurrence), *((name, turn) for name in ("marking", "service_description") for turn in range(3))]


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
    size_stands_in: Any  # width, aspect and rim of their own were used for want of a size
    texts: tuple[TextMarking, ...]


# Something that follows from the facts of a marking alone, made from a vocabulary and what answers with facts.
FactFunction = Callable[[Any, Callable[[str], Any]], Any]
# Something that follows from two markings alone; the same object whenever the same is asked, since it may be kept.
TextFunction = Callable[["Statements", TextMarking], Any]


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
    alone = False  # whether this is one listing

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

    def given(self, source: Source) -> Any:
        """Whether the cell of a marking or a size holds anything at all, be it a spelling of "unknown"."""
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

    def judged(self, slot: Slot, fact: str) -> tuple[dict[Hashable, Any], Hashable]:
        """Where to keep how a value stands to a fact of the marking, and under which name."""
        return self.memo, slot

    def beside_marking(self, key: tuple[Any, ...], make: Callable[[], Any]) -> Any:
        """What follows from the governing marking and the values in `key` alone."""
        return make()

    def beside_governing(self, text: TextMarking, make: TextFunction) -> Any:
        """What follows from the governing marking and that of another text alone."""
        return make(self, text)

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
        """Where a split field is used for want of a size or service description, and so is no statement of its own."""
        if field == "speed_symbol":
            return self.governing.symbol_stands_in
        if field in SPLIT_SIZE:
            return self.governing.size_stands_in
        return self.governing.index_stands_in if field in ("load_index", "load_index_dual") else self.never

    def marking_sources(self) -> tuple[Source, ...]:
        """The sources that hold a marking, a size or a service description."""
        return tuple(source for source in self.sources if source.field in MARKING_TEXTS)

    def source_of(self, field: str) -> Source | None:
        """The source whose first field this is."""
        for source in self.sources:
            if source.field == field:
                return source
        return None
