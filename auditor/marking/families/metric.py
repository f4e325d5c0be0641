"""Metric passenger tires, with HL and LL in front where marked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.trade.family import PASSENGER, Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 140
STANDARD = "UN Regulation No. 30; ISO 4000-1."
EXAMPLES = (
    "225/65R17 102H",
    "245/40ZR19 (98Y) XL",
    "HL245/40R19 101Y",
    "225/45RF17 91W",
)
FAMILY = Family(
    diameter_by_formula=True,
    limits=PASSENGER,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    return size.shape == "metric"
