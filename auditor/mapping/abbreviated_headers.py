"""Columns under abbreviated headers: what the header may stand for, held against the column's cells."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from auditor.feeds.column_evidence import Column, uneven
from auditor.feeds.model import ColumnUse
from auditor.mapping.header_evidence import UNEVEN, of_codes, speaks
from auditor.mapping.rim_columns import are_no_rim_widths
from auditor.rulebook.header_words import fold
from auditor.rulebook.headers import HeaderReading
from auditor.rulebook.listing_fields import Contract

_ENOUGH = 0.68  # score of a header that stands alone
_ALONE, _FAR_APART = 0.64, 0.2  # or of one that is far ahead of any other
_NO_OTHER, _IN_ITS_UNIT = 0.54, 0.45  # or where the cells speak against all others; less where the unit speaks too
_WITHOUT_CELLS = 0.85  # where every cell is blank, and only the header speaks
_WITH_MARKINGS = 0.4  # where the same records' markings agree with the cells
_APART = 0.08  # how far the next likely group must be behind
_READABLE = 0.9
_CONFIDENCE = 0.8
_SHORT = 3  # letters of a header that may begin many words
_NAMING = frozenset({"brand", "supplier", "model"})
_SNOW_MARKS = frozenset({"severe_snow", "mud_and_snow"})
_RIMS = frozenset({"measuring_rim", "rim_width_min", "rim_width_max"})
_NAMES = frozenset({"brand", "supplier"})  # letters alone; nothing but a name
# Codes of treads of farm and earthmover tires, E4, L5, R-1W, which look like load ranges; common practice, no source.
_TREAD_CODE = re.compile(r"(?:[CEFGILR]|HF|LS)-?[1-9][A-Z]{0,2}", re.IGNORECASE)
_NO_FEW = 0.3
_SAME = (  # one is told from the other by the sizes
    frozenset({"section_width", "generic_width", "measured_width"}),
    frozenset({"overall_diameter", "generic_diameter"}),
    frozenset({"rim_diameter", "generic_diameter"}),
)


class Likely(NamedTuple):
    """A group that a header may stand for and that the cells do not speak against."""

    group: str
    score: float
    agrees: bool  # with the same records' markings


def likely_readings(
    column: Column, reading: HeaderReading, markings: Sequence[str], decimal: str | None, contract: Contract
) -> list[Likely]:
    """What an unknown header may stand for, as far as the cells bear it out; likeliest first."""
    found: list[Likely] = []
    if all(word in contract.other_business for word in fold(column.header).split()):
        return found  # "Netto" alone is a price
    for group, score in reading.likely:
        if len(fold(column.header)) <= _SHORT and group in _NAMING and column.filled and of_codes(column):
            continue
        if group == "ply_rating" and uneven(column) >= UNEVEN:
            continue
        if group == "load_range" and column.share(lambda text: bool(_TREAD_CODE.fullmatch(text))) >= _NO_FEW:
            continue
        if group in _RIMS and are_no_rim_widths(column, markings, decimal):
            continue
        share, agrees = speaks(column, group, markings, decimal, contract)
        if share >= _READABLE and (column.filled or score >= _WITHOUT_CELLS):
            found.append(Likely(group, score, agrees))
    return sorted(found, key=lambda item: (-item.agrees, -item.score, item.group))


def the_one(likely: Sequence[Likely], header: str, units: Sequence[str], flags: bool = False) -> Likely | None:
    """The group without a rival; None where there is doubt.

    `units` are those that the header names; `flags` tells whether the cells are but yes and no, which are said of a
    mark for snow, and then half of a header's words are enough.
    """
    if not likely or (len(fold(header)) == 1 and not likely[0].agrees):  # a letter may be short for anything
        return None
    first = likely[0]
    rivals = [one for one in likely[1:] if not any({one.group, first.group} <= same for same in _SAME)]
    if first.agrees:
        strong = [one for one in rivals if one.agrees and one.score > first.score - _APART]
        return first if first.score >= _WITH_MARKINGS and not strong else None
    if flags and first.group in _SNOW_MARKS and first.score >= _IN_ITS_UNIT:
        return None if any(one.score > first.score - _APART for one in rivals) else first
    name = first.group in _NAMES and " " not in fold(header)
    if not likely[1:] and first.score >= (_IN_ITS_UNIT if units else _NO_OTHER) and (units or name):
        return first
    apart = _APART if first.score >= _ENOUGH else _FAR_APART
    if first.score < _ALONE or any(one.score > first.score - apart for one in rivals):
        return None
    return first


def use_of(
    column: Column, chosen: Likely, reading: HeaderReading, contract: Contract, decimal: str | None
) -> ColumnUse:
    """The column's use as the group that was chosen; the fields may still lack their unit."""
    fields = contract.combined.get(chosen.group) or contract.groups.get(chosen.group, ())
    if chosen.group.startswith("generic_"):
        fields = (chosen.group,)
    unit = reading.units[0] if len(reading.units) == 1 else None
    if len(reading.units) > 1:
        fields = tuple(name for name in fields if contract.fields[name].unit in reading.units) or fields
    return ColumnUse(column.header, column.position, fields, unit, decimal, {}, _CONFIDENCE, column.samples())
