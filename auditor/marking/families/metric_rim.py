"""Sizes for rims measured in millimetres."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.trade.family import Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 130
STANDARD = "UN Regulation No. 30, Annex 5 tables (TR, TD and A rims); from memory."
EXAMPLES = (
    "220/55R390 88W",
    "205/65R390",
    "205-640R440A 95V",
)
FAMILY = Family()


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    return size.rim_mm is not None
