"""Proposes a feed map from headers and a sample of cells; what is not certain is left out and named."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from auditor.feeds import column_evidence
from auditor.feeds.column_evidence import Column
from auditor.feeds.model import ColumnUse, LeftOut, Mapping
from auditor.mapping.abbreviated_headers import likely_readings, the_one, use_of
from auditor.mapping.ambiguous_headers import kind_by_values
from auditor.mapping.bare_values import (
    CERTAIN,
    bears_out_letters,
    disagrees_with_markings,
    is_symbol,
    place_by_values,
    says_much,
    take_bare_markings,
)
from auditor.mapping.column_units import by_agreement, by_unit, settle_unit
from auditor.mapping.header_evidence import UNEVEN
from auditor.mapping.loose_columns import place_parts_of_sizes
from auditor.mapping.marking_agreement import joined_markings
from auditor.mapping.unread import unread_columns
from auditor.quantities import readable_fields
from auditor.quantities.units import measures
from auditor.rulebook.header_words import fold
from auditor.rulebook.headers import HeaderReading, read_header
from auditor.rulebook.listing_fields import Contract

_FEW_NAMES, _LONGEST_MODEL = 5, 24  # cells, and characters: no title is so short
WORTH_SAYING = 0.6  # score of an unknown header from which on it is named where it matters
_MOSTLY, _NEARLY_ALL = 0.5, 0.9  # shares of the cells
_FEW_DIGITS = 2  # of a number that names no model: pieces, places in a list
_OFTEN_MORE = frozenset({"load_index", "speed_symbol", "size"})  # headers over columns that often hold more
_NO_FLAGS = frozenset({"speed_symbol", "load_range", "ply_rating", "noise_db", "wet_grip_class", "fuel_class"})
_IN_WORDS = frozenset({"season", "construction", "size_prefix"})  # what no number says
_OTHER_BUSINESS = re.compile(
    r"\b(price|cost|msrp|preis|vk|ek|prix|tarif|precio|coste|prezzo|costo|prijs|cena|qty|quantity|stock|bestand|menge|"
    r"lager|quantite|cantidad|existencias|quantita|giacenza|voorraad|aantal|ilosc|stan|url|link|image|bild|foto|photo|"
    r"zdjecie|afbeelding|immagine|date|datum|fecha|data|currency|wahrung|devise|moneda|valuta|waluta|tax|vat|mwst|tva|"
    r"цена|остаток|наличие|количество|ціна|залишок|наявність|τιμη|αποθεμα|fiyat|stok|adet|価格|在庫|价格|库存|가격|재고|السعر|"
    r"المخزون|מחיר|מלאי|gia|ton kho|ราคา|"
    r"iva|btw|shipping|warehouse|delivery|discount|rabatt|remise|warranty|dot|country|land|pays|pais|paese)\b"
)


@dataclass(frozen=True, slots=True)
class Sample:
    """Headers and some cells of a feed: `cells[position]` are that column's texts, record by record."""

    headers: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]

    @property
    def records(self) -> int:
        """Number of sampled records."""
        return len(self.cells[0]) if self.cells else 0


@dataclass(frozen=True, slots=True)
class Proposal:
    """What is certain enough to use, what is likely but not certain, and what has no place."""

    mapping: Mapping
    unsure: tuple[ColumnUse, ...]
    unplaced: tuple[ColumnUse, ...]  # no fields; for showing samples
    records: int


def propose(sample: Sample, contract: Contract) -> Proposal:
    """Proposes a mapping for the sampled feed.

    A use with confidence CERTAIN or more is in the mapping; a likelier rival for the same field, an unknown unit or
    values that contradict the header leave a column out, with the reason.
    """
    columns = [Column(position, header, cells) for position, (header, cells) in enumerate(_pairs(sample))]
    work = _Work(columns, contract, sample.records, [_decimal_mark(column) for column in columns])
    for column in columns:
        work.take(column, _by_header(column, contract, work.decimals[column.position]))
    take_bare_markings(columns, work.uses)
    place_by_values(columns, work.uses)
    _place_abbreviated(work)
    place_parts_of_sizes(columns, work.uses)
    _place_abbreviated(work)  # by what the sizes say, now that they are placed
    markings = work.markings()
    for column in columns:
        use, decimal = work.uses[column.position], work.decimals[column.position]
        if use is not None and disagrees_with_markings(column, use, markings, decimal):
            work.uses[column.position] = None
        work.settle(column, settle_unit(column, work.uses[column.position], contract, markings, decimal))
        if work.uses[column.position] is None and not (column.position in work.groups and says_much(column.header)):
            work.uses[column.position] = by_agreement(column, markings, decimal)
    return _sorted_out(work)


@dataclass(slots=True)
class _Work:
    """What is known so far, by column position."""

    columns: Sequence[Column]
    contract: Contract
    records: int
    decimals: Sequence[str | None]
    uses: list[ColumnUse | None] = field(init=False)
    left: dict[int, LeftOut] = field(default_factory=dict)  # why a column is left out
    groups: dict[int, str] = field(default_factory=dict)  # what a column that is left out was taken for

    def __post_init__(self) -> None:
        self.uses = [None] * len(self.columns)

    def take(self, column: Column, use: ColumnUse | None) -> None:
        """Keeps what the header suggests, unless the cells are something else."""
        why = _contradicted(column, use)
        if why is None:
            self.uses[column.position] = use
        elif use is not None:
            self.leave(use, why)

    def settle(self, column: Column, settled: ColumnUse | LeftOut | None) -> None:
        """Keeps a use whose unit is settled, or why it is not."""
        before = self.uses[column.position]
        if isinstance(settled, LeftOut) and before is not None:
            self.leave(before, settled)
        else:
            self.uses[column.position] = settled if isinstance(settled, ColumnUse) else None

    def leave(self, use: ColumnUse, why: LeftOut) -> None:
        """Leaves a column out that was taken for something."""
        self.uses[use.position] = None
        self.left[use.position] = why
        self.groups[use.position] = self.group(use)

    def group(self, use: ColumnUse) -> str:
        """The group of a use, also of one whose header leaves the field open."""
        name = use.fields[0]
        return self.contract.fields[name].group if name in self.contract.fields else name

    def markings(self) -> list[str]:
        """Per record the text of its marking, from the columns that are certain so far."""
        by_field: dict[str, Column] = {}
        for use in self.uses:
            if use and use.confidence >= CERTAIN:
                by_field.setdefault(use.fields[0], self.columns[use.position])
        return joined_markings(by_field, self.records)


def _place_abbreviated(work: _Work) -> None:
    """Gives columns with unknown headers the group that their header may stand for, where their cells bear it out."""
    markings = work.markings()
    for column in work.columns:
        position = column.position
        if work.uses[position] is not None or position in work.left:
            continue
        reading = read_header(column.header, work.contract)
        decimal = work.decimals[position]
        likely = likely_readings(column, reading, markings, decimal, work.contract)
        chosen = the_one(likely, column.header, reading.units)
        use = (
            use_of(column, chosen, reading, work.contract, decimal)
            if chosen is not None
            else by_unit(column, reading, markings, decimal, work.contract)
        )
        if use is not None:
            work.uses[position] = use
            work.groups.pop(position, None)
        elif likely and likely[0].score >= WORTH_SAYING:
            matter = (
                one.group for one in likely if one.group in work.contract.matters and one.score >= likely[0].score - 0.1
            )
            work.groups[position] = next(matter, likely[0].group)


def _pairs(sample: Sample) -> list[tuple[str, tuple[str, ...]]]:
    return list(zip(sample.headers, sample.cells, strict=True))


def _decimal_mark(column: Column) -> str | None:
    """The column's decimal mark; sizes such as 31x10.50R15 say nothing about the feed's own."""
    mark = column_evidence.decimal_mark(column)
    return None if mark and column.share(column_evidence.is_size) > 0.2 else mark


def _by_header(column: Column, contract: Contract, decimal: str | None) -> ColumnUse | None:
    """The use that the header suggests; the fields may still lack their unit."""
    reading = read_header(column.header, contract)
    if not reading.groups or reading.likely:
        return None
    if reading.confidence < 0.9 and _OTHER_BUSINESS.search(fold(column.header)):
        return None
    group = _group_by_values(column, reading, decimal)
    if group is None or not bears_out_letters(column, group, contract, decimal):
        return None
    if group != reading.groups[0] and reading.field:
        reading = replace(reading, field=None, confidence=0.9)
    confidence = reading.confidence
    fields = (reading.field,) if reading.field else contract.combined.get(group) or contract.groups.get(group, ())
    if group.startswith("generic_"):
        fields = (group,)
    elif len(fields) == 1 or group in contract.combined:
        confidence = _checked(column, fields[0], confidence, decimal)
    unit = reading.units[0] if len(reading.units) == 1 else None
    if reading.field:
        unit = None
    elif len(reading.units) > 1:
        fields = tuple(name for name in fields if contract.fields[name].unit in reading.units) or fields
    return ColumnUse(column.header, column.position, fields, unit, decimal, {}, confidence, column.samples())


def _contradicted(column: Column, use: ColumnUse | None) -> LeftOut | None:
    """A header's word against hardly a readable cell: the column is something else, unless the header is the field's
    own name.  Even then 0, 1 and 2 are no seasons, but a supplier's own codes.
    """
    if use is None or column.filled < 5 or use.fields[0].startswith("generic_"):
        return None
    name = use.fields[0]
    if use.confidence == 1.0 and not (name in _IN_WORDS and column.share(str.isdecimal) >= 0.9):
        return None
    if name in _NO_FLAGS and column_evidence.of_flags(column):
        return LeftOut(column.header, f"The header says {name}, but its cells are but yes and no.")
    if name in {"marking", "size"}:
        readable = column.share(column_evidence.looks_like_size)
    else:
        readable = column_evidence.readable_share(column, name)
    if readable < 0.1:
        return LeftOut(column.header, f"The header says {name}, but hardly a cell can be read as that.")
    if name == "ply_rating" and column_evidence.uneven(column) >= UNEVEN:
        return LeftOut(column.header, f"The header says {name}, but plies go in twos, and its numbers do not.")
    if name == "aspect_ratio" and column_evidence.uneven(column, 5.0) >= _MOSTLY:
        return LeftOut(column.header, f"The header says {name}, but those go in fives, and its numbers do not.")
    if name == "model" and column.share(lambda text: text.isdecimal() and len(text) <= _FEW_DIGITS) >= _NEARLY_ALL:
        return LeftOut(column.header, f"The header says {name}, but its cells are numbers.")
    return None


def _checked(column: Column, name: str, confidence: float, decimal: str | None) -> float:
    """A doubtful header gains or loses by its values; a sure one keeps its word, for wrong values are findings."""
    if confidence >= 0.9 or not column.filled or name not in readable_fields():
        return confidence
    readable = column_evidence.readable_share(column, name, decimal)
    return max(confidence, 0.8) if readable >= 0.95 else min(confidence, 0.4)


def _group_by_values(column: Column, reading: HeaderReading, decimal: str | None) -> str | None:
    """One of the header's groups, or the one its values show it to be."""
    if reading.field == column.header or (reading.field and reading.field not in _OFTEN_MORE):
        return reading.groups[0]
    first = reading.groups[0]
    numeric = (
        column.share(lambda text: column_evidence.plain_number(text, decimal) is not None) if column.filled else 0.0
    )
    if first in {"load_index", "speed_symbol"} and column.share(column_evidence.is_service) >= 0.6:
        return "service_description"
    if first == "size" and column.share(column_evidence.is_marking) >= 0.5:
        return "marking"
    if first == "marking" and column.share(column_evidence.is_marking) < 0.1:
        return "size" if column.share(column_evidence.is_size) >= 0.6 else first
    if first == "load_range" and numeric >= 0.8:
        return "ply_rating"
    if first == "speed_symbol" and numeric >= 0.9:
        return "max_speed"
    if first == "max_speed" and column.share(is_symbol) >= 0.9:
        return "speed_symbol"
    if first == "model" and column.share(column_evidence.holds_size) >= 0.5:
        return "title"  # "Désign." is short for a designation, not for a design
    if first == "sku" and column.share(lambda text: is_symbol(text) and text.isalpha()) >= 0.9:
        return "speed_symbol"  # "Symbol", in Polish that of an article
    if first in {"sku", "part_number"} and column.share(column_evidence.holds_size) >= 0.8:
        return "title"  # "Article" over the names of the goods
    if first == "service_description" and column.share(str.isdecimal) >= 0.9:
        return "load_index"
    if first == "title" and reading.field is None and _names_models(column):
        return "model"
    if {"model", "size_prefix"} <= set(reading.groups) and column.filled:
        return kind_by_values(column, reading.groups)
    if {"model", "aspect_ratio"} <= set(reading.groups):
        return "aspect_ratio" if numeric >= 0.8 else "model"
    if {"model", "tread_depth"} <= set(reading.groups) or (first == "model" and set(reading.units) & {"mm", "32nds"}):
        depths = column_evidence.readable_share(column, "tread_depth_32nds", decimal) if column.filled else 0.0
        return "tread_depth" if max(numeric, depths) >= 0.8 else "model"
    if first == "noise_db" and numeric < 0.2 and column.share(lambda text: text.upper() in "ABC") > 0.8:
        return "noise_class"
    if first == "aspect_ratio" and numeric < 0.3 and column.filled:
        return "model" if fold(column.header) in {"profil", "profile", "perfil"} else first
    return first


def _names_models(column: Column) -> bool:
    """Whether a "name of the goods" is but a model's name: short, no sizes and hardly two alike."""
    return (
        column.filled >= _FEW_NAMES
        and column.share(column_evidence.looks_like_size) < 0.1
        and (column.share(lambda text: len(text) <= _LONGEST_MODEL and not text.isdecimal()) >= 0.9)
    )


def _sorted_out(work: _Work) -> Proposal:
    """Keeps the surest column per field; names every other that looked as if it mattered."""
    best: dict[str, ColumnUse] = {}
    for use in work.uses:
        if use and (use.fields[0] not in best or use.confidence > best[use.fields[0]].confidence):
            best[use.fields[0]] = use
    kept: list[ColumnUse] = []
    unsure: list[ColumnUse] = []
    feed_decimal = "," if work.decimals.count(",") > work.decimals.count(".") else None
    for use in [use for use in work.uses if use]:
        rival = best[use.fields[0]]
        if rival is not use:
            work.leave(use, LeftOut(use.column, _rival_reason(use, rival)))
        elif use.confidence < CERTAIN:
            unsure.append(use)
            work.leave(use, LeftOut(use.column, f"It may be {use.fields[0]}, but this is not certain."))
        else:
            measured = any(name in measures() for name in use.fields)
            kept.append(replace(use, decimal=(use.decimal or feed_decimal) if measured else None))
    placed = {use.position for use in (*kept, *unsure)}
    unplaced = tuple(
        ColumnUse(column.header, column.position, (), samples=column.samples())
        for column in work.columns
        if column.position not in placed
    )
    left = unread_columns(work.columns, kept, work.left, work.groups, work.markings(), work.contract)
    return Proposal(Mapping("proposed", tuple(kept), left), tuple(unsure), unplaced, work.records)


def _rival_reason(use: ColumnUse, rival: ColumnUse) -> str:
    if use.column == rival.column:
        return f"The header occurs more than once; the one in column {rival.position + 1} is used."
    return f"Column {rival.column!r} already gives {rival.fields[0]}."
