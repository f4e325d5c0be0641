"""Tractor, harvester and implement tires: metric, IF and VF, inch sizes, low-section L sizes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.marking.families import OFF_ROAD_RIMS
from auditor.trade.family import AGRICULTURAL, Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 60
STANDARD = "UN Regulation No. 106."
EXAMPLES = (
    "VF480/80R46 177D",
    "480/70R34 143D",
    "18.4-38",
    "520/85R38 155A8/152B",
    "11L-15",
    "12.5/80-18",
)
FAMILY = Family(
    diameter_by_formula=True,
    limits=AGRICULTURAL,
    two_descriptions=True,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    if size.shape == "farm-mm" or size.prefix in ("IF", "VF") or letters & {"CFO", "CHO", "IMPLEMENT", "FI"}:
        return True
    if size.prefix or size.suffix in ("LT", "ST", "C", "CP", "TR") or size.rim_in is None:
        return size.suffix in ("SL", "FI")
    if size.rim_in in OFF_ROAD_RIMS or service.speed_symbol in ("A1", "A2"):
        return False
    slow = service.speed_symbol is not None and (service.speed_symbol[0] in "ABCDE")
    if size.shape == "metric":
        width, rim = size.width_mm or 0, size.rim_in
        if slow:
            return True
        if width % 10 == 5 or service.speed_symbol is not None:
            return False  # a road symbol: 250/70R20 149/145J is a truck tire
        return width >= 310 or rim >= 24 or (service.load_index or 0) > 95
    if size.shape == "numeric-inch":
        if size.code == "L" or slow:
            return True
        if size.aspect is not None:
            return (size.width_in or 0) >= 7
        if size.decimals == 0 and size.construction is None and size.rim_in % 1 == 0:
            return True  # 6-12 and 7-16 of small tractors
        odd_tenth = size.decimals == 1 and round((size.width_in or 0) * 10) % 5 != 0
        return odd_tenth or (size.decimals == 1 and size.rim_in >= 24)
    return False
