"""Light-truck metric tires: LT before or after the size."""

from __future__ import annotations

from auditor.marking.shape import Size
from auditor.trade.marking_model import ServiceDescription

NAME = "lt-metric"
RANK = 40
STANDARD = "49 CFR 571.119 and 571.139; from memory of the Tire and Rim Association yearbook."
EXAMPLES = (
    "LT265/70R17 121/118S E",
    "315/70R17LT 121/118R",
    "LT245/75R16 120/116S E",
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    return size.shape == "metric" and "LT" in (size.prefix, size.suffix)
