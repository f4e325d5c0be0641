"""How the cells of a retailer's own fields are read: like those of any field of the same quantity and unit."""

from __future__ import annotations

from functools import cache

from auditor.quantities.units import Measure
from auditor.trade.units import UNITS, Unit

OwnKind = tuple[str, str | None]  # the quantity and the unit of an own field

# What can be at all: wide, since nothing is known of the field but its quantity.
_LOWEST, _HIGHEST = 1e-9, 1e12


@cache
def own_measure(field: str, quantity: str, unit: str | None) -> Measure | None:
    """The measure of an own field; None for texts."""
    if quantity in ("", "text"):
        return None
    own = UNITS[unit] if unit is not None else Unit("", quantity, 1.0)
    return Measure(field, field, own, {own.name: field}, _LOWEST, _HIGHEST)
