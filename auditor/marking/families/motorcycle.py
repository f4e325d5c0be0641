"""Motorcycle tires: metric, inch and letter sizes, M/C where the rim is 13 or larger."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.marking.families import low_speed_or_heavy
from auditor.trade.family import MOTORCYCLE, MOTORCYCLE_SPECIAL, Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 50
STANDARD = "UN Regulation No. 75."
EXAMPLES = (
    "120/70ZR17 M/C (58W)",
    "130/90-16 M/C 67H",
    "3.25-19 54P",
    "MT90B16 72H",
    "180/55ZR17 M/C (73W)",
)
FAMILY = Family(
    diameter_by_formula=True,
    limits=MOTORCYCLE,
    special_limits=MOTORCYCLE_SPECIAL,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    if "M/C" in letters or "MST" in letters or "MOPED" in letters:
        return size.shape in ("metric", "numeric-inch", "alpha")
    if size.shape == "alpha":
        return size.code is not None and len(size.code) == 2
    if size.prefix or size.suffix or size.rim_in is None or not 8 <= size.rim_in <= 23:
        return False
    if not low_speed_or_heavy(service, 96) and size.shape == "metric":
        # Passenger widths end in 5, motorcycle widths in 0 (common practice, no source).
        width, aspect = size.width_mm or 0, size.aspect or 0
        narrow = width < 100 or (width % 10 == 0 and width < (160 if size.rim_in <= 12 else 310))
        return narrow and size.rim_in >= 10 and aspect <= 100
    if size.shape == "numeric-inch" and not low_speed_or_heavy(service, 96) and size.code is None:
        width = size.width_in or 0
        if size.aspect is not None:
            return width < 6 and size.rim_in >= 15
        if width < 2 or size.decimals < 2:
            return False
        return width <= (5.1 if size.rim_in >= 14 else 3.75 if size.rim_in < 9 else 4.5)
    return False
