"""Special trailer tires: ST before or after the size, and the old trailer sizes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.trade.family import COMMERCIAL, COMMERCIAL_SPECIAL, Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 20
STANDARD = "49 CFR 571.119; from memory of the Tire and Rim Association yearbook, trailer section."
EXAMPLES = (
    "ST225/75R15 117/112M E",
    "ST205/75D15 C",
    "F78-15ST C",
    "5.30-12 C",
)
FAMILY = Family(
    diameter_by_formula=True,
    limits=COMMERCIAL,
    special_limits=COMMERCIAL_SPECIAL,
    mph_without_symbol=65.0,  # common U.S. practice
    bare_load_range=True,
    c_is_load_range=True,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    if size.prefix == "ST" or size.suffix == "ST":
        return True
    if size.shape == "inch-diameter":  # 20.5x8.0-10: the overall diameter has a decimal of its own
        return size.overall_in in (16.5, 18.5, 20.5, 21.5) and size.rim_in in (8.0, 9.0, 10.0)
    # 4.80-8, 5.30-12, 5.70-8: bias sizes made for light trailers only
    return size.shape == "numeric-inch" and size.width_in in (4.8, 5.3, 5.7) and size.rim_in in (8.0, 12.0)
