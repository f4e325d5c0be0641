"""Columns whose header leaves open what they hold: a plain "width" or "diameter", a pressure without its unit."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from auditor.feeds.column_evidence import Column, decoded, fields_read, numbers, plain_number, readable_share
from auditor.feeds.model import ColumnUse, LeftOut
from auditor.mapping.marking_agreement import agreement
from auditor.trade.units import MM_PER_INCH

# group -> (field, from, to): magnitudes that only one unit can have on a tire
_RANGES: dict[str, tuple[tuple[str, float, float], ...]] = {
    "max_pressure": (
        ("max_pressure_bar", 1.0, 15.0),
        ("max_pressure_psi", 18.0, 140.0),
        ("max_pressure_kpa", 160.0, 1200.0),
    ),
    "overall_diameter": (("overall_diameter_in", 12.0, 90.0), ("overall_diameter_mm", 250.0, 2500.0)),
    "section_width": (("section_width_in", 2.0, 45.0), ("section_width_mm", 60.0, 1200.0)),
    "measured_width": (("measured_width_in", 2.0, 45.0), ("measured_width_mm", 60.0, 1200.0)),
}
_ALL = 0.98
_SAID, _READABLE = 0.25, 0.9  # shares of the cells that say something of a kind, and that can be read as one
_FEW, _UNLIKE = 5, 0.1  # judged cells, and the share that agrees of a column that is something else
_FASTEST_MPH = 186  # 300 km/h; no symbol goes beyond, so what is above is km/h
_FASTEST_KMH = 350
_NARROWEST, _WIDEST = 0.85, 1.2  # of a width as measured, by the nominal one
_DEEPEST_MM = 40.0
_ASPECTS, _SOME, _OF_THE_MARKINGS = (25.0, 95.0), 2, 0.8
_RIM = re.compile(r"Z?R\s?[0-9]{1,2}([.,]5)?\s?(C|LT)?|[0-9]{2}([.,]5)?\s?(C|LT)", re.IGNORECASE)


def field_by_range(column: Column, group: str, decimal: str | None) -> str | None:
    """The field of `group` in whose range nearly all numbers lie, where the ranges of its units do not meet."""
    found = numbers(column, decimal)
    total = sum(count for _, count in found)
    if not total:
        return None
    if group == "max_speed":
        beyond = sum(count for value, count in found if _FASTEST_MPH < value <= _FASTEST_KMH)
        possible = sum(count for value, count in found if value <= _FASTEST_KMH)
        return "max_speed_kmh" if 10 * beyond >= total and possible >= _ALL * total else None
    if group == "tread_depth":  # depths in 32nds are whole numbers
        parts = sum(count for value, count in found if value % 1)
        return "tread_depth_mm" if 2 * parts >= total and max(found)[0] <= _DEEPEST_MM else None
    for name, low, high in _RANGES.get(group, ()):
        if sum(count for value, count in found if low <= value <= high) >= _ALL * total:
            return name
    return None


def kind_by_values(column: Column, groups: Sequence[str]) -> str | None:
    """What a column headed "type" holds: letters of the size, a season, a construction or a model; None where neither.

    Kinds of vehicles are none of them.  Models are known by their numbers.
    """
    for group in ("size_prefix", "season", "construction"):
        said = fields_read(column, group, None, None).get(group, 0.0)
        if group in groups and said >= _SAID and readable_share(column, group) >= _READABLE:
            return group
    numbered = column.share(lambda text: text.upper() != "4X4" and any(map(str.isdigit, text)))
    named = column.share(lambda text: any(map(str.isalpha, text)) and decoded(text) is None)
    return "model" if "model" in groups and named >= _READABLE and numbered >= _SAID else None


def resolve_by_size(
    column: Column, use: ColumnUse, markings: Sequence[str], decimal: str | None
) -> ColumnUse | LeftOut:
    """Decides between rim and overall diameter, and between nominal and measured width."""
    if use.fields[0] == "generic_diameter":
        return _diameter(column, use, markings, decimal)
    if use.confidence == 1.0:  # the field's own name
        return use
    return _width(column, use, markings, decimal)


def are_aspects(column: Column, markings: Sequence[str], decimal: str | None) -> bool:
    """Whether the numbers of a column of "sections" are aspect ratios: those of the markings, or never a width.

    A Turkish "kesit" is either.  Widths of 25 to 95 mm in steps of 5, and none besides, no list of tires has.
    """
    share, judged = agreement(column, markings, "aspect_ratio", decimal)
    if judged >= _FEW:
        return share >= _OF_THE_MARKINGS
    found = {value for value, _ in numbers(column, decimal)}
    return len(found) > _SOME and all(_ASPECTS[0] <= value <= _ASPECTS[1] and value % 5 == 0 for value in found)


def _diameter(column: Column, use: ColumnUse, markings: Sequence[str], decimal: str | None) -> ColumnUse | LeftOut:
    found = numbers(column, decimal)
    if agreement(column, markings, "rim_diameter_in", decimal)[0] >= 0.8:
        return replace(use, fields=("rim_diameter_in",), unit=None)
    for name in ("overall_diameter_mm", "overall_diameter_in"):
        share, judged = agreement(column, markings, name, decimal)
        if share >= 0.8 and judged >= 5:
            return replace(use, fields=(name,), unit=None)
    told, judged = agreement(column, markings, "overall_diameter_mm", decimal)
    unlike = judged >= _FEW and told < _UNLIKE  # loads are as large
    if found and not unlike and all(value >= 250 for value, _ in found):
        return replace(use, fields=("overall_diameter_mm",), unit=None)
    rims = column.share(lambda text: _RIM.fullmatch(text) is not None)
    if rims >= 0.9 or (found and all(8 <= value <= 25 and (value * 2).is_integer() for value, _ in found)):
        return replace(use, fields=("rim_diameter_in",), unit=None)
    return LeftOut(
        column.header,
        "It may be the rim's diameter or the tire's.",
        "name it in a feed map as rim_diameter_in, overall_diameter_mm or overall_diameter_in",
    )


def _is_no_width(column: Column, markings: Sequence[str], decimal: str | None, unit_mm: float = 1.0) -> bool:
    """Whether hardly a number is near the width that the same record's marking names."""
    near = judged = 0
    for cell, marking in zip(column.cells, markings, strict=True):
        nominal, value = getattr(decoded(marking), "section_width_mm", None), plain_number(cell, decimal)
        if nominal and value is not None:
            judged += 1
            near += _NARROWEST * nominal <= value * unit_mm <= _WIDEST * nominal
    return judged >= _FEW and near < _UNLIKE * judged * 2


def _width(column: Column, use: ColumnUse, markings: Sequence[str], decimal: str | None) -> ColumnUse | LeftOut:
    """Nominal widths of metric sizes end in 5; other values, and inches for metric sizes, are measured widths."""
    found = numbers(column, decimal)
    total = sum(count for _, count in found)
    if not total:
        return replace(use, fields=("section_width_mm", "section_width_in"), confidence=min(use.confidence, 0.6))
    inches = use.unit == "in" or (use.unit is None and sum(c for value, c in found if value < 50) > 0.8 * total)
    if inches:
        metric = [text for text in dict.fromkeys(markings) if getattr(decoded(text), "section_width_mm", None)]
        inch = [text for text in dict.fromkeys(markings) if getattr(decoded(text), "section_width_in", None)]
        quarters = sum(count for value, count in found if (value * 4).is_integer()) > 0.9 * total
        known = len(metric) + len(inch) > 0
        if _is_no_width(column, markings, decimal, MM_PER_INCH):
            return LeftOut(column.header, "Its numbers are no widths of these sizes, in mm or in.")
        name = "section_width_in" if (len(inch) > len(metric) if known else quarters) else "measured_width_in"
        return replace(use, fields=(name,), unit=None)
    if use.unit is None and _is_no_width(column, markings, decimal):
        return LeftOut(column.header, "Its numbers are no widths of these sizes, in mm or in.")
    nominal = agreement(column, markings, "section_width_mm", decimal)[0]
    fives = sum(count for value, count in found if value % 10 == 5) / total
    name = "section_width_mm" if fives >= 0.6 or nominal >= 0.6 else "measured_width_mm"
    return replace(use, fields=(name,), unit="cm" if use.unit == "cm" else None)
