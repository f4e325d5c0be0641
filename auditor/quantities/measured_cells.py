"""Cells of numeric fields with what may stand in them beside a number: load indices, speed symbols, parts of a size."""

from __future__ import annotations

from auditor.quantities.measures import read_measure
from auditor.quantities.model import BLANK, CellReading, Reading
from auditor.quantities.service_cells import read_service_cell
from auditor.quantities.size_letters import LETTERED, letters_of_size
from auditor.quantities.units import Measure, find_unit
from auditor.trade.patterns import Pattern

_OF_SERVICE = frozenset({"max_load", "max_load_dual", "max_speed"})
# A symbol with a digit, or a load index before it: "40 (A8)", "91V".
_DESCRIBED = Pattern(r"(?i)[^a-z]*a[1-8](?![0-9])|\(?[0-9]{2,3}(?:/[0-9]{2,3})?[a-hj-np-y][1-8]?\)?$")


def read_measured(text: str, measure: Measure, unit: str | None, decimal: str | None) -> CellReading:
    """Reads a cell of `measure`; `unit` is the column's where not the field's own, `decimal` its decimal mark."""
    if measure.stem == "max_speed" and _DESCRIBED.match(text):
        return read_service_cell(text, measure.field)
    if measure.stem.startswith("max_load") and _WITH_MORE.search(text) and not _AT_TWO_SPEEDS.search(text):
        more = read_service_cell(text, measure.field)
        if not _SAID_BESIDE.isdisjoint(one.field for one in more.readings):
            return more._replace(readings=tuple(filter(_is_no_condition, more.readings)))
    text, letters = letters_of_size(text, measure.field) if measure.field in LETTERED else (text, ())
    found = read_measure(text, measure, None if unit is None else find_unit(unit), decimal)
    if found.status == "unreadable" and measure.stem in _OF_SERVICE:
        other = read_service_cell(text, measure.field)
        if other.status == "blank":
            return BLANK
        return other if _names_a_code(other, measure.stem, text) else found
    return found._replace(readings=(*found.readings, *letters)) if letters and found.status == "read" else found


def _names_a_code(found: CellReading, stem: str, text: str) -> bool:
    """Whether a cell holds a load index beside its load, or a speed symbol beside its speed: "2650 (A8)", not "1e3"."""
    fields = {one.field for one in found.readings}
    if stem.startswith("max_load") and "(" not in text:
        fields.discard("speed_symbol")
    return any(name.startswith(stem) for name in fields) and not fields.isdisjoint(_CODES_BESIDE)


def _is_no_condition(one: Reading) -> bool:
    """Whether a speed beside a load is the tire's own, and none that the load holds at: "2,650 kg (40 km/h)"."""
    least = _LEAST_TOP_SPEED.get(one.field)
    return least is None or float(one.value) >= least


_LEAST_TOP_SPEED = {"max_speed_kmh": 100.0, "max_speed_mph": 62.0}  # common practice, no source
_CODES_BESIDE = frozenset({"load_index", "load_index_dual", "speed_symbol"})
_SAID_BESIDE = _CODES_BESIDE | {"max_speed_kmh", "max_speed_mph", "load_version", "ply_rating", "load_range"}
# A load, and behind it something else than a load: "615 kg / 91V", "1,356 lbs, speed rating V".
_WITH_MORE = Pattern(
    r"(?i)[0-9]\s?(?:kgs?|lbs?)\.?\s*(?:[(/,;:|\u2013-]|\s).*(?:km|mph|speed|index|\b(?:li|si|lr[b-n]?|pr|ply|xl|sl|hl)\b"
    r"|load$|(?<![0-9.,])[0-9]{2,3}\s*\)?$|(?<![a-z])(?:[b-hj-np-wy]|a[1-8])\W*$)"
)
# "3.250 kg (40 km/h) / 3.000 kg (50 km/h)": of a farm tire, each at its speed.
_AT_TWO_SPEEDS = Pattern(r"(?i)\([^()0-9]{0,6}[0-9]+\s?km[^()]{0,6}\).*\([^()0-9]{0,6}[0-9]+\s?km")
