"""Marking + published tables -> what the marking really says: loads, speeds and dimensions, with their units.

Scalar and pure.  What does not follow from the marking by a table or a formula is None, never a guess.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import floor
from typing import Any

from auditor.trade.marking_model import Marking, ServiceDescription
from auditor.trade.tables import Tables, default_tables
from auditor.trade.units import KG_PER_LB, KMH_PER_MPH, MM_PER_INCH

# Largest and smallest overall diameter d + 2H x factor: (smallest, largest radial, largest other).
_PASSENGER = (0.97, 1.04, 1.08)  # from memory of UN Regulation No. 30, 6.1.4
_COMMERCIAL = (0.97, 1.04, 1.07)  # from memory of UN Regulation No. 54, 6.1.4
_COMMERCIAL_SPECIAL = (0.97, 1.06, 1.09)  # the same, special use
_MOTORCYCLE = (0.97, 1.08, 1.08)  # from memory of UN Regulation No. 75, the wider of its limits
_MOTORCYCLE_SPECIAL = (0.97, 1.12, 1.12)
_SNOW_EXTRA = 1.01  # UN Regulation No. 30: a snow tire may be 1 % larger
_FLOTATION = (0.97, 1.01)  # of the nominal diameter; common practice, no source

_ENVELOPES = {
    "metric": (_PASSENGER, _PASSENGER),
    "p-metric": (_PASSENGER, _PASSENGER),
    "temporary-spare": (_PASSENGER, _PASSENGER),
    "lt-metric": (_COMMERCIAL, _COMMERCIAL_SPECIAL),
    "commercial": (_COMMERCIAL, _COMMERCIAL_SPECIAL),
    "special-trailer": (_COMMERCIAL, _COMMERCIAL_SPECIAL),
    "truck-metric": (_COMMERCIAL, _COMMERCIAL_SPECIAL),
    "motorcycle": (_MOTORCYCLE, _MOTORCYCLE_SPECIAL),
}
# Families whose overall diameter is d + 2H where the size has a metric width and an aspect ratio.  A metric
# rim is left out: its dimensions come from tables.
_FORMULA_FAMILIES = frozenset(_ENVELOPES) | {"agricultural", "industrial"}
_SPECIAL_FAMILIES = frozenset({"lt-metric", "flotation"})
_SPECIAL_LETTERS = frozenset({"POR", "MPT", "M+S", "3PMSF"})

_SPECIAL_TRAILER_MPH = 65.0  # common U.S. practice for a special trailer tire without a speed symbol
_IN_SIZE_V_FLOOR_KMH = 210.0  # an old `VR` size without a service description: above 210 km/h


@dataclass(frozen=True, slots=True)
class Derived:
    """What follows from a marking.  Everything is None where nothing certain follows.

    Pounds, miles per hour and inches are unrounded conversions; rounding is a matter of comparison
    or display.  `speed_kmh` is the top speed; where `speed_open` is true the tire is rated above
    `speed_floor_kmh`; `speed_kmh` is that floor for a bracketed symbol, None for a bare ZR or in-size V.
    `additional` holds (single kg, dual kg, km/h) of every further service description.
    """

    load_single_kg: float | None = None
    load_dual_kg: float | None = None
    additional: tuple[tuple[float | None, float | None, float | None], ...] = ()
    speed_kmh: float | None = None
    speed_floor_kmh: float | None = None
    speed_practice_mph: float | None = None  # special trailer tire without a symbol: U.S. practice, not marked
    section_width_mm: float | None = None
    section_width_in: float | None = None
    aspect_ratio: float | None = None
    rim_diameter_in: float | None = None
    rim_diameter_mm: float | None = None
    section_height_mm: float | None = None  # whole mm, as the standards round it
    overall_diameter_mm: float | None = None
    diameter_min_mm: float | None = None  # the standard's envelope for a new tire
    diameter_max_mm: float | None = None
    diameter_special_min_mm: float | None = None  # the same for special use: snow, off-road, LT
    diameter_special_max_mm: float | None = None
    special_use: bool = False  # the marking itself calls for the special limits (M+S, POR, MPT, LT)
    ply_rating: int | None = None
    revs_per_km: float | None = None

    # Unit conversions of the above are computed when asked for: stored, they would double the cost.

    @property
    def load_single_lb(self) -> float | None:
        return None if self.load_single_kg is None else self.load_single_kg / KG_PER_LB

    @property
    def load_dual_lb(self) -> float | None:
        return None if self.load_dual_kg is None else self.load_dual_kg / KG_PER_LB

    @property
    def speed_mph(self) -> float | None:
        return None if self.speed_kmh is None else self.speed_kmh / KMH_PER_MPH

    @property
    def speed_open(self) -> bool:
        """Rated above a floor and without a stated ceiling."""
        return self.speed_floor_kmh is not None

    @property
    def overall_diameter_in(self) -> float | None:
        return None if self.overall_diameter_mm is None else self.overall_diameter_mm / MM_PER_INCH

    @property
    def revs_per_mile(self) -> float | None:
        return None if self.revs_per_km is None else self.revs_per_km * KMH_PER_MPH


def derive(marking: Marking, tables: Tables | None = None) -> Derived:
    """Everything that follows from `marking` by formulas and by `tables`, the published ones unless given."""
    tables = tables or default_tables()
    service = marking.service
    single_kg = tables.load_of(service.load_index)
    dual_kg = tables.load_of(service.load_index_dual)
    speed_kmh, floor_kmh, practice_mph = _speed(marking, service, tables)
    width_mm, width_in = _width(marking)
    rim_in = marking.rim_diameter_in
    rim_mm = marking.rim_diameter_mm_marked if rim_in is None else tables.rim_of(rim_in)
    height_mm, diameter_mm, low, high, special_low, special_high, revs_per_km = dimensions(marking, rim_mm)
    ply = marking.ply_rating
    if ply is None and marking.load_range is not None:
        ply = tables.load_range_ply.get(marking.load_range)
    return Derived(
        single_kg,
        dual_kg,
        tuple([_alternative(other, tables) for other in marking.additional]) if marking.additional else (),
        speed_kmh,
        floor_kmh,
        practice_mph,
        width_mm,
        width_in,
        marking.aspect_ratio,
        rim_in,
        rim_mm,
        height_mm,
        diameter_mm,
        low,
        high,
        special_low,
        special_high,
        marking.family in _SPECIAL_FAMILIES or not _SPECIAL_LETTERS.isdisjoint(marking.letters),
        ply,
        revs_per_km,
    )


def dimensions(marking: Any, rim_mm: Any) -> tuple[Any, Any, Any, Any, Any, Any, Any]:
    """(section height, overall diameter, smallest, largest, smallest and largest in special use, revolutions per km).

    Plain arithmetic: the numbers of `marking` and `rim_mm` may be float64 arrays, for tires marked in one form.
    """
    height_mm, diameter_mm = _diameter(marking, rim_mm)
    return height_mm, diameter_mm, *_envelope(marking, rim_mm, height_mm), _revs_per_km(marking, diameter_mm)


def four_decimals(value: Any) -> Any:
    """A number, or an array of them, without what binary fractions add."""
    return (value * 1e4 + 0.5) // 1.0 / 1e4


def _speed(
    marking: Marking, service: ServiceDescription, tables: Tables
) -> tuple[float | None, float | None, float | None]:
    """(km/h, floor in km/h where open-ended, mph by practice): symbol, else the size's own letters."""
    symbol = service.speed_symbol
    if symbol is not None:
        if service.speed_open:
            floor_kmh = tables.speed_floor_kmh.get(f"({symbol})")
            return (tables.speed_kmh.get(symbol) if floor_kmh is None else floor_kmh), floor_kmh, None
        return tables.speed_kmh.get(symbol), None, None
    letter = marking.size_speed_letter
    if letter is not None:
        if letter == "V":
            return None, _IN_SIZE_V_FLOOR_KMH, None
        return tables.speed_kmh.get(letter), None, None
    if marking.construction == "ZR":
        return None, tables.speed_floor_kmh.get("ZR"), None
    return None, None, (_SPECIAL_TRAILER_MPH if marking.family == "special-trailer" else None)


def _alternative(service: ServiceDescription, tables: Tables) -> tuple[float | None, float | None, float | None]:
    symbol = service.speed_symbol
    speed_kmh = None if symbol is None else tables.speed_kmh.get(symbol)
    return tables.load_of(service.load_index), tables.load_of(service.load_index_dual), speed_kmh


def _width(marking: Marking) -> tuple[float | None, float | None]:
    """Nominal section width in mm and in; the four decimals only shave off what binary fractions add."""
    if marking.section_width_mm is not None:
        return marking.section_width_mm, marking.section_width_mm / MM_PER_INCH
    if marking.section_width_in is not None:
        return four_decimals(marking.section_width_in * MM_PER_INCH), marking.section_width_in
    return None, None


def _diameter(marking: Any, rim_mm: Any) -> tuple[Any, Any]:
    """(section height, overall diameter) in mm: H = S x aspect / 100 in whole mm, D = d + 2H.

    Source: UN Regulations No. 30 and 54, 6.1.2.1 (from memory); worked example 195/65R15 = 635 mm.
    """
    if marking.overall_diameter_in is not None:
        return None, four_decimals(marking.overall_diameter_in * MM_PER_INCH)
    width_mm, aspect = marking.section_width_mm, marking.aspect_ratio
    if width_mm is None or aspect is None or rim_mm is None or marking.family not in _FORMULA_FAMILIES:
        return None, None
    height_mm = (width_mm * aspect / 100.0 + 0.5) // 1.0
    return height_mm, rim_mm + 2.0 * height_mm


def _envelope(marking: Any, rim_mm: Any, height_mm: Any) -> tuple[Any, Any, Any, Any]:
    """Smallest and largest overall diameter in mm, for normal and for special use."""
    if marking.overall_diameter_in is not None and marking.family == "flotation":
        nominal_mm = marking.overall_diameter_in * MM_PER_INCH
        low, high = nominal_mm * _FLOTATION[0], nominal_mm * _FLOTATION[1]
        return low, high, low, high
    limits = _ENVELOPES.get(marking.family)
    if limits is None or rim_mm is None or height_mm is None:
        return None, None, None, None
    normal, special = limits
    other_than_radial = 1 if marking.construction in ("R", "ZR") else 2
    twice_mm = 2.0 * height_mm
    low, high = rim_mm + twice_mm * normal[0], rim_mm + twice_mm * normal[other_than_radial]
    if normal is special:
        return low, high, low, high * _SNOW_EXTRA
    return low, high, rim_mm + twice_mm * special[0], rim_mm + twice_mm * special[other_than_radial]


def _revs_per_km(marking: Any, diameter_mm: Any) -> Any:
    """Design revolutions per km: rolling circumference 3.05 D radial, 2.99 D other.

    Source: from memory of the European tire and rim standards manual; per mile that is 20,774 / D in inches
    for radials and 21,191 / D for others.
    """
    if diameter_mm is None:
        return None
    return 1e6 / ((3.05 if marking.construction in ("R", "ZR") else 2.99) * diameter_mm)


def load_at_speed_kg(
    load_single_kg: float, speed_symbol: str, speed_kmh: float, tables: Tables | None = None
) -> float | None:
    """kg a V, W or Y tire may carry at `speed_kmh`, linear between the steps; None above the symbol's speed.

    Every other symbol carries the full load up to its own speed.
    Source: UN Regulation No. 30, definition of the maximum load rating (steps from memory).
    """
    tables = tables or default_tables()
    top_kmh = tables.speed_kmh.get(speed_symbol)
    if top_kmh is None or speed_kmh > top_kmh:
        return None
    steps = tables.high_speed_load_percent.get(speed_symbol, ())
    if not steps or speed_kmh <= steps[0][0]:
        return load_single_kg
    for (slow_kmh, slow_percent), (fast_kmh, fast_percent) in pairwise(steps):
        if speed_kmh <= fast_kmh:
            share = (speed_kmh - slow_kmh) / (fast_kmh - slow_kmh)
            return load_single_kg * (slow_percent + share * (fast_percent - slow_percent)) / 100.0
    return load_single_kg * steps[-1][1] / 100.0


def load_at_top_speed_kg(marking: Marking, tables: Tables | None = None) -> float | None:
    """kg per tire at the symbol's own top speed, for V, W and Y; None for any other marking."""
    tables = tables or default_tables()
    symbol, load_kg = marking.service.speed_symbol, tables.load_of(marking.service.load_index)
    if symbol is None or load_kg is None or symbol not in tables.high_speed_load_percent:
        return None
    return load_at_speed_kg(load_kg, symbol, tables.speed_kmh[symbol], tables)


def commercial_loads_by_speed(
    marking: Marking, tables: Tables | None = None
) -> tuple[tuple[float, float, float | None], ...]:
    """(km/h, single kg, dual kg) that a commercial or truck tire may carry when slower than its symbol.

    Empty for other families, without a load index, and for speeds at or above the symbol's own.
    Source: from memory of UN Regulation No. 54, Annex 8.
    """
    tables = tables or default_tables()
    service = marking.service
    single_kg, dual_kg = tables.load_of(service.load_index), tables.load_of(service.load_index_dual)
    families = ("commercial", "truck-metric", "truck-numeric")
    if marking.family not in families or single_kg is None or service.load_index is None:
        return ()
    top_kmh = tables.speed_kmh.get(service.speed_symbol or "", 0.0)
    return tuple(
        (speed_kmh, single_kg * percent / 100.0, None if dual_kg is None else dual_kg * percent / 100.0)
        for over, up_to, speed_kmh, percent in tables.commercial_load_percent
        if over < service.load_index <= up_to and speed_kmh < top_kmh
    )


def load_per_axle_kg(derived: Derived) -> tuple[float | None, float | None]:
    """(kg on an axle with two tires, kg on an axle with four): two single loads, four dual ones."""
    single_kg, dual_kg = derived.load_single_kg, derived.load_dual_kg
    return (None if single_kg is None else 2.0 * single_kg), (None if dual_kg is None else 4.0 * dual_kg)


def section_width_on_rim_mm(section_width_mm: float, measuring_rim_in: float, rim_width_in: float) -> float:
    """Estimate of the section width in whole mm on a rim of another width: S = S1 + 0.4 (A - A1).

    An estimate, since A1 is the maker's theoretical rim width, which the measuring rim only comes near to.
    Source: UN Regulation No. 30, 6.1.1.
    """
    return float(floor(section_width_mm + 0.4 * (rim_width_in - measuring_rim_in) * MM_PER_INCH + 0.5))
