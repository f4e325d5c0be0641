"""Truck and bus tires in inch sizes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.trade.family import Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 110
STANDARD = "UN Regulation No. 54, Annex 5; 49 CFR 571.119."
EXAMPLES = (
    "11R22.5 144/142L G",
    "10R22.5 144/142K",
    "8.25-15TR",
    "10.00R20 146/143K",
    "8R17.5 117/116L",
)
FAMILY = Family(
    carries_more_when_slower=True,
    two_descriptions=True,
    bare_load_range=True,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    if size.shape != "numeric-inch" or size.suffix == "LT" or size.aspect is not None or size.rim_in is None:
        return False
    if size.suffix == "TR" or size.rim_in in (17.5, 19.5, 22.5, 24.5):
        return True
    width = size.width_in or 0
    if size.rim_in >= 17:
        return width >= 6.5
    return width >= 8.25 and size.rim_in in (15.0, 16.0)
