"""P-metric passenger tires: prefix P."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.trade.family import PASSENGER, Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 30
STANDARD = "49 CFR 571.139; from memory of the Tire and Rim Association yearbook."
EXAMPLES = (
    "P205/75R15 97T",
    "P215/65R15 95S",
    "P275/60R20 114S M+S",
)
FAMILY = Family(
    diameter_by_formula=True,
    limits=PASSENGER,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    return size.prefix == "P" and size.shape == "metric"
