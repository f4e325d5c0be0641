"""Facts as numbers: what a marking says and what follows from it, in one fixed row that rules can compare.

Codes become numbers by published order (speed symbols by speed, load ranges by ply rating), so that "higher" means
the same for every fact.  NaN stands for what the marking does not say.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import nan

from auditor.trade.derive import derive
from auditor.trade.marking_model import Marking
from auditor.trade.tables import Tables

FAMILIES = (
    "metric",
    "p-metric",
    "lt-metric",
    "flotation",
    "commercial",
    "special-trailer",
    "temporary-spare",
    "truck-metric",
    "truck-numeric",
    "numeric",
    "motorcycle",
    "agricultural",
    "off-road",
    "industrial",
    "metric-rim",
)
FAMILY_NUMBER = {name: float(position) for position, name in enumerate(FAMILIES)}

FACTS = (
    "readable",
    "family",
    "section_width_mm",
    "section_width_in",
    "width_is_inch",
    "aspect_ratio",
    "construction",
    "zr",
    "rim_diameter_in",
    "rim_diameter_mm_marked",
    "load_index",
    "load_index_dual",
    "load_index_alt",
    "load_index_dual_alt",
    "speed_symbol",
    "speed_symbol_alt",
    "speed_symbol_open",
    "load_single_kg",
    "load_dual_kg",
    "load_single_alt_kg",
    "load_dual_alt_kg",
    "speed_kmh",
    "speed_alt_kmh",
    "speed_floor_kmh",
    "speed_practice_mph",
    "overall_diameter_mm",
    "diameter_min_mm",
    "diameter_max_mm",
    "diameter_special_min_mm",
    "diameter_special_max_mm",
    "special_use",
    "load_range",
    "ply_rating",
    "load_version",
    "reinforced_unsure",
    "revs_per_km",
    "mud_and_snow",
    "severe_snow",
    "nonstandard",
    "temporary",
)
FACT_POSITION = {name: position for position, name in enumerate(FACTS)}
NO_FACTS = (0.0, *(nan for _ in FACTS[1:]))

# A fact and what a second service description says instead; a statement that fits either agrees.
SECOND_DESCRIPTION = {
    "load_single_kg": "load_single_alt_kg",
    "load_single_lb": "load_single_alt_lb",
    "load_dual_kg": "load_dual_alt_kg",
    "load_dual_lb": "load_dual_alt_lb",
    "speed_kmh": "speed_alt_kmh",
    "speed_mph": "speed_alt_mph",
    "load_index": "load_index_alt",
    "load_index_dual": "load_index_dual_alt",
    "speed_symbol": "speed_symbol_alt",
}

CONSTRUCTIONS = ("R", "B", "D")  # ZR is radial
LOAD_VERSIONS = ("LL", "SL", "XL", "HL")  # by load
SEASONS = ("summer", "all-season", "winter")
TIRE_CLASSES = ("C1", "C2", "C3")
LABEL_CLASSES = ("A", "B", "C", "D", "E", "F", "G")
NO_YES = ("no", "yes")
_CODES: Mapping[str, tuple[str, ...]] = {
    "load_version": LOAD_VERSIONS,
    "season": SEASONS,
    "tire_class": TIRE_CLASSES,
    "fuel_class": LABEL_CLASSES,
    "wet_grip_class": LABEL_CLASSES,
    "noise_class": LABEL_CLASSES,
    "temperature": LABEL_CLASSES,
    "traction": ("C", "B", "A", "AA"),
    "mud_and_snow": NO_YES,
    "severe_snow": NO_YES,
    "all_terrain": NO_YES,
    "construction": CONSTRUCTIONS,
}
UNKNOWN_CODE = -1.0  # a code was stated that the table does not hold


def code_number(field: str, code: str, tables: Tables) -> float:
    """The number of a stated code in its table's order; UNKNOWN_CODE where it is not in the table."""
    if field == "speed_symbol":
        position = _places(tables).get(code)
        return UNKNOWN_CODE if position is None else position
    if field == "load_range":
        ply = tables.load_range_ply.get(code)
        return UNKNOWN_CODE if ply is None else float(ply)
    if field == "construction" and code == "ZR":
        return 0.0
    codes = _CODES.get(field, ())
    return float(codes.index(code)) if code in codes else UNKNOWN_CODE


def code_text(field: str, number: float, tables: Tables) -> str:
    """The code behind a number of `code_number`; empty where there is none."""
    if number != number or number < 0:
        return ""
    if field == "speed_symbol":
        symbols = list(tables.speed_kmh)
        return symbols[int(number)] if number < len(symbols) else ""
    if field == "load_range":
        return tables.ply_load_range.get(int(number), "")
    codes = _CODES.get(field, ())
    return codes[int(number)] if int(number) < len(codes) else ""


def is_code(field: str) -> bool:
    """Whether the values of a field are codes, not quantities."""
    return field in _CODES or field in ("speed_symbol", "load_range")


_PLACES: dict[int, dict[str, float]] = {}


def _places(tables: Tables) -> dict[str, float]:
    """Speed symbol -> its place by speed; kept per table object."""
    found = _PLACES.get(id(tables.speed_kmh))
    if found is None:
        found = {symbol: float(position) for position, symbol in enumerate(tables.speed_kmh)}
        _PLACES[id(tables.speed_kmh)] = found
    return found


def _number(value: float | None) -> float:
    return nan if value is None else float(value)


def marking_facts(marking: Marking, tables: Tables) -> tuple[float, ...]:
    """The row of FACTS of one marking.  Source of the derived ones: see `auditor.trade.derive`."""
    d = derive(marking, tables)
    service = marking.service
    positions = _places(tables)
    index_alt = index_dual_alt = symbol_alt = load_alt = load_dual_alt = speed_alt = nan
    if marking.additional:
        first = marking.additional[0]
        index_alt, index_dual_alt = _number(first.load_index), _number(first.load_index_dual)
        symbol_alt = positions.get(first.speed_symbol or "", nan)
        load_alt, load_dual_alt, speed_alt = (_number(v) for v in d.additional[0])
    range_ply = tables.load_range_ply.get(marking.load_range or "")
    if range_ply is None:
        range_ply = marking.ply_rating
    version = marking.load_version
    letters = marking.letters
    return (
        1.0,
        FAMILY_NUMBER.get(marking.family, nan),
        _number(d.section_width_mm),
        _number(marking.section_width_in),
        1.0 if marking.section_width_in is not None else 0.0,
        _number(d.aspect_ratio),
        nan if marking.construction is None else code_number("construction", marking.construction, tables),
        1.0 if marking.construction == "ZR" else 0.0,
        _number(d.rim_diameter_in),
        _number(marking.rim_diameter_mm_marked),
        _number(service.load_index),
        _number(service.load_index_dual),
        index_alt,
        index_dual_alt,
        nan if service.speed_symbol is None else positions.get(service.speed_symbol, nan),
        symbol_alt,
        1.0 if service.speed_open else 0.0,
        _number(d.load_single_kg),
        _number(d.load_dual_kg),
        load_alt,
        load_dual_alt,
        _number(d.speed_kmh),
        speed_alt,
        _number(d.speed_floor_kmh),
        _number(d.speed_practice_mph),
        _number(d.overall_diameter_mm),
        _number(d.diameter_min_mm),
        _number(d.diameter_max_mm),
        _number(d.diameter_special_min_mm),
        _number(d.diameter_special_max_mm),
        1.0 if d.special_use else 0.0,
        _number(range_ply),
        _number(d.ply_rating),
        nan if version is None else float(LOAD_VERSIONS.index(version)),
        1.0 if "RF" in letters and version == "XL" else 0.0,
        _number(d.revs_per_km),
        1.0 if "M+S" in letters else 0.0,
        1.0 if "3PMSF" in letters else 0.0,
        1.0 if marking.nonstandard else 0.0,
        1.0 if marking.family == "temporary-spare" else 0.0,
    )
