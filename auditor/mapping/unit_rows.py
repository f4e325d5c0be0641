"""Units and names that stand apart from their values: in a row under the header, or in columns beside them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from auditor.mapping.proposal import Proposal, Sample, propose
from auditor.mapping.unit_columns import read_with_units, unit_columns, with_units
from auditor.rulebook.header_words import fold, is_row_of_units, is_unit
from auditor.rulebook.headers import read_header
from auditor.rulebook.listing_fields import Contract

_LONGEST_NAME = 60  # characters
_SHARED = 3  # headers that begin with one word
_FIRST = 3  # records among which a unit row stands; blank lines may come before it


def proposed_with_units(sample: Sample, contract: Contract) -> Proposal:
    """The proposal for a sample, by its headers, the units below them and those in columns of their own."""
    pairs = unit_columns(sample, contract)
    if pairs:
        return read_with_units(_by_headers(with_units(sample, pairs), contract), sample, pairs)
    return _by_headers(sample, contract)


def _by_headers(sample: Sample, contract: Contract) -> Proposal:
    below, beside = (
        _units_below(sample, contract),
        _names_beside(sample, contract) or _without_prefixes(sample, contract),
    )
    if not below and not beside:
        return propose(sample, contract)
    named = [beside.get(position, header) for position, header in enumerate(sample.headers)]
    headers = tuple(
        f"{header} {below[position]}" if position in below else header for position, header in enumerate(named)
    )
    return under_headers(propose(replace(sample, headers=headers), contract), sample.headers)


def under_headers(found: Proposal, headers: Sequence[str]) -> Proposal:
    """A proposal with its columns by the feed's own headers."""
    return replace(
        found,
        mapping=replace(
            found.mapping,
            columns=tuple(replace(use, column=headers[use.position]) for use in found.mapping.columns),
            left_out=tuple(replace(item, column=headers[item.position]) for item in found.mapping.left_out),
        ),
        unsure=tuple(replace(use, column=headers[use.position]) for use in found.unsure),
        unplaced=tuple(replace(use, column=headers[use.position]) for use in found.unplaced),
    )


def _units_below(sample: Sample, contract: Contract) -> dict[int, str]:
    """By column the unit that a row near the top names; empty where no row holds units alone."""
    for record in range(min(_FIRST, sample.records)):
        row = [cells[record].strip() for cells in sample.cells]
        filled = {position: text for position, text in enumerate(row) if text}
        if is_row_of_units(list(filled.values()), contract.units, contract.beside_units):
            units = {position: text for position, text in filled.items() if is_unit(text, contract.units)}
            return {
                position: text for position, text in units.items() if fold(text) not in fold(sample.headers[position])
            }
    return {}


def _names_beside(sample: Sample, contract: Contract) -> dict[int, str]:
    """By column of values the name that each cell of the column before it gives: "Attribute 1 name", "... value".

    Exports of shops write so, under headers that share a word; a name that is not the same for all is none.
    """
    found = {}
    for place, (header, following) in enumerate(pairwise(sample.headers)):
        name = next((text for cell in sample.cells[place] if (text := cell.strip())), "")
        if not name or len(name) > _LONGEST_NAME or not set(fold(header).split()) & set(fold(following).split()):
            continue
        same = all(cell.strip() in ("", name) for cell in sample.cells[place])
        if same and is_known(name, contract) and not is_known(header, contract) and not is_known(following, contract):
            found[place + 1] = name
    return found


def _without_prefixes(sample: Sample, contract: Contract) -> dict[int, str]:
    """By column an unknown header without its first word, where others have that, too: "PID_BRD" beside "PID_LR"."""
    parts = [header.partition("_") for header in sample.headers]
    shared = Counter(prefix for prefix, _, rest in parts if rest)
    return {
        place: rest
        for place, (prefix, _, rest) in enumerate(parts)
        if shared[prefix] >= _SHARED and not is_known(sample.headers[place], contract) and is_known(rest, contract)
    }


def is_known(header: str, contract: Contract) -> bool:
    """Whether a header is one that says what its column holds."""
    reading = read_header(header, contract)
    return bool(reading.groups) and not reading.likely
