"""The formulas behind the facts of a marking: widths, heights, diameters, their limits, speeds and loads.

What does not follow from the marking by a table or a formula is None, never a guess.
"""

from __future__ import annotations

from auditor.trade.family import DiameterLimits
from auditor.trade.load_band import Band, Other, band_kg, lengths_mm
from auditor.trade.marking_model import Marking, ServiceDescription
from auditor.trade.patterns import Pattern
from auditor.trade.tables import Tables
from auditor.trade.units import MM_PER_INCH

# A number and a letter that is no load range; `10P` is a ply rating cut short.
_LIKE_A_DESCRIPTION = Pattern(r"[1-9]\d{0,2}(?:/\d{1,3})?(?:[F-OQ-Z]|(?<=\d\d\d)P)")
_SNOW_EXTRA = 1.01  # UN Regulation No. 30: a snow tire may be 1 % larger
_SPECIAL_LETTERS = frozenset({"POR", "MPT", "M+S", "3PMSF"})
_IN_SIZE_V_FLOOR_KMH = 210.0  # an old `VR` size without a service description: above 210 km/h
_STANDARD_LOAD = Other(load_version="SL")
LIGHT_TRUCK = Other(family="lt-metric")
_ROOM = 0.95  # below a band; about two load indices
_ROAD = (
    "metric",
    "p-metric",
    "lt-metric",
    "flotation",
    "commercial",
    "special-trailer",
    "numeric",
    "truck-metric",
    "truck-numeric",
)
_PLAIN = ("metric", "numeric")  # sizes that may be those of light-truck or commercial tires without their letters
_VERSIONED = ("metric", "p-metric")  # families in which load versions are told apart by their loads
_PREFIXED = ("p-metric", "lt-metric", "special-trailer")  # families known by letters before the size
_BEFORE_SIZE, _BEHIND_SIZE = ("LT", "ST", "HL", "IF", "VF", "P", "T"), ("LT", "ST", "C")
_NOT_DESCRIBED = ServiceDescription()


class Inputs:
    """What formulas are made from: a marking, the published tables, and the lengths that several facts need."""

    __slots__ = (
        "band_kg",
        "bands_kg",
        "diameter_mm",
        "family",
        "height_mm",
        "lengths_mm",
        "marking",
        "radial",
        "rim_mm",
        "second",
        "service",
        "tables",
    )

    def __init__(self, marking: Marking, tables: Tables) -> None:
        self.marking = marking
        self.tables = tables
        self.family = marking.size_family
        self.service = marking.service
        self.second = marking.additional[0] if marking.additional else _NOT_DESCRIBED
        self.radial = marking.construction in ("R", "ZR")
        rim_in = marking.rim_diameter_in
        self.rim_mm = marking.rim_diameter_mm_marked if rim_in is None else tables.rim_of(rim_in)
        self.height_mm = _height_mm(self)
        self.diameter_mm = _diameter_mm(self)
        self.lengths_mm = lengths_mm(marking, self.rim_mm)
        self.band_kg = band_kg(marking, self.lengths_mm, tables)
        self.bands_kg: dict[Other, Band] = {}  # of what it could be instead


def band_as_kg(x: Inputs, other: Other, end: int) -> float | None:
    """One end of the loads that a plain passenger size could carry if it were another tire, its letters left out."""
    if x.family.name not in _PLAIN or x.marking.load_version is not None:
        return None
    found = x.bands_kg.get(other)
    if found is None:  # both ends are facts
        found = x.bands_kg[other] = band_kg(x.marking, x.lengths_mm, x.tables, other)
    return found[end]


def standard_load_most_kg(x: Inputs) -> float | None:
    """The most that a passenger size is made for as standard load; what is above has to be reinforced."""
    if x.family.name not in _VERSIONED:
        return None
    return band_kg(x.marking, x.lengths_mm, x.tables, _STANDARD_LOAD)[1]


def four_decimals(value: float) -> float:
    """A number without what binary fractions add."""
    return (value * 1e4 + 0.5) // 1.0 / 1e4


def width_mm(x: Inputs) -> float | None:
    """Nominal section width; of an inch size converted."""
    marked_in = x.marking.section_width_in
    if x.marking.section_width_mm is not None or marked_in is None:
        return x.marking.section_width_mm
    return four_decimals(marked_in * MM_PER_INCH)


def width_in(x: Inputs) -> float | None:
    """Nominal section width; of a metric size converted."""
    marked_mm = x.marking.section_width_mm
    return x.marking.section_width_in if marked_mm is None else marked_mm / MM_PER_INCH


def _height_mm(x: Inputs) -> float | None:
    """Section height H = S x aspect / 100 in whole mm.

    Source: UN Regulations No. 30 and 54, 6.1.2.1 (from memory); worked example 195/65R15 = 635 mm.
    """
    marking = x.marking
    width, aspect = marking.section_width_mm, marking.aspect_ratio
    if width is None or aspect is None or x.rim_mm is None or not x.family.diameter_by_formula:
        return None
    return None if marking.overall_diameter_in is not None else (width * aspect / 100.0 + 0.5) // 1.0


def _diameter_mm(x: Inputs) -> float | None:
    """Overall diameter: what the size begins with, else D = d + 2H (the same source)."""
    if x.marking.overall_diameter_in is not None:
        return four_decimals(x.marking.overall_diameter_in * MM_PER_INCH)
    return None if x.height_mm is None or x.rim_mm is None else x.rim_mm + 2.0 * x.height_mm


def diameter_marked_mm(x: Inputs) -> float | None:
    """The overall diameter that the size itself states."""
    inches = x.marking.overall_diameter_in
    return x.marking.overall_diameter_mm_marked if inches is None else four_decimals(inches * MM_PER_INCH)


def prefix(x: Inputs) -> float | None:
    """Which letters stand before the size, by their place; None where none do."""
    name = x.family.name
    return float(_PREFIXED.index(name)) if name in _PREFIXED else None


def letters_of_size(x: Inputs) -> str | None:
    """The letters that tell the kind of tire, before the size or, as LT, ST and C, behind it; None where none do."""
    text = x.marking.size_text
    if text[:1].isdigit() and text[-1:].isdigit():
        return None
    for letters in _BEFORE_SIZE:
        if text.startswith(letters) and text[len(letters) : len(letters) + 1].isdigit():
            return letters
    for letters in _BEHIND_SIZE:
        if text.endswith(letters) and text[-len(letters) - 1 : -len(letters)].isdigit():
            return letters
    return None


def service_unread(x: Inputs) -> bool:
    """Whether something stands where a service description belongs that is none: the 8H of `195/60R15 8H`."""
    if x.service.load_index is not None or x.marking.unlisted or x.family.name not in _ROAD:
        return False
    return any(map(is_like_a_description, x.marking.unread))


def is_like_a_description(piece: str) -> bool:
    """Whether a stretch that was not understood is a number and a letter."""
    return _LIKE_A_DESCRIPTION.fullmatch(piece) is not None


def smallest_mm(x: Inputs, special: bool = False) -> float | None:
    """The smallest overall diameter that the standard allows a new tire; for special use where asked."""
    family = x.family
    if family.nominal_limits is not None and x.marking.overall_diameter_in is not None:
        return x.marking.overall_diameter_in * MM_PER_INCH * family.nominal_limits[0]
    limits = _limits(x, special)
    if limits is None or x.rim_mm is None or x.height_mm is None:
        return None
    return x.rim_mm + 2.0 * x.height_mm * limits.smallest


def largest_mm(x: Inputs, special: bool = False) -> float | None:
    """The largest overall diameter that the standard allows a new tire; for special use where asked."""
    family = x.family
    if family.nominal_limits is not None and x.marking.overall_diameter_in is not None:
        return x.marking.overall_diameter_in * MM_PER_INCH * family.nominal_limits[1]
    limits = _limits(x, special)
    if limits is None or x.rim_mm is None or x.height_mm is None:
        return None
    largest = x.rim_mm + 2.0 * x.height_mm * (limits.largest_radial if x.radial else limits.largest_other)
    return largest * _SNOW_EXTRA if special and family.special_limits is None else largest


def _limits(x: Inputs, special: bool) -> DiameterLimits | None:
    return (x.family.special_limits if special else None) or x.family.limits


def special_use(x: Inputs) -> bool:
    """Whether the marking itself calls for the limits of special use."""
    return x.family.special_use or not _SPECIAL_LETTERS.isdisjoint(x.marking.letters)


def us_letters_left_out(x: Inputs) -> bool:
    """Whether a plain metric size may be one of U.S. tables whose letters were left out, and so carry their loads.

    P-metric: 70 to 80 series on 13 to 16 in.  Light truck: a dual load index, and the load of an LT tire of the size.
    From memory of U.S. load tables and catalogs.
    """
    aspect, rim = x.marking.aspect_ratio, x.marking.rim_diameter_in
    if x.family.name != "metric" or aspect is None or rim is None:
        return False
    if 70.0 <= aspect <= 80.0 and 13.0 <= rim <= 16.0:
        return True
    kg = x.tables.load_of(x.service.load_index)
    if x.service.load_index_dual is None or kg is None:
        return False
    least, most = band_as_kg(x, LIGHT_TRUCK, 0), band_as_kg(x, LIGHT_TRUCK, 1)
    return least is not None and most is not None and least * _ROOM <= kg <= most


def revs_per_km(x: Inputs) -> float | None:
    """Design revolutions per km: rolling circumference 3.05 D radial, 2.99 D other.

    Source: from memory of the European tire and rim standards manual; per mile that is 20,774 / D in inches
    for radials and 21,191 / D for others.
    """
    return None if x.diameter_mm is None else 1e6 / ((3.05 if x.radial else 2.99) * x.diameter_mm)


def speed_kmh(x: Inputs) -> float | None:
    """Top speed by the symbol, else by the size's own letter; of a bracketed symbol the floor, of ZR alone nothing."""
    symbol = x.service.speed_symbol
    if symbol is not None:
        floor = speed_floor_kmh(x)
        return x.tables.speed_of(symbol) if floor is None else floor
    letter = old_symbol(x)
    return None if letter is None else x.tables.speed_of(letter)


def old_symbol(x: Inputs) -> str | None:
    """The speed letter of an old size, `165SR13`, where it ends at a speed: that of V says only what it is above."""
    letter = x.marking.size_speed_letter
    return None if letter == "V" else letter


def speed_floor_kmh(x: Inputs) -> float | None:
    """The speed that a tire is rated above, where no table ends it: `(98Y)`, ZR without a symbol, an old VR size."""
    if x.service.speed_symbol is not None:
        return x.tables.floor_of(f"({x.service.speed_symbol})") if x.service.speed_open else None
    if x.marking.size_speed_letter is not None:
        return _IN_SIZE_V_FLOOR_KMH if x.marking.size_speed_letter == "V" else None
    return x.tables.floor_of("ZR") if x.marking.construction == "ZR" else None


def speed_practice_mph(x: Inputs) -> float | None:
    """What practice takes for the top speed of the family, where nothing is marked."""
    marking = x.marking
    unmarked = x.service.speed_symbol is None and marking.size_speed_letter is None and marking.construction != "ZR"
    return x.family.mph_without_symbol if unmarked else None


def load_range(x: Inputs) -> float | None:
    """The load range as its ply rating; of a marking without one the ply rating that is marked."""
    ply = x.tables.ply_of(x.marking.load_range)
    return x.marking.ply_rating if ply is None else ply


def ply_rating(x: Inputs) -> float | None:
    """The ply rating that is marked, else that of the load range."""
    marked = x.marking.ply_rating
    return x.tables.ply_of(x.marking.load_range) if marked is None else marked
