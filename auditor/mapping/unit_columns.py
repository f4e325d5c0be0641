"""Columns that hold but the unit of another one's numbers: `Weight`, `Weight UOM`; `load.value`, `load.unit`.

Units may differ from record to record, so each number is read with the unit of its own record.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from auditor.feeds.column_evidence import Column
from auditor.feeds.units_beside import measured
from auditor.mapping.proposal import Proposal, Sample
from auditor.quantities.units import measures
from auditor.rulebook.header_words import fold
from auditor.rulebook.listing_fields import Contract

_NEARLY_ALL, _MOST = 0.95, 0.5  # of the filled cells
_LONGEST_UNIT = 40  # characters


def unit_columns(sample: Sample, contract: Contract) -> dict[int, int]:
    """By the position of a column of numbers that of the column with their units.

    A column of units belongs to the one whose words its header repeats, all or some of them: `item weight` of `item
    weight unit of measure`, `max speed` of `speed unit`.  Where its header says no more than that it holds units, or
    nothing, it belongs to the one before it.
    """
    maybe = [place for place, cells in enumerate(sample.cells) if _begins_with_a_unit(cells, contract)]
    if not maybe:
        return {}
    columns = [Column(place, header, sample.cells[place]) for place, header in enumerate(sample.headers)]
    of_units = [columns[place] for place in maybe if _holds_units(columns[place], contract)]
    taken = {column.position for column in of_units}
    numbers = [column for column in columns if column.position not in taken and _holds_numbers(column)]
    found: dict[int, int] = {}
    for column in of_units:
        place = _whose_units(column, numbers, contract)
        if place is not None:
            found.setdefault(place, column.position)
    return found


def _begins_with_a_unit(cells: Sequence[str], contract: Contract) -> bool:
    """Whether the first filled cell is a unit: a cheap look, since hardly any feed has such columns."""
    first = next((cell for cell in cells if cell and not cell.isspace()), "")
    return len(first) <= _LONGEST_UNIT and fold(first) in contract.units


def _holds_units(column: Column, contract: Contract) -> bool:
    return column.filled > 0 and column.share(lambda text: fold(text) in contract.units) >= _NEARLY_ALL


def _holds_numbers(column: Column) -> bool:
    return column.filled > 0 and column.share(_is_number) >= _MOST


def _is_number(text: str) -> bool:
    return text[-1:].isdecimal() and not any(map(str.isalpha, text))


def _whose_units(column: Column, numbers: Sequence[Column], contract: Contract) -> int | None:
    words, outer = _words(column.header, contract), _outer(column.header)
    if outer:
        inner = [one.position for one in numbers if _outer(one.header) == outer]
        if len(inner) == 1:
            return inner[0]
    said = {one.position: _words(one.header, contract) for one in numbers}
    for alike in ([place for place in said if said[place] == words], [place for place in said if said[place] >= words]):
        if column.position - 1 in alike:
            return column.position - 1
        if len(alike) == 1 and words:
            return alike[0]
    return None


def _outer(header: str) -> str:
    """What a key stands in."""
    return header.rpartition(".")[0]


def _words(header: str, contract: Contract) -> frozenset[str]:
    """The words of a header but those that say that units or values stand below it."""
    return frozenset(fold(header).split()) - contract.unit_words


def with_units(sample: Sample, pairs: Mapping[int, int]) -> Sample:
    """The sample with each number and its unit in one cell, and nothing where the units stood."""
    cells, headers = [*sample.cells], [*sample.headers]
    for place, units in pairs.items():
        cells[place] = tuple(map(measured, sample.cells[place], sample.cells[units]))
    for units in pairs.values():
        headers[units], cells[units] = "", ("",) * sample.records
    return Sample(tuple(headers), tuple(cells))


def read_with_units(found: Proposal, sample: Sample, pairs: Mapping[int, int]) -> Proposal:
    """The proposal for a sample whose units were put beside their numbers, in the words of the feed itself."""
    of_measures = measures()
    columns = tuple(
        replace(use, unit_column=pairs[use.position])
        if use.position in pairs and any(name in of_measures for name in use.fields)
        else use
        for use in found.mapping.columns
    )
    units = frozenset(pairs.values())
    unplaced = tuple(
        replace(use, column=sample.headers[use.position], samples=_first(sample.cells[use.position]))
        if use.position in units
        else use
        for use in found.unplaced
    )
    return replace(found, mapping=replace(found.mapping, columns=columns), unplaced=unplaced)


def _first(cells: Sequence[str]) -> tuple[str, ...]:
    return Column(0, "", cells).samples()
