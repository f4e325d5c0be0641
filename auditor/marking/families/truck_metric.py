"""Truck and bus tires in metric sizes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.trade.family import COMMERCIAL, COMMERCIAL_SPECIAL, Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 100
STANDARD = "UN Regulation No. 54; 49 CFR 571.119."
EXAMPLES = (
    "315/80R22.5 156/150L",
    "385/65R22.5 160K",
    "245/70R19.5 136/134M H",
    "365/80R20 152K",
)
FAMILY = Family(
    diameter_by_formula=True,
    limits=COMMERCIAL,
    special_limits=COMMERCIAL_SPECIAL,
    carries_more_when_slower=True,
    two_descriptions=True,
    bare_load_range=True,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    if size.shape not in ("metric", "numeric-mm") or size.prefix or size.suffix in ("LT", "ST", "C", "CP"):
        return False
    if size.rim_in is None:
        return False
    if size.rim_in in (17.5, 19.5, 22.5, 24.5):
        return True
    if service.speed_symbol is not None and service.speed_symbol not in "FGJKLMN":
        return False
    return (service.load_index or 0) >= 122 and size.rim_in >= 15 and (size.aspect or 0) >= 60
