"""What is a listing's own in its texts, from the texts of its cells: its marking, and its names."""

from __future__ import annotations

from functools import lru_cache

from auditor.claims.terms.own import NOBODY, Own
from auditor.claims.terms.words import SERVICE
from auditor.quantities.cell_values import marking_text
from auditor.rulebook.built_in import load_contract
from auditor.rulebook.header_words import fold
from auditor.trade.patterns import Pattern

OF_SERVICE = 3  # of the split cells, those that make a service description
_WIDTH_CELL, _ASPECT_CELL = Pattern(r"[1-9][0-9]{1,2}"), Pattern(r"[1-9][0-9]|100")
_RIM_CELL = Pattern(r"(?P<built>Z?R)? ?(?P<inches>[1-5]?[0-9])(?:\.0|(?P<half>\.5))? ?(?P<van>C?)")
_MEASURED_CELL = Pattern(r"(?P<number>(?:Z?R)? ?[0-9]+(?:[.,][0-9]+)? ?C?) ?(?P<unit>[^0-9]+)")
_UNITS_OF_SIZES = frozenset({"mm", "in", "%"})
_BUILT = {"ZR": "ZR", "D": "-", "-": "-", "DIAGONAL": "-", "BIAS": "-", "B": "B"}


@lru_cache(maxsize=32_768)
def own_of(marking: str, size: str, service: str, *names: str) -> Own:
    """The marking and the names of a listing, from the texts of its cells."""
    text = marking if is_filled(marking) else size if is_filled(size) else ""
    return Own(text, service if text and is_filled(service) else "", names) if text or any(names) else NOBODY


def own_of_cells(marking: str, size: str, service: str, brand: str, model: str, *parts: str) -> Own:
    """As `own_of`, from all cells.

    `parts` are those of load index, dual load index, speed symbol, section width, aspect ratio, rim and construction.
    """
    if not is_filled(marking):
        service = service if is_filled(service) else described_by(*parts[:OF_SERVICE])
        size = size if is_filled(size) else sized_by(*parts[OF_SERVICE:])
    return own_of(marking, size, service, brand, model)


def described_by(load_index: str, load_index_dual: str, speed_symbol: str) -> str:
    """The service description that a listing's split cells make; "" where they say none for certain."""
    index, dual, symbol = (cell.strip().removesuffix(".0") for cell in (load_index, load_index_dual, speed_symbol))
    made = f"{index}/{dual}{symbol}" if dual else f"{index}{symbol}"
    return made if SERVICE.fullmatch(made) else ""


def sized_by(section_width: str, aspect_ratio: str, rim_diameter: str, construction: str) -> str:
    """The size that a listing's split cells make; "" where they say none for certain."""
    width, aspect, rim_text = map(_without_unit, (section_width, aspect_ratio, rim_diameter))
    width, aspect = width.removesuffix(".0"), aspect.removesuffix(".0")
    rim = _RIM_CELL.fullmatch(rim_text.upper().replace(",", "."))
    if rim is None or not (_WIDTH_CELL.fullmatch(width) and _ASPECT_CELL.fullmatch(aspect)):
        return ""
    built = rim["built"] or _BUILT.get(construction.strip().upper(), "R")
    return f"{width}/{aspect}{built}{rim['inches']}{rim['half'] or ''}{rim['van']}"


def _without_unit(cell: str) -> str:
    """A cell of a split size without the unit behind its number: "225 mm", "17\"", "65 %"."""
    found = _MEASURED_CELL.fullmatch(cell.strip())
    if found is None or load_contract().units.get(fold(found["unit"])) not in _UNITS_OF_SIZES:
        return cell.strip()
    return found["number"].rstrip()


def is_filled(text: str) -> bool:
    """Whether a cell holds more than a word for nothing."""
    return marking_text(text) != ""
