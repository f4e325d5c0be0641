"""Temporary-use spare tires: prefix T."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.trade.family import PASSENGER, Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 10
STANDARD = "UN Regulation No. 30, Annex on T-type temporary-use spares; 49 CFR 571.139."
EXAMPLES = (
    "T145/70R17 106M",
    "T145/80D18 103M",
    "T125/90D16 98M",
)
FAMILY = Family(
    diameter_by_formula=True,
    limits=PASSENGER,
    temporary=True,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    return size.prefix == "T"
