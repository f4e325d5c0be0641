"""Metric passenger tires, with HL and LL in front where marked."""

from __future__ import annotations

from auditor.marking.shape import Size
from auditor.trade.marking_model import ServiceDescription

NAME = "metric"
RANK = 140
STANDARD = "UN Regulation No. 30; ISO 4000-1."
EXAMPLES = (
    "225/65R17 102H",
    "245/40ZR19 (98Y) XL",
    "HL245/40R19 101Y",
    "225/45RF17 91W",
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    return size.shape == "metric"
