"""Units that stand apart from their numbers: in a row under the header, whose words count as its own, or in columns."""

from __future__ import annotations

from dataclasses import replace

from auditor.mapping.proposal import Proposal, Sample, propose
from auditor.mapping.unit_columns import read_with_units, unit_columns, with_units
from auditor.rulebook.header_words import fold, is_row_of_units
from auditor.rulebook.listing_fields import Contract

_FIRST = 3  # records among which a unit row stands; blank lines may come before it


def proposed_with_units(sample: Sample, contract: Contract) -> Proposal:
    """The proposal for a sample, by its headers, the units below them and those in columns of their own."""
    pairs = unit_columns(sample, contract)
    if pairs:
        return read_with_units(_by_headers(with_units(sample, pairs), contract), sample, pairs)
    return _by_headers(sample, contract)


def _by_headers(sample: Sample, contract: Contract) -> Proposal:
    below = _units_below(sample, contract)
    if not below:
        return propose(sample, contract)
    headers = tuple(
        f"{header} {below[position]}" if position in below else header for position, header in enumerate(sample.headers)
    )
    found = propose(replace(sample, headers=headers), contract)
    columns = tuple(replace(use, column=sample.headers[use.position]) for use in found.mapping.columns)
    left = tuple(replace(item, column=sample.headers[item.position]) for item in found.mapping.left_out)
    return replace(
        found,
        mapping=replace(found.mapping, columns=columns, left_out=left),
        unsure=tuple(replace(use, column=sample.headers[use.position]) for use in found.unsure),
        unplaced=tuple(replace(use, column=sample.headers[use.position]) for use in found.unplaced),
    )


def _units_below(sample: Sample, contract: Contract) -> dict[int, str]:
    """By column the unit that a row near the top names; empty where no row holds units alone."""
    for record in range(min(_FIRST, sample.records)):
        row = [cells[record].strip() for cells in sample.cells]
        filled = {position: text for position, text in enumerate(row) if text}
        if is_row_of_units(list(filled.values()), contract.units, contract.beside_units):
            units = {position: text for position, text in filled.items() if fold(text) in contract.units}
            return {
                position: text for position, text in units.items() if fold(text) not in fold(sample.headers[position])
            }
    return {}
