"""P-metric passenger tires: prefix P."""

from __future__ import annotations

from auditor.marking.shape import Size
from auditor.trade.marking_model import ServiceDescription

NAME = "p-metric"
RANK = 30
STANDARD = "49 CFR 571.139; from memory of the Tire and Rim Association yearbook."
EXAMPLES = (
    "P205/75R15 97T",
    "P215/65R15 95S",
    "P275/60R20 114S M+S",
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    return size.prefix == "P" and size.shape == "metric"
