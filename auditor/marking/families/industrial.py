"""Industrial tires of fork lifts, skid steers and other plant."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.trade.family import Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 55
STANDARD = "ISO 3739 and ISO 4251; from memory of the tables."
EXAMPLES = (
    "8.15-15 (225/75-15)",
    "6.50-10",
    "18x7-8",
    "10-16.5",
)
FAMILY = Family(
    diameter_by_formula=True,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    if size.prefix or size.suffix or size.rim_in is None:
        return False
    width, rim = size.width_in or 0, size.rim_in
    if size.shape == "inch-diameter":  # 18x7-8, 28x9-15: whole inches on a bias rim
        whole = size.decimals == 0 and (size.overall_in or 0) % 1 == 0
        if (size.overall_in, width, rim) == (15.0, 4.5, 8.0):  # 15x4 1/2-8 of fork lifts
            return size.construction is None
        return whole and size.construction is None and (rim <= 10 or (rim, size.overall_in) == (15.0, 28.0))
    if size.shape == "metric":  # 200/50-10, 225/75-15: bias tires of plant; bias road tires carry a letter in front
        return size.construction is None and (rim <= 10 or ((size.width_mm or 0) >= 200 and rim in (12.0, 15.0)))
    if size.shape == "numeric-mm":  # 250-15, 300-15
        return size.width_mm in (250.0, 300.0)
    if size.shape != "numeric-inch" or size.aspect is not None or size.code is not None:
        return False
    if size.decimals == 0:  # 10-16.5, 12-16.5, 14-17.5, 15-19.5
        return size.construction is None and width >= 10 and rim in (16.5, 17.5, 19.5)
    if size.decimals < 2:
        return False
    return (
        (rim <= 9 and width >= 4) or rim <= 6 or (rim in (10.0, 12.0) and width >= 6.5) or (rim == 15 and width == 8.15)
    )
