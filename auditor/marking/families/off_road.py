"""Off-the-road tires of earthmovers, loaders and dumpers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.marking.families import OFF_ROAD_RIMS
from auditor.trade.family import Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 70
STANDARD = "ISO 4250; from memory of the Tire and Rim Association yearbook, off-the-road section."
EXAMPLES = (
    "23.5R25",
    "26.5-25",
    "18.00-33",
    "35/65-33",
    "750/65R25 190B",
)
FAMILY = Family()


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    if size.prefix or size.suffix in ("LT", "ST", "C", "CP") or size.rim_in is None:
        return False
    if size.shape == "metric":
        return size.rim_in in OFF_ROAD_RIMS or service.speed_symbol in ("A1", "A2")
    if size.shape != "numeric-inch":
        return False
    wide = (size.width_in or 0) >= 12
    slow = service.speed_symbol in ("A1", "A2")  # 12.00R24 is a truck size too
    return wide and (size.rim_in in OFF_ROAD_RIMS or (size.rim_in == 24 and (slow or (size.width_in or 0) >= 13)))
