"""Light-truck metric tires: LT before or after the size."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.trade.family import COMMERCIAL, COMMERCIAL_SPECIAL, Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 40
STANDARD = "49 CFR 571.119 and 571.139; from memory of the Tire and Rim Association yearbook."
EXAMPLES = (
    "LT265/70R17 121/118S E",
    "315/70R17LT 121/118R",
    "LT245/75R16 120/116S E",
)
FAMILY = Family(
    diameter_by_formula=True,
    limits=COMMERCIAL,
    special_limits=COMMERCIAL_SPECIAL,
    special_use=True,
    two_descriptions=True,
    bare_load_range=True,
    c_is_load_range=True,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    return size.shape == "metric" and "LT" in (size.prefix, size.suffix)
