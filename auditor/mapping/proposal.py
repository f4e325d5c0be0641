"""Proposes a feed map from headers and a sample of cells; what is not certain is left out and named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from auditor.feeds import column_evidence
from auditor.feeds.column_evidence import Column
from auditor.feeds.model import ColumnUse, LeftOut, Mapping
from auditor.mapping.abbreviated_headers import likely_readings, the_one, use_of
from auditor.mapping.bare_values import (
    CERTAIN,
    disagrees_with_markings,
    place_by_values,
    says_much,
    take_bare_markings,
)
from auditor.mapping.column_units import by_agreement, by_other_columns, by_unit, settle_unit
from auditor.mapping.known_headers import contradicted, use_by_header
from auditor.mapping.loose_columns import place_parts_of_sizes, stands_behind_index
from auditor.mapping.marking_agreement import apart_from_widths, joined_markings, near_widths
from auditor.mapping.neighbours import (
    place_by_neighbours,
    place_dual_behind_index,
    place_second_of_pairs,
    take_vendors_for_brands,
)
from auditor.mapping.rim_columns import of_rim_widths, rim_range
from auditor.mapping.season_codes import season_codes
from auditor.mapping.unread import unread_columns
from auditor.quantities.units import measures
from auditor.rulebook.headers import read_header
from auditor.rulebook.listing_fields import Contract

WORTH_SAYING = 0.6  # score of an unknown header from which on it is named where it matters
_NEARLY_ALL = 0.9  # of the cells
_MEASURED = 0.3  # of the widths in a column, that are not those of their sizes
_SECOND_NUMBER = 0.8  # confidence of a second column of article numbers


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
        work.take(column, use_by_header(column, contract, work.decimals[column.position]))
    take_vendors_for_brands(columns, work.uses)
    take_bare_markings(columns, work.uses)
    place_by_values(columns, work.uses, contract)
    _place_abbreviated(work)
    place_parts_of_sizes(columns, work.uses)
    _place_abbreviated(work)  # by what the sizes say, now that they are placed
    markings = work.markings()
    place_by_neighbours(columns, work.uses, contract, markings)
    for column in columns:
        _settle(work, column, markings)
    place_second_of_pairs(columns, work.uses, contract)  # of firsts whose unit is settled, or that the markings place
    place_dual_behind_index(columns, work.uses)
    for position, use in work.without_unit.items():
        if work.uses[position] is None:
            _in_the_units_of_others(work, columns[position], use)
    _place_rims(work, markings)
    return _sorted_out(work)


def _settle(work: _Work, column: Column, markings: Sequence[str]) -> None:
    """Settles the unit of one column, or places it by what the markings say of its numbers."""
    use, decimal = work.uses[column.position], work.decimals[column.position]
    if use is not None and disagrees_with_markings(column, use, markings, decimal):
        work.uses[column.position] = None
    elif use is not None:
        work.uses[column.position] = of_rim_widths(
            column, _said_by_cells(column, use, work.contract), markings, decimal
        )
    work.settle(column, settle_unit(column, work.uses[column.position], work.contract, markings, decimal))
    if work.uses[column.position] is None and not (column.position in work.groups and says_much(column.header)):
        work.uses[column.position] = by_agreement(column, markings, decimal)


def _said_by_cells(column: Column, use: ColumnUse, contract: Contract) -> ColumnUse:
    """A use with the codes of its seasons, as speed symbols where each cell has one before its speed, as one rim width.

    A column of rim widths that are no ranges gives the measuring rim, one of indices with their symbols descriptions.
    """
    if use.fields[0] == "rim_width_min_in" and len(use.fields) > 1:
        told = column_evidence.fields_read(column, use.fields[0], use.unit, use.decimal)
        if told and not told.get("rim_width_max_in"):
            return replace(use, fields=("measuring_rim_in",))
    if use.fields == ("load_index", "speed_symbol") and column.share(column_evidence.is_service) >= _NEARLY_ALL:
        return replace(use, fields=("service_description",))  # with both pairs of load and speed of a farm tire
    if use.fields[0] == "season":
        return replace(use, translate=season_codes(column, contract))
    if use.fields[0].startswith("max_speed_"):
        said = column_evidence.fields_read(column, "speed_symbol", None, None).get("speed_symbol", 0.0)
        begins = column.share(lambda text: text[:1].isalpha())
        if said >= _NEARLY_ALL and begins >= _NEARLY_ALL:
            return replace(use, fields=("speed_symbol",), unit=None)
    return use


def _in_the_units_of_others(work: _Work, column: Column, use: ColumnUse) -> None:
    found = by_other_columns(column, use, work.uses, work.columns, work.contract, work.decimals[column.position])
    if found is not None:
        work.uses[column.position] = found
        work.left.pop(column.position, None)
        work.groups.pop(column.position, None)


def _place_rims(work: _Work, markings: Sequence[str]) -> None:
    """Ranges of rim widths under any header, that of a rim's diameter among them, where no column gives them."""
    held = {name for use in work.uses if use for name in use.fields}
    for column in work.columns:
        position = column.position
        free = position not in work.left or work.groups.get(position) == "rim_diameter"
        if work.uses[position] is None and free and "rim_width_min_in" not in held:
            found = rim_range(column, markings, work.decimals[position])
            if found is not None:
                work.uses[position] = found
                work.left.pop(position, None)
                held.update(found.fields)


@dataclass(slots=True)
class _Work:
    """What is known so far, by column position."""

    columns: Sequence[Column]
    contract: Contract
    records: int
    decimals: Sequence[str | None]
    uses: list[ColumnUse | None] = field(init=False)
    left: dict[int, LeftOut] = field(default_factory=dict)  # why a column is left out
    without_unit: dict[int, ColumnUse] = field(default_factory=dict)  # uses whose unit their own cells do not tell
    groups: dict[int, str] = field(default_factory=dict)  # what a column that is left out was taken for

    def __post_init__(self) -> None:
        self.uses = [None] * len(self.columns)

    def take(self, column: Column, use: ColumnUse | None) -> None:
        """Keeps what the header suggests, unless the cells are something else."""
        why = contradicted(column, use, self.contract)
        if why is None:
            self.uses[column.position] = use
        elif use is not None:
            self.leave(use, why)

    def settle(self, column: Column, settled: ColumnUse | LeftOut | None) -> None:
        """Keeps a use whose unit is settled, or why it is not."""
        before = self.uses[column.position]
        if isinstance(settled, LeftOut) and before is not None:
            self.leave(before, settled)
            self.without_unit[column.position] = before
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
        flags = column_evidence.of_flags(column) and not stands_behind_index(column, work.uses)
        chosen = the_one(likely, column.header, reading.units, flags)
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
        if rival is not use and (other := _as_another(work, use, best)) is not None:
            best.setdefault(other.fields[0], other)
            kept.append(other)
        elif rival is not use:
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


def _as_another(work: _Work, use: ColumnUse, best: dict[str, ColumnUse]) -> ColumnUse | None:
    """A second column of one field as what it is beside the first; None where it says no more than that."""
    column = work.columns[use.position]
    if use.fields in (("description",), ("title",)):
        return _further_text(use, column)
    if use.fields == ("sku",) and "part_number" not in best and _numbers_too(use, column):
        return replace(use, fields=("part_number",), confidence=min(use.confidence, _SECOND_NUMBER))
    if use.fields[0] == "section_width_mm" and "measured_width_mm" not in best and _are_measured(work, column):
        return replace(use, fields=("measured_width_mm",))
    return None


def _further_text(use: ColumnUse, column: Column) -> ColumnUse | None:
    """A further sales text, or a title in another language, as one; they are read behind the first."""
    if use.confidence < CERTAIN:
        return None
    if use.fields == ("title",) and column.share(column_evidence.holds_size) < _NEARLY_ALL:
        return None  # a category, or a word for all of them
    return replace(use, fields=("description",))


def _are_measured(work: _Work, column: Column) -> bool:
    """Whether the widths of a column are those of tires that were measured, and not of their sizes."""
    markings, decimal = work.markings(), work.decimals[column.position]
    near = near_widths(column, markings, decimal)
    return near >= _NEARLY_ALL and apart_from_widths(column, markings, decimal) >= _MEASURED


def _numbers_too(use: ColumnUse, column: Column) -> bool:
    """Whether a second column of article numbers is that of the maker, so to speak: codes that no other shop has.

    Bare numbers of two suppliers may be the same by chance, and then their tires would be compared.
    """
    if use.confidence < CERTAIN:
        return False
    coded = column.share(lambda text: any(map(str.isalpha, text)) and any(map(str.isdecimal, text)) and " " not in text)
    return coded >= _NEARLY_ALL and len(column.counts) >= _NEARLY_ALL * column.filled


def _rival_reason(use: ColumnUse, rival: ColumnUse) -> str:
    if use.column == rival.column:
        return f"The header occurs more than once; the one in column {rival.position + 1} is used."
    return f"Column {rival.column!r} already gives {rival.fields[0]}."
