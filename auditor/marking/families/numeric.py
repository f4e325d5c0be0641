"""Sizes without an aspect ratio: light truck and old passenger sizes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.trade.family import Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 150
STANDARD = "UN Regulation No. 30, Annex 5; UN Regulation No. 54, Annex 5; 49 CFR 571.119."
EXAMPLES = (
    "7.50R16LT 122/120L",
    "7.00-15",
    "155R13 78S",
    "165SR13",
    "GR78-15",
)
FAMILY = Family(
    bare_load_range=True,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    return size.shape in ("numeric-inch", "numeric-mm", "alpha")
