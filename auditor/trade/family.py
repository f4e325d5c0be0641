"""What is true of every tire of one size family; each file in `auditor/marking/families` states its own."""

from __future__ import annotations

import os
from typing import NamedTuple

_FILES = os.path.join(os.path.dirname(os.path.dirname(__file__)), "marking", "families")  # noqa: PTH118, PTH120


def _names() -> tuple[str, ...]:
    # Listed, not loaded: what names families (rules, schemas, rows of facts) need not read markings.  A plain listing,
    # for walking with pkgutil would cost more start-up time than all the families together.
    files = sorted(os.listdir(_FILES))  # noqa: PTH208
    return tuple(file[:-3].replace("_", "-") for file in files if file.endswith(".py") and file != "__init__.py")


FAMILIES = _names()
FAMILY_NUMBER = {name: float(position) for position, name in enumerate(FAMILIES)}


class DiameterLimits(NamedTuple):
    """Smallest and largest overall diameter of a new tire: d + 2H times these."""

    smallest: float
    largest_radial: float
    largest_other: float


PASSENGER = DiameterLimits(0.97, 1.04, 1.08)  # from memory of UN Regulation No. 30, 6.1.4
COMMERCIAL = DiameterLimits(0.97, 1.04, 1.07)  # from memory of UN Regulation No. 54, 6.1.4
COMMERCIAL_SPECIAL = DiameterLimits(0.97, 1.06, 1.09)  # the same, special use
MOTORCYCLE = DiameterLimits(0.97, 1.08, 1.08)  # from memory of UN Regulation No. 75, the wider of its limits
# From memory of UN Regulation No. 106, with room for deep treads.
AGRICULTURAL = DiameterLimits(0.95, 1.07, 1.09)
MOTORCYCLE_SPECIAL = DiameterLimits(0.97, 1.12, 1.12)


class Family(NamedTuple):
    """What the facts of a marking take from its size family.  `name` and `number` follow from the family's file."""

    name: str = ""
    number: float | None = None  # what stands for the family in rows of facts
    diameter_by_formula: bool = False  # d + 2H, where the size has a metric width and an aspect ratio
    limits: DiameterLimits | None = None
    special_limits: DiameterLimits | None = None  # for special use; without them a snow tire may be 1 % larger
    nominal_limits: tuple[float, float] | None = None  # shares of the overall diameter that the size begins with
    special_use: bool = False  # always made for the special limits, whatever its letters
    temporary: bool = False  # a spare that is not driven on for long
    mph_without_symbol: float | None = None  # common practice where no speed symbol is marked
    carries_more_when_slower: bool = False
    two_descriptions: bool = False  # may carry a second service description
    bare_load_range: bool = False  # its load range is molded as a letter of its own
    c_is_load_range: bool = False  # also the letter C, which elsewhere marks a commercial tire


NO_FAMILY = Family()  # of a service description without a size
