"""What is compared of a marking: one row of numbers, the same for one pair and for columns of pairs.

NaN is what a marking does not say.  Truths are 0 and 1.
"""

from __future__ import annotations

import re
from hashlib import blake2b
from math import nan
from typing import Any, NamedTuple

from auditor.substitution.kinds import kind_number, letters_left_out
from auditor.trade import formulas as of
from auditor.trade.formulas import Inputs
from auditor.trade.marking_model import Marking
from auditor.trade.tables import Tables
from auditor.trade.units import KMH_PER_MPH

CLOSED, BRACKETED, ABOVE = 0.0, 1.0, 2.0  # 91V; (98Y); ZR or VR alone, whose limit nothing tells
RADIAL, BELTED, BIAS = 0.0, 1.0, 2.0
VERSIONS = {"LL": -1.0, "SL": 0.0, "XL": 1.0, "HL": 2.0}
_FLEXION = {"IF": 1.0, "VF": 2.0}
_VERSIONED = ("metric", "p-metric", "metric-rim")
_DUAL = ("lt-metric", "commercial", "truck-metric", "truck-numeric", "special-trailer")
_METRIC_RIM, _OWN_RIM = 1.0, 2.0  # kinds of rims beside that of inch codes
_SIZE = re.compile(
    r"(?:LT|ST|HL|LL|IF|VF|AT|P|T)?(?P<head>[A-Z0-9./x]*?[0-9L])(?:ZRF|RF|ZR|[SHVTQU]?R|[HVS]?B|D|[HVS]|-)"
    r"(?P<rim>[\d.]+)(?:LT|ST|CP|C|TR|SL|FI)?"
)


class TireFacts(NamedTuple):
    """The facts of one tire, or a column of each for many."""

    readable: Any
    sized: Any
    rim: Any  # diameter in mm
    rim_kind: Any
    size: Any  # a number for the size designation without its letters
    width_mm: Any
    diameter_mm: Any
    diameter_low_mm: Any
    diameter_high_mm: Any
    construction: Any
    kind: Any
    letters_left_out: Any
    free_rolling: Any  # for trailers and undriven axles only
    off_highway: Any
    implement: Any
    moped: Any
    load_kg: Any
    dual_kg: Any
    speed_kmh: Any
    speed_open: Any
    load_2_kg: Any  # of a second service description
    dual_2_kg: Any
    speed_2_kmh: Any
    speed_2_open: Any
    second: Any
    speed_doubt: Any  # ZR with a symbol of 240 km/h or less
    practice_kmh: Any  # of trailer tires without a symbol
    dual_usual: Any  # whether tires of the family have a dual index
    plies: Any
    version: Any
    version_unsure: Any  # RF alone, which may stand for run-flat
    flexion: Any
    winter: Any  # three-peak mountain snowflake
    band_low_kg: Any
    band_high_kg: Any


NO_TIRE = TireFacts(0.0, 0.0, *(nan for _ in TireFacts._fields[2:]))  # of a text that is no marking


def tire_facts(marking: Marking, tables: Tables) -> TireFacts:
    """The facts of one marking; of a service description alone those that it says."""
    x = Inputs(marking, tables)
    single, dual = marking.service.load_index, marking.service.load_index_dual
    speed, open_ended = _speed(x)
    practice_mph = of.speed_practice_mph(x)
    low, high = _diameter_band(x)
    letters, size = marking.letters, marking.size_text
    banded = not letters_left_out(marking)  # else the band is that of another tire
    return TireFacts(
        readable=1.0,
        sized=_truth(x.rim_mm is not None),
        rim=_number(x.rim_mm),
        rim_kind=_rim_kind(marking),
        size=_size_number(marking),
        width_mm=_number(of.width_mm(x)),
        diameter_mm=_number(_first(x.diameter_mm, of.diameter_marked_mm(x))),
        diameter_low_mm=low,
        diameter_high_mm=high,
        construction=_construction(marking),
        kind=kind_number(marking, x.rim_mm),
        letters_left_out=_truth(letters_left_out(marking)),
        free_rolling=_truth(marking.family != "special-trailer" and bool({"FRT", "TRAILER"} & set(letters))),
        off_highway=_truth("NHS" in letters),
        implement=_truth("IMPLEMENT" in letters or "FI" in letters or size.endswith(("FI", "SL"))),
        moped=_truth("MOPED" in letters),
        load_kg=_number(tables.load_of(single)),
        dual_kg=_number(tables.load_of(dual)),
        speed_kmh=speed,
        speed_open=open_ended,
        load_2_kg=_number(tables.load_of(x.second.load_index)),
        dual_2_kg=_number(tables.load_of(x.second.load_index_dual)),
        speed_2_kmh=_number(_second_speed(x)),
        speed_2_open=_truth(x.second.speed_open),
        second=_truth(bool(marking.additional)),
        speed_doubt=_truth(marking.construction == "ZR" and open_ended == CLOSED and speed <= 240.0),
        practice_kmh=nan if practice_mph is None else practice_mph * KMH_PER_MPH,
        dual_usual=_truth(marking.family in _DUAL or size.endswith("LT")),
        plies=_number(of.load_range(x)),
        version=VERSIONS[marking.load_version or "SL"] if marking.family in _VERSIONED else _bare_version(marking),
        version_unsure=_truth(marking.load_version == "XL" and "RF" in letters),
        flexion=max((_FLEXION[word] for word in letters if word in _FLEXION), default=0.0),
        winter=_truth("3PMSF" in letters),
        band_low_kg=_number(x.band_kg[0] if banded else None),
        band_high_kg=_number(x.band_kg[1] if banded else None),
    )


def _first(one: float | None, other: float | None) -> float | None:
    return other if one is None else one


def _number(value: float | None) -> float:
    return nan if value is None else float(value)


def _truth(value: bool) -> float:
    return 1.0 if value else 0.0


def _bare_version(marking: Marking) -> float:
    """The version that a requirement without a size names; no version of a tire that has none."""
    return VERSIONS[marking.load_version] if not marking.family and marking.load_version else nan


def _speed(x: Inputs) -> tuple[float, float]:
    """(km/h, how it ends): the speed of the symbol or of the size's own letter, or what it is rated above."""
    floor = of.speed_floor_kmh(x)
    if floor is not None:
        return floor, BRACKETED if x.service.speed_symbol is not None else ABOVE
    return _number(of.speed_kmh(x)), CLOSED


def _second_speed(x: Inputs) -> float | None:
    if x.second.speed_open:
        return x.tables.floor_of(f"({x.second.speed_symbol})")
    return x.tables.speed_of(x.second.speed_symbol)


def _diameter_band(x: Inputs) -> tuple[float, float]:
    """Between which diameters the real tire lies; for sizes that begin with it, some inches are nominal."""
    limits = x.family.nominal_limits
    if x.diameter_mm is None or limits is None or x.marking.overall_diameter_in is None:
        exact = _number(_first(x.diameter_mm, of.diameter_marked_mm(x)))
        return exact, exact
    return x.diameter_mm * limits[0], x.diameter_mm * limits[1]


def _rim_kind(marking: Marking) -> float:
    if marking.rim_diameter_mm_marked is None:
        return 0.0
    return _OWN_RIM if marking.size_text.endswith("A") else _METRIC_RIM


def _construction(marking: Marking) -> float:
    if not marking.size_text:
        return nan
    if marking.construction in ("R", "ZR") or "RADIAL" in marking.letters:
        return RADIAL
    return BELTED if marking.construction == "B" else BIAS


def _size_number(marking: Marking) -> float:
    """A number for the size designation, whatever letters stand before, within and behind it.

    Widths in inches count as written, for 7.00-15 is another tire than 7-15.
    """
    if not marking.size_text:
        return nan
    rim = marking.rim_diameter_in or marking.rim_diameter_mm_marked
    if marking.size_code:
        key = f"{marking.size_code}{marking.aspect_ratio}-{rim}"
    elif marking.section_width_mm is not None and marking.overall_diameter_mm_marked is None:
        key = f"{marking.section_width_mm:g}/{marking.aspect_ratio}-{rim}"
    elif marking.family == "flotation":
        key = f"{marking.overall_diameter_in:g}x{marking.section_width_in:g}-{rim}"
    else:
        found = _SIZE.fullmatch(marking.size_text)
        key = f"{found['head']}-{found['rim']}" if found else marking.size_text
    return float(int.from_bytes(blake2b(key.encode(), digest_size=6).digest()))  # a float holds 48 bits exactly
