"""Flotation sizes: overall diameter and width in inches."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.trade.family import Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 120
STANDARD = "49 CFR 571.119; from memory of the Tire and Rim Association yearbook."
EXAMPLES = (
    "31x10.50R15LT 109S C",
    "37x12.50-17",
    "LT37x12.50R17 124Q D",
)
FAMILY = Family(
    nominal_limits=(0.97, 1.01),  # common practice, no source
    special_use=True,
    bare_load_range=True,
    c_is_load_range=True,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    return size.shape == "inch-diameter"
