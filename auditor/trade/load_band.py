"""The load that a size can carry: the band in which the load index of a real tire of that size and strength lies.

The load grows with the air in the tire and with its pressure.  The formula has the form of the U.S. load formula (from
memory): load = coefficient x width^a x height^b x (rim diameter + height)^c, in kg and mm; the pressure stands in the
coefficient, by load version or load range.  Coefficients, powers and the steps around them (one step is the ratio of
neighboring load indices) are tuned on known pairs of size and index, `tests/reference/size_index_pairs.csv`, with room
beyond the outermost.  A load outside of the band is no proof, but a reason to doubt the marking.
"""

from __future__ import annotations

from typing import NamedTuple

from auditor.trade.marking_model import Marking
from auditor.trade.tables import LoadBand, Tables
from auditor.trade.units import MM_PER_INCH

SMALLEST_FLOTATION_RIM_MM = 380.0  # on smaller rims run the tires of all-terrain vehicles, of another strength
_OLD_STEPS_BELOW = 6.0  # more, of sizes with their speed letter in them, from before today's loads: `205/70VR14 89`
USUAL_ASPECT = 82.0  # per cent, of millimeter sizes without an aspect ratio such as 185R14C; a convention, no standard
_WITHOUT_ASPECT = ("commercial", "numeric")
STEP = 10.0 ** (1.0 / 80.0)  # the ratio of neighboring load indices: 80 to a decade


Band = tuple[float | None, float | None]
Lengths = tuple[float, float, float]

_TRUCKS, _TRUCK_RIMS = "truck-metric", (17.5, 19.5, 22.5)


class Other(NamedTuple):
    """What a band is asked for instead of what the marking says."""

    family: str = ""
    load_version: str = ""
    load_range: str = ""


def load_band_kg(marking: Marking, rim_mm: float | None, tables: Tables, other: Other = Other()) -> Band:  # noqa: B008
    """(least, most) kg that a tire of the size and strength can be made for; None where no band is known."""
    return band_kg(marking, lengths_mm(marking, rim_mm), tables, other)


def band_kg(marking: Marking, lengths: Lengths | None, tables: Tables, other: Other = Other()) -> Band:  # noqa: B008
    """The same by the lengths of the size, which need not be made anew for each thing that is asked."""
    rows = tables.load_bands.get(_with_pressures_of(other.family or marking.family, marking))
    if not rows or lengths is None or not lengths[1] > 0.0:
        return None, None
    width, height, rim = lengths
    version = other.load_version or marking.load_version or ""
    row = _row(rows, version, other.load_range or _letter(marking, tables), lengths)
    if row is None:
        return None, None
    below = row.steps_below + (_OLD_STEPS_BELOW if marking.size_speed_letter is not None else 0.0)
    middle = row.coefficient * width**row.width_power * height**row.height_power * (rim + height) ** row.diameter_power
    return middle * STEP**-below, middle * STEP**row.steps_above


def _with_pressures_of(family: str, marking: Marking) -> str:
    """The family whose pressures a tire has: of LT sizes for rims of trucks, `205/60R17.5 111/109N LT`, that of trucks.

    From memory of the yearbook of the Japanese standard.
    """
    return _TRUCKS if family == "lt-metric" and marking.rim_diameter_in in _TRUCK_RIMS else family


def lengths_mm(marking: Marking, rim: float | None) -> Lengths | None:
    """Width, section height and rim diameter; of a flotation size the height that its diameter leaves."""
    if rim is None:
        return None
    if marking.overall_diameter_in is not None and marking.section_width_in is not None:
        if rim < SMALLEST_FLOTATION_RIM_MM or _is_of_an_all_terrain_vehicle(marking):
            return None
        return marking.section_width_in * MM_PER_INCH, (marking.overall_diameter_in * MM_PER_INCH - rim) / 2.0, rim
    width, aspect = marking.section_width_mm, marking.aspect_ratio
    if aspect is None and marking.family in _WITHOUT_ASPECT:
        aspect = USUAL_ASPECT
    return None if width is None or aspect is None else (width, width * aspect / 100.0, rim)


def _is_of_an_all_terrain_vehicle(marking: Marking) -> bool:
    """A size that begins with AT, or whose width is whole inches without an LT: `AT30x10R15`, `32x10R15`.

    Light truck sizes have widths such as 10.50 (common practice, no source); AT from memory of the Tire and Rim
    Association yearbook.
    """
    width, text = marking.section_width_in or 0.0, marking.size_text
    return text.startswith("AT") or (width == int(width) and "LT" not in text)


def _row(rows: tuple[LoadBand, ...], version: str, load_range: str, lengths: Lengths) -> LoadBand | None:
    """The row of a strength; the family's own where none is marked, none where a load range without a row is."""
    width_mm, _, rim_mm = lengths
    fitting = [
        row
        for row in rows
        if (row.load_version, row.load_range) == (version, load_range)
        and row.width_over_mm < width_mm
        and rim_mm <= row.rim_up_to_mm
    ]
    if load_range and not fitting and any(row.load_range for row in rows):
        return None
    return fitting[-1] if fitting else rows[0]


def _letter(marking: Marking, tables: Tables) -> str:
    """The load range: as marked, else the letter of the ply rating."""
    ply = marking.ply_rating
    return marking.load_range or ("" if ply is None else tables.ply_load_range.get(ply, ""))
