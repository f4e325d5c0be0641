"""Which of the fields of a quantity a column holds: by its header, its cells, its magnitude, or all values together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from auditor.feeds import column_evidence
from auditor.feeds.column_evidence import Column, decoded
from auditor.feeds.model import ColumnUse, LeftOut
from auditor.mapping.ambiguous_headers import are_aspects, field_by_range, resolve_by_size
from auditor.mapping.header_evidence import FEW, speaks
from auditor.mapping.loose_columns import holds_load_indices
from auditor.mapping.marking_agreement import (
    CANDIDATES,
    agreement,
    are_symbols,
    best_agreement,
    marking_numbers,
    near_widths,
    unit_by_markings,
)
from auditor.mapping.neighbours import may_be_loads_of_dual
from auditor.quantities import readable_fields
from auditor.rulebook.header_likeness import speaks_of_other_business
from auditor.rulebook.header_words import fold
from auditor.rulebook.headers import HeaderReading, without_units
from auditor.rulebook.listing_fields import Contract
from auditor.trade.tables import default_tables
from auditor.trade.units import UNITS

_SHORT = 3  # letters of a header that may be short for anything, prices and stocks among it
ALL_BUT_ALL = 20  # values of a column without a known header that must agree with the markings, one by one
_FEWER, _DIFFERENT = 10, 4  # or fewer, of which so many are different


def settle_unit(
    column: Column, use: ColumnUse | None, contract: Contract, markings: Sequence[str], decimal: str | None
) -> ColumnUse | LeftOut | None:
    """Settles which of the fields of a quantity a column holds: by header, cells, magnitude or all values."""
    if use is None:
        return None
    widths = use.fields[0].startswith(("section_width", "measured_width", "generic_width"))
    if widths and use.confidence < 1.0 and are_aspects(column, markings, decimal):
        return replace(use, fields=("aspect_ratio",), unit=None)
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
        or (best_agreement(bare_cells(column), markings, told, decimal, FEW) if written else None)
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


# Units of which a feed that has some has no other; psi and inches of rims are used everywhere.
_METRIC, _IMPERIAL = frozenset({"kg", "mm", "km/h", "kPa", "/km"}), frozenset({"lb", "mph", "32nds", "/mile"})
_OF_SYSTEM = {
    "tire_weight": ("tire_weight_kg", "tire_weight_lb"),
    "tread_depth": ("tread_depth_mm", "tread_depth_32nds"),
    "revs": ("revs_per_km", "revs_per_mile"),
}
_LEAST_UNITS = 2  # different ones
_DEEPEST_MM = 40


def by_other_columns(
    column: Column,
    use: ColumnUse,
    uses: Sequence[ColumnUse | None],
    columns: Sequence[Column],
    contract: Contract,
    decimal: str | None,
) -> ColumnUse | None:
    """A use without its unit, in that of the feed's other columns: dual loads as single ones, else its one system."""
    if use.fields[0] not in contract.fields:  # a width or diameter that nothing tells from another
        return None
    group = contract.fields[use.fields[0]].group
    held = [contract.fields[one.fields[0]] for one in uses if one and one.fields[0] in contract.fields]
    if group == "max_load_dual":
        single = next((spec for spec in held if spec.group == "max_load"), None)
        if single is None:
            return None
        singles = [columns[one.position] for one in uses if one and one.fields[0] == single.name]
        if not all(may_be_loads_of_dual(column, one) for one in singles):  # kilograms beside pounds
            return None
        name = next(name for name in contract.groups[group] if contract.fields[name].unit == single.unit)
        return _with_other_fields(column, replace(use, fields=(name,)), decimal)
    units = {spec.unit for spec in held if spec.group != "section_width"}  # widths are in mm everywhere
    outside = {"overall_diameter_in", "measured_width_in"} & {spec.name for spec in held}
    metric, imperial = len(units & _METRIC), len(units & _IMPERIAL) + bool(outside)
    if group not in _OF_SYSTEM or max(metric, imperial) < _LEAST_UNITS or min(metric, imperial) > 0:
        return None
    name = _OF_SYSTEM[group][0 if metric else 1]
    if name == "tread_depth_mm" and _may_be_32nds(column, decimal):
        return None
    return _with_other_fields(column, replace(use, fields=(name,)), decimal)


def _may_be_32nds(column: Column, decimal: str | None) -> bool:
    """Whether depths are as many as hardly a tire has in mm, and none is a fraction, as those in mm often are."""
    found = column_evidence.numbers(column, decimal)
    return max((value for value, _ in found), default=0) > _DEEPEST_MM and all(value % 1 == 0 for value, _ in found)


def bare_cells(column: Column) -> Column:
    """The column without the cells that carry a unit themselves."""
    cells = [cell if not any(map(str.isalpha, cell)) else "" for cell in column.cells]
    return Column(column.position, column.header, cells)


def by_agreement(column: Column, markings: Sequence[str], decimal: str | None) -> ColumnUse | None:
    """A column with an unknown header whose numbers are what the markings say, one by one."""
    if not column.filled or len(column.counts) < 3 or not any(markings):
        return None
    if are_symbols(column, markings):
        return _used(column, "speed_symbol", decimal)
    least = _FEWER if len(column.counts) >= _DIFFERENT else ALL_BUT_ALL
    name = best_agreement(column, markings, list(CANDIDATES), decimal, least)
    if name is None and column.filled >= ALL_BUT_ALL and near_widths(column, markings, decimal) >= 0.95:
        name = "measured_width_mm"
    return None if name is None else _used(column, name, decimal)


def by_unit(
    column: Column, reading: HeaderReading, markings: Sequence[str], decimal: str | None, contract: Contract
) -> ColumnUse | None:
    """A column whose header says nothing known but its unit, or whose cells carry it.

    Placed where its numbers are what the markings say in it, or where nothing else of a tire is told in that unit.
    """
    units = reading.units or _units_of_cells(column)
    of_other = len(fold(column.header)) > _SHORT and speaks_of_other_business(column.header, contract)
    if len(units) != 1 or not column.filled:
        return None
    unit = units[0]
    if not of_other and (alone := _alone_in_its_unit(column, unit, decimal)) is not None:
        return _used(column, alone, decimal)
    if len(column.counts) < 3:
        return None
    bare = not without_units(fold(column.header), contract)
    if not of_other and bare and _are_weights(column, markings, unit, decimal):
        return _used(column, f"tire_weight_{unit}", decimal)
    name = "revs_per_mile" if unit == "/mile" else "revs_per_km" if unit == "/km" else None
    if name is not None:  # nothing else of a tire is counted by the way
        share = speaks(column, "revs", markings, decimal, contract)[0]
        return _used(column, name, decimal) if share >= 0.95 else None
    names = [name for name in CANDIDATES if contract.fields[name].unit == unit]
    dual = any(contract.concepts.get(word) == "dual" for word in fold(column.header).split())
    pairs = column.share(lambda text: "/" in text) >= _MOSTLY  # each half is what another field says
    names = [name for name in names if ("dual" in name or not dual) and not ("dual" in name and pairs)]
    found = {name: agreement(column, markings, name, decimal) for name in names}
    sure = [name for name, (share, judged) in found.items() if share >= 0.9 and judged >= FEW]
    others = [name for name, (share, judged) in found.items() if name not in sure and share > 0.2]
    return _used(column, sure[0], decimal) if len(sure) == 1 and not others else None


_MOSTLY = 0.5  # of the cells
_CARRYING = 0.3  # of the cells, which may also be blank
_HEAVIEST = 0.15  # of the load that a tire carries; common practice, no source


def _are_weights(column: Column, markings: Sequence[str], unit: str, decimal: str | None) -> bool:
    """Whether a column that is headed by kg or lb alone holds weights, all of which are far below the tires' loads."""
    if unit not in ("kg", "lb"):
        return False
    judged = 0
    for cell, marking in zip(column.cells, markings, strict=True):
        load = marking_numbers(marking).get("load_single_kg") if cell and marking else None
        value = column_evidence.plain_number(cell, decimal) if load is not None else None
        if value is not None and load is not None:
            judged += 1
            if not 0.5 <= value * UNITS[unit].factor <= _HEAVIEST * load:
                return False
    return judged >= FEW


# What a tire's data give in these units, and the least and most of it.
USUAL_IN = {
    "km/h": ("max_speed_kmh", 5.0, 350.0),
    "mph": ("max_speed_mph", 3.0, 220.0),
    "kPa": ("max_pressure_kpa", 150.0, 1_300.0),
    "psi": ("max_pressure_psi", 15.0, 160.0),
    "bar": ("max_pressure_bar", 1.0, 13.0),
}
# Of tires alone; in mm hardly anything else is so small.
_ALONE = {
    **USUAL_IN,
    "dB": ("noise_db", 55.0, 90.0),
    "mm": ("tread_depth_mm", 2.0, 40.0),
    "32nds": ("tread_depth_32nds", 2.0, 60.0),
}


def _alone_in_its_unit(column: Column, unit: str, decimal: str | None) -> str | None:
    """The field that numbers in a unit can but be, by their size."""
    name, least, most = _ALONE.get(unit, ("", 0.0, 0.0))
    found = [
        value
        for text, _ in column.usual()
        for field, value, _ in (column_evidence.readings(text, name, None, decimal) if name else ())
        if field == name and isinstance(value, float | int)
    ]
    if len(found) < min(FEW, len(column.counts)) or not all(least <= value <= most for value in found):
        return None
    blank = sum(column_evidence.is_blank(text, name) for text, _ in column.usual())
    return name if len(found) + blank >= 0.9 * len(column.usual()) else None


def _units_of_cells(column: Column) -> tuple[str, ...]:
    """The unit that nearly all cells carry; of pressures, where they carry several, the usual one."""
    if column.share(lambda text: any(map(str.isdecimal, text)) and any(map(str.isalpha, text))) < _CARRYING:
        return ()
    measures = ("max_pressure_psi", "max_speed_kmh", "noise_db", "tread_depth_mm", "tread_depth_32nds", "max_load_kg")
    for name in measures:
        written = column_evidence.units_written(column, name)
        if written and sum(written.values()) >= 0.9:
            return (max(sorted(written), key=lambda unit: written[unit]),)
    return ()


def _used(column: Column, name: str, decimal: str | None) -> ColumnUse:
    return ColumnUse(column.header, column.position, (name,), None, decimal, {}, 0.8, column.samples())
