"""Codes as numbers, by published order (speed symbols by speed, load ranges by ply rating), so that "higher" means
the same for every fact."""

from __future__ import annotations

from collections.abc import Mapping

from auditor.trade.tables import Tables

CONSTRUCTIONS = ("R", "B", "D")  # ZR is radial
LOAD_VERSIONS = ("LL", "SL", "XL", "HL")  # by load
SIZE_PREFIXES = ("P", "LT", "ST", "T", "HL", "C", "IF", "VF")  # letters of a size; C stands behind it
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
    "size_prefix": SIZE_PREFIXES,
}
SUMMER, WINTER = float(SEASONS.index("summer")), float(SEASONS.index("winter"))  # as numbers
UNKNOWN_CODE = -1.0  # a code was stated that the table does not hold


def code_number(field: str, code: str, tables: Tables) -> float:
    """The number of a stated code in its table's order; UNKNOWN_CODE where it is not in the table."""
    if field == "speed_symbol":
        position = tables.place_of(code)
        return UNKNOWN_CODE if position is None else position
    if field == "load_range":
        ply = tables.ply_of(code)
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
