"""Which of the fields of a quantity a column holds: by its header, its cells, its magnitude, or all values together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from auditor.feeds import column_evidence
from auditor.feeds.column_evidence import Column, decoded
from auditor.feeds.model import ColumnUse, LeftOut
from auditor.mapping.ambiguous_headers import field_by_range, resolve_by_size
from auditor.mapping.header_evidence import FEW, speaks
from auditor.mapping.loose_columns import holds_load_indices
from auditor.mapping.marking_agreement import CANDIDATES, agreement, best_agreement, unit_by_markings
from auditor.quantities import readable_fields
from auditor.rulebook.header_words import fold
from auditor.rulebook.headers import HeaderReading
from auditor.rulebook.listing_fields import Contract
from auditor.trade.tables import default_tables

ALL_BUT_ALL = 20  # values of a column without a known header that must agree with the markings, one by one


def settle_unit(
    column: Column, use: ColumnUse | None, contract: Contract, markings: Sequence[str], decimal: str | None
) -> ColumnUse | LeftOut | None:
    """Settles which of the fields of a quantity a column holds: by header, cells, magnitude or all values."""
    if use is None:
        return None
    if use.fields[0].startswith("generic_") or use.fields[0].startswith("section_width"):
        placed = resolve_by_size(column, use, markings, decimal)
        if isinstance(placed, LeftOut):
            return placed
        use = placed
    fields = use.fields
    group = contract.fields[fields[0]].group
    if len(fields) == 1 or len({contract.fields[name].group for name in fields}) > 1:
        return _with_other_fields(column, use, decimal)
    by_unit = {contract.fields[name].unit: name for name in contract.groups[group]}
    if use.unit in by_unit:
        return _with_other_fields(column, replace(use, fields=(by_unit[use.unit],)), decimal)
    if use.unit is not None:  # cm, say: the field's reader converts
        return _with_other_fields(column, replace(use, fields=fields[:1]), decimal)
    written = column_evidence.units_written(column, fields[0])
    known = {unit: share for unit, share in written.items() if unit in by_unit}
    if known and sum(known.values()) >= 0.8:
        primary = max(known, key=lambda unit: known[unit])
        return _with_other_fields(column, replace(use, fields=(by_unit[primary],)), decimal)
    told = [name for name in fields if name in CANDIDATES]
    name = (
        field_by_range(column, group, decimal)
        or unit_by_markings(column, markings, told, decimal)
        or slow_speed(column, fields, markings, decimal)
    )
    if name:
        return _with_other_fields(column, replace(use, fields=(name,)), decimal)
    if not column.filled:
        return None
    if group == "max_load" and holds_load_indices(column, markings):  # "load rating" over 84, 91, 102
        return _with_other_fields(column, replace(use, fields=("load_index",), confidence=0.8), decimal)
    units = " or ".join(str(unit) for unit in by_unit)
    return LeftOut(
        column.header,
        f"Neither the header nor the cells say whether this is {units}, and the values do not settle it.",
        f"name it in a feed map as {' or '.join(contract.groups[group])}",
    )


# What tires of slow machines are made for (UN Regulation No. 106, Annex 4).
_SLOW_SYMBOLS = ("A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "B", "D")
_SPEEDS = ("max_speed_kmh", "max_speed_mph")
_SLOW = frozenset({"agricultural", "off-road", "industrial"})


def slow_speed(column: Column, fields: Sequence[str], markings: Sequence[str], decimal: str | None) -> str | None:
    """The unit of top speeds of machines, fewer and slower than those of cars: 50 and 65 are no miles, 31 no km."""
    if "max_speed_kmh" not in fields:
        return None
    families = [getattr(decoded(text), "family", None) for text in dict.fromkeys(markings) if text]
    if not families or not all(family in _SLOW for family in families if family) or not any(families):
        return None
    if name := best_agreement(column, markings, _SPEEDS, decimal, FEW):
        return name
    tables, said = default_tables(), {value for value, _ in column_evidence.numbers(column, decimal)}
    kmh, mph = ({of[one] for one in _SLOW_SYMBOLS} for of in (tables.speed_kmh, tables.speed_mph_printed))
    if said <= kmh and said - mph:
        return "max_speed_kmh"
    return "max_speed_mph" if said <= mph and said - kmh else None


def _with_other_fields(column: Column, use: ColumnUse, decimal: str | None) -> ColumnUse:
    """Adds the fields that combined cells yield besides the column's own."""
    shares = column_evidence.fields_read(column, use.fields[0], use.unit, decimal)
    more = sorted(
        (name for name in shares if name not in use.fields and name in readable_fields() and shares[name] >= 0.02),
        key=lambda n: -shares[n],
    )
    return replace(use, fields=(*use.fields, *more))


def by_agreement(column: Column, markings: Sequence[str], decimal: str | None) -> ColumnUse | None:
    """A column with an unknown header whose numbers are what the markings say, one by one."""
    if not column.filled or len(column.counts) < 3 or not any(markings):
        return None
    name = best_agreement(column, markings, list(CANDIDATES), decimal, ALL_BUT_ALL)
    if name is None:
        return None
    return _used(column, name, decimal)


def by_unit(
    column: Column, reading: HeaderReading, markings: Sequence[str], decimal: str | None, contract: Contract
) -> ColumnUse | None:
    """A column whose header says nothing known but its unit, where its numbers are what the markings say in it."""
    if len(reading.units) != 1 or len(column.counts) < 3:
        return None
    unit = reading.units[0]
    name = "revs_per_mile" if unit == "/mile" else "revs_per_km" if unit == "/km" else None
    if name is not None:  # nothing else of a tire is counted by the way
        share = speaks(column, "revs", markings, decimal, contract)[0]
        return _used(column, name, decimal) if share >= 0.95 else None
    names = [name for name in CANDIDATES if contract.fields[name].unit == unit]
    dual = any(contract.concepts.get(word) == "dual" for word in fold(column.header).split())
    names = [name for name in names if "dual" in name or not dual]
    found = {name: agreement(column, markings, name, decimal) for name in names}
    sure = [name for name, (share, judged) in found.items() if share >= 0.9 and judged >= FEW]
    others = [name for name, (share, judged) in found.items() if name not in sure and share > 0.2]
    return _used(column, sure[0], decimal) if len(sure) == 1 and not others else None


def _used(column: Column, name: str, decimal: str | None) -> ColumnUse:
    return ColumnUse(column.header, column.position, (name,), None, decimal, {}, 0.8, column.samples())
