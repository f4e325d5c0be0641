"""Columns that matter and were not read: a feed with one is not free of danger, and that is said first."""

from __future__ import annotations

import re
from collections.abc import Mapping as MappingType
from collections.abc import Sequence
from dataclasses import replace

from auditor.feeds import column_evidence
from auditor.feeds.column_evidence import Column
from auditor.feeds.model import ColumnUse, LeftOut, Mapping
from auditor.mapping.bare_values import says_much
from auditor.mapping.column_units import USUAL_IN
from auditor.mapping.header_evidence import FEW, GENERIC
from auditor.mapping.marking_agreement import agreement
from auditor.rulebook.header_likeness import speaks_of_other_business
from auditor.rulebook.headers import read_header
from auditor.rulebook.listing_fields import Contract

_HALF = 0.5
_LISTED = "a list of names and values"
_IN_A_LIST = "Its cells hold names and values in a list, such as a load, and these are not read."
_NAME_AND_VALUE = re.compile(
    r"\[\s*\{[^}]*['\"](?:name|key|label|attribute|code|k|id)['\"]\s*:.*['\"](?:value|val|v|text)['\"]\s*:",
    re.IGNORECASE | re.DOTALL,
)
_DISTINCT = 3
_BY_VALUES = ("max_load_kg", "max_load_lb", "max_load_dual_kg", "max_load_dual_lb", "load_index", "load_index_dual")
_SPEEDS = ("max_speed_kmh", "max_speed_mph")


def unread_columns(
    columns: Sequence[Column],
    used: Sequence[ColumnUse],
    left: MappingType[int, LeftOut],
    groups: MappingType[int, str],
    markings: Sequence[str],
    contract: Contract,
) -> tuple[LeftOut, ...]:
    """Every column that was left out, in feed order, with those named that matter.

    `left` says by position why a column was left out, `groups` what it was taken for.
    """
    placed = {use.position for use in used}
    found = []
    for column in columns:
        position = column.position
        if position in placed:
            continue
        item, group = left.get(position), groups.get(position)
        if item is not None and not says_much(column.header) and _by_values(column, markings):
            item = group = None  # two letters say less than the cells
        if group is None and item is None and _names_and_values(column):
            group, item = _LISTED, LeftOut(column.header, _IN_A_LIST, "send each of them as a key of its own")
        elif group is None and item is None and (name := _by_values(column, markings)):
            group = contract.fields[name].group
            item = LeftOut(column.header, f"Its cells look like {name}, but its header does not say what it is.")
        elif group is None and item is None and (name := _by_unit(column, contract)):
            group = contract.fields[name].group
            item = LeftOut(column.header, f"Its unit and values are those of {name}, but its header does not say so.")
        elif item is None and group in contract.matters and len(column.header.strip()) > 1:  # a letter means nothing
            item = LeftOut(
                column.header, f"Its header may stand for {_named(group, contract)}, but this is not certain."
            )
        if item is None:
            continue
        matters = (
            (group in contract.matters or group == _LISTED)
            and column.filled > 0
            and not (group in _NUMBERS and _of_letters(column))
            and not _repeats(column, columns, used)
        )
        takes = item.takes or f"name it in a feed map as {_named(group, contract)}, or list its header under ignore"
        fields = _fields(group, contract)
        found.append(replace(item, takes=takes, matters=matters, position=position, fields=fields))
    return tuple(found)


def not_in_map(proposed: Mapping, written: Mapping, name: str, contract: Contract) -> tuple[LeftOut, ...]:
    """The columns that matter by their headers or cells, and that a written map does not name."""
    named = {use.position for use in written.columns}
    takes = f"name it in {name}, or list its header under ignore"
    found = [
        LeftOut(
            use.column,
            f"{name} does not name it, and it looks like {use.fields[0]}.",
            takes,
            True,
            use.position,
            use.fields,
        )
        for use in proposed.columns
        if use.position not in named and contract.fields[use.fields[0]].group in contract.matters and use.samples
    ]
    found += [replace(item, takes=takes) for item in proposed.left_out if item.matters and item.position not in named]
    return tuple(sorted(found, key=lambda item: item.position))


def _fields(group: str | None, contract: Contract) -> tuple[str, ...]:
    """The fields that a column of a group may be."""
    return GENERIC.get(group or "") or contract.groups.get(group or "", ())


def _named(group: str | None, contract: Contract) -> str:
    """The fields of a group, for a sentence."""
    return " or ".join(_fields(group, contract)) or "its field"


def _by_values(column: Column, markings: Sequence[str]) -> str | None:
    """The field that matters which the cells look like, whatever the header says; None where they do not."""
    if len(column.counts) < _DISTINCT or column.filled < FEW:
        return None
    for name, test in (
        ("marking", column_evidence.is_marking),
        ("size", column_evidence.is_size),
        ("service_description", column_evidence.is_service),
    ):
        if column.share(test) >= _HALF:
            return name
    decimal = column_evidence.decimal_mark(column)
    for name in (*_BY_VALUES, *_SPEEDS):
        share, judged = agreement(column, markings, name, decimal)
        if judged >= FEW and share >= _HALF:
            return name
    return None


# What is usual of tires and of hardly anything else in these units; weights of tires and prices lie below, boxes above.
_USUAL_IN = {**USUAL_IN, "kg": ("max_load_kg", 250.0, 10_000.0), "lb": ("max_load_lb", 500.0, 22_000.0)}


def _by_unit(column: Column, contract: Contract) -> str | None:
    """The field that matters which a column is in by the unit in its header and its values, where nothing else says."""
    units = read_header(column.header, contract).units
    if len(units) != 1 or units[0] not in _USUAL_IN or speaks_of_other_business(column.header, contract):
        return None
    name, least, most = _USUAL_IN[units[0]]
    found = column_evidence.numbers(column, column_evidence.decimal_mark(column))
    inside = sum(count for value, count in found if least <= value <= most)
    return name if column.filled and inside >= 0.9 * column.filled else None


def _names_and_values(column: Column) -> bool:
    return column.share(lambda text: _NAME_AND_VALUE.match(text) is not None) >= _HALF


_NUMBERS = frozenset({"section_width", "aspect_ratio", "rim_diameter", "max_load", "max_speed", "max_pressure"})
_SHORT = 3  # letters of a header that may stand for anything


def _of_letters(column: Column) -> bool:
    """Whether under a header of two or three letters no cell holds a number: "SW" over BSW and OWL is no width."""
    return len(column.header.strip()) <= _SHORT and column.share(lambda text: any(map(str.isdigit, text))) == 0.0


def _repeats(column: Column, columns: Sequence[Column], used: Sequence[ColumnUse]) -> bool:
    """Whether a column says nothing but what one that is read says, record by record."""
    mine = [_plain(cell) for cell in column.cells]
    return any(mine == [_plain(cell) for cell in columns[use.position].cells] for use in used)


def _plain(cell: str) -> str:
    return "".join(cell.split()).casefold()
