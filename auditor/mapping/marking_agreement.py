"""Compares a column's numbers with what the same records' markings say."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from auditor.feeds.column_evidence import Column, plain_number, readings
from auditor.marking import Unreadable, decode
from auditor.trade.derive import derive
from auditor.trade.units import KG_PER_LB, KMH_PER_MPH, MM_PER_INCH

LEAST_VALUES = 20  # readable values that may settle a unit
LEAST_SHARE = 0.5  # of them, that agree with their markings in it
FEW_WIDTHS, _DIFFERENT = 5, 4  # numbers, and different ones, that may show to be widths
TIMES_ANY_OTHER = 10  # as many as agree in any other unit
_FEWEST_SYMBOLS, _SYMBOLS, _SAME = 10, 3, 0.85  # cells, different ones, and the share that is the markings'
_BY_CHANCE, _FEW_BY_CHANCE = 0.05, 2  # share of numbers that may agree with anything, and how many of few

# field -> (derived fact, factor from its unit, relative tolerance); 0 means equal
CANDIDATES: dict[str, tuple[str, float, float]] = {
    "load_index": ("load_index", 1.0, 0.0),
    "load_index_dual": ("load_index_dual", 1.0, 0.0),
    "section_width_mm": ("section_width_mm", 1.0, 0.0),
    "aspect_ratio": ("aspect_ratio", 1.0, 0.0),
    "rim_diameter_in": ("rim_diameter_in", 1.0, 0.0),
    "max_load_kg": ("load_single_kg", 1.0, 0.02),
    "max_load_lb": ("load_single_kg", 1 / KG_PER_LB, 0.02),
    "max_load_dual_kg": ("load_dual_kg", 1.0, 0.02),
    "max_load_dual_lb": ("load_dual_kg", 1 / KG_PER_LB, 0.02),
    "max_speed_kmh": ("speed_kmh", 1.0, 0.012),
    "max_speed_mph": ("speed_kmh", 1 / KMH_PER_MPH, 0.012),
    "overall_diameter_mm": ("overall_diameter_mm", 1.0, 0.02),
    "overall_diameter_in": ("overall_diameter_mm", 1 / MM_PER_INCH, 0.02),
    "revs_per_km": ("revs_per_km", 1.0, 0.04),
    "revs_per_mile": ("revs_per_km", KMH_PER_MPH, 0.04),
}

_PARTS = (
    ("section_width_mm", "generic_width"),
    ("aspect_ratio", "aspect_ratio"),
    ("rim_diameter_in", "generic_diameter"),
)


@lru_cache(maxsize=1 << 15)
def marking_numbers(text: str) -> dict[str, float]:
    """What a marking says and what follows from it, as numbers; empty where it cannot be read."""
    marking = decode(text)
    if isinstance(marking, Unreadable):
        return {}
    derived = derive(marking)
    service = marking.service
    found = {
        "load_index": service.load_index,
        "load_index_dual": service.load_index_dual,
        "section_width_mm": marking.section_width_mm,
        "aspect_ratio": marking.aspect_ratio,
        "rim_diameter_in": marking.rim_diameter_in,
        "load_single_kg": derived.load_single_kg,
        "load_dual_kg": derived.load_dual_kg,
        "speed_kmh": derived.speed_kmh,
        "overall_diameter_mm": derived.overall_diameter_mm,
        "revs_per_km": derived.revs_per_km,
    }
    return {name: float(value) for name, value in found.items() if value is not None}


def agreement(column: Column, markings: Sequence[str], name: str, decimal: str | None) -> tuple[float, int]:
    """Share of the column's numbers that agree with the markings when read as `name`, and how many there were."""
    fact, factor, tolerance = CANDIDATES[name]
    agreed = judged = 0
    for cell, marking in zip(column.cells, markings, strict=True):
        expected = marking_numbers(marking).get(fact) if cell and marking else None
        value = _value(cell, name, decimal) if expected is not None else None
        if value is None or expected is None:
            continue
        judged += 1
        agreed += abs(value - expected * factor) <= max(tolerance * expected * factor, 1e-6)
    return (agreed / judged if judged else 0.0), judged


@lru_cache(maxsize=1 << 15)
def _symbol(text: str) -> str | None:
    marking = decode(text)
    return None if isinstance(marking, Unreadable) else marking.service.speed_symbol


def are_symbols(column: Column, markings: Sequence[str]) -> bool:
    """Whether nearly all cells are the speed symbols of their markings, of which there are several."""
    said = [
        (cell.strip().upper(), symbol)
        for cell, marking in zip(column.cells, markings, strict=True)
        if cell.strip() and marking and (symbol := _symbol(marking))
    ]
    agreed = sum(cell == symbol for cell, symbol in said)
    return len(said) >= _FEWEST_SYMBOLS and len({cell for cell, _ in said}) >= _SYMBOLS and agreed >= _SAME * len(said)


_NEAR_WIDTH = (0.93, 1.09)  # of the nominal width, the measured one; common practice, no source


_SAME_WIDTH_MM = 0.6  # apart: 279.4 is written as 279


def _widths(column: Column, markings: Sequence[str], decimal: str | None) -> list[tuple[float, float]]:
    """(number, width of its marking) where both are there."""
    found = []
    for cell, marking in zip(column.cells, markings, strict=True):
        width = marking_numbers(marking).get("section_width_mm") if cell and marking else None
        value = plain_number(cell, decimal) if width is not None else None
        if value is not None and width is not None:
            found.append((value, width))
    return found


def near_widths(column: Column, markings: Sequence[str], decimal: str | None) -> float:
    """The share of numbers that are near the width of their marking; 0 where few can be judged or all are alike."""
    found = _widths(column, markings, decimal)
    near = sum(_NEAR_WIDTH[0] * width <= value <= _NEAR_WIDTH[1] * width for value, width in found)
    enough = len(found) >= FEW_WIDTHS and len({value for value, _ in found}) >= _DIFFERENT
    return near / len(found) if enough else 0.0


def apart_from_widths(column: Column, markings: Sequence[str], decimal: str | None) -> float:
    """The share of numbers that are not the width of their marking."""
    found = _widths(column, markings, decimal)
    return sum(abs(value - width) > _SAME_WIDTH_MM for value, width in found) / len(found) if found else 0.0


def _value(cell: str, name: str, decimal: str | None) -> float | None:
    """The number in a cell, its first one in a pair such as "1360/1250"."""
    plain = plain_number(cell, decimal)
    if plain is not None:
        return plain
    for field, value, unit in readings(cell.strip(), name, None, decimal):
        if field == name and unit is None and isinstance(value, float | int):
            return float(value)
    return None


def unit_by_markings(column: Column, markings: Sequence[str], names: Sequence[str], decimal: str | None) -> str | None:
    """The field among those of one quantity in whose unit the column agrees with its markings.

    Kilograms and pounds are 2.2 apart, miles and kilometers 1.6: no mistake in single cells can bring half of many
    values into the wrong unit, so a column with one value in three wrong is still plain.
    """
    shares = {name: agreement(column, markings, name, decimal) for name in names}
    ranked = sorted(shares, key=lambda name: -shares[name][0])
    if not ranked or shares[ranked[0]][1] < LEAST_VALUES or shares[ranked[0]][0] < LEAST_SHARE:
        return None
    agreed = {name: share * judged for name, (share, judged) in shares.items()}
    return ranked[0] if all(agreed[ranked[0]] >= TIMES_ANY_OTHER * agreed[name] for name in ranked[1:]) else None


def best_agreement(
    column: Column, markings: Sequence[str], names: Sequence[str], decimal: str | None, least: int
) -> str | None:
    """The one field among `names` that nearly all numbers agree with and at most a tenth as many with any other.

    None where fewer than `least` numbers can be judged, or where the answer is not clear.  Nothing but loads and speeds
    takes the many values that the markings say of them, so there one wrong cell in seven leaves no doubt.
    """
    shares = {name: agreement(column, markings, name, decimal) for name in names}
    ranked = sorted(shares, key=lambda name: -shares[name][0])
    if not ranked or shares[ranked[0]][1] < least:
        return None
    if shares[ranked[0]][0] < (0.85 if ranked[0].startswith(("max_load", "max_speed")) else 0.95):
        return None
    chance = max(_BY_CHANCE, shares[ranked[0]][0] / TIMES_ANY_OTHER, _FEW_BY_CHANCE / shares[ranked[0]][1])
    rivals = [name for name in ranked[1:] if shares[name][0] > chance and shares[name][1] >= least]
    return None if rivals else ranked[0]


def _sizes(columns: dict[str, Column]) -> list[str] | None:
    """Per sampled record the text of its size, from a column of its own or from those of its parts."""
    if "size" in columns:
        return [cell.strip() for cell in columns["size"].cells]
    parts = [columns.get(name) or columns.get(other) for name, other in _PARTS]
    if not all(parts):
        return None
    return [size_of_parts(*cells) for cells in zip(*(part.cells for part in parts if part), strict=True)]


def size_of_parts(width: str, aspect: str, rim: str) -> str:
    """The size that the cells of width, aspect ratio and rim make together; empty where they make none."""
    rim = rim.strip().upper().replace(" ", "").replace(",", ".")
    if not (width.strip() and aspect.strip() and rim):
        return ""
    return f"{width.strip()}/{aspect.strip()}{'' if rim[0] in 'ZR' else 'R'}{rim}"


def _indices(single: str, dual: str) -> str:
    """The load indices as a marking writes them; whole numbers may stand in cells as "150.0"."""
    dual = dual.removesuffix(".0")
    return f"{single}/{dual}" if dual.isdecimal() and "/" not in single else single


def joined_markings(columns: dict[str, Column], records: int) -> list[str]:
    """Per sampled record the text of its marking, put together from the columns that give it."""
    if "marking" in columns:
        return [cell.strip() for cell in columns["marking"].cells]
    sizes = _sizes(columns)
    if "title" in columns and (sizes is None or not {"service_description", "load_index"} & columns.keys()):
        titles = [cell.strip() for cell in columns["title"].cells]  # read as a whole, where they say more
        pairs = zip(titles, sizes or [""] * records, strict=True)
        return [title if "load_index" in marking_numbers(title) or not size else size for title, size in pairs]
    if sizes is None:
        return [""] * records
    if "service_description" in columns:
        services = [cell.strip() for cell in columns["service_description"].cells]
    elif "load_index" in columns:
        of_dual, symbols = (
            columns[name].cells if name in columns else [""] * records for name in ("load_index_dual", "speed_symbol")
        )
        parts = zip(columns["load_index"].cells, of_dual, symbols, strict=True)
        services = [f"{_indices(index.strip(), dual.strip())}{symbol.strip()}" for index, dual, symbol in parts]
    else:
        services = [""] * records
    return [f"{size} {service}".strip() for size, service in zip(sizes, services, strict=True)]
