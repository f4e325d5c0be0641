"""Temporary-use spare tires: prefix T."""

from __future__ import annotations

from auditor.marking.shape import Size
from auditor.trade.marking_model import ServiceDescription

NAME = "temporary-spare"
RANK = 10
STANDARD = "UN Regulation No. 30, Annex on T-type temporary-use spares; 49 CFR 571.139."
EXAMPLES = (
    "T145/70R17 106M",
    "T145/80D18 103M",
    "T125/90D16 98M",
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    return size.prefix == "T"
