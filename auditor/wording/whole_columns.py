"""What is likely wrong with a whole column, in the words of its finding."""

from __future__ import annotations

import re

from auditor.trade.units import unit_of

_HOLDS = {  # cause, or cause and the unit that the column should have
    "unit-swapped kg": "holds pounds, not kilograms",
    "unit-swapped lb": "holds kilograms, not pounds",
    "unit-swapped kmh": "holds miles per hour, not kilometers per hour",
    "unit-swapped mph": "holds kilometers per hour, not miles per hour",
    "unit-swapped mm": "holds inches, not millimeters",
    "unit-swapped in": "holds millimeters, not inches",
    "unit-swapped kpa": "holds psi or bar, not kPa",
    "unit-swapped psi": "holds kPa or bar, not psi",
    "unit-swapped bar": "holds kPa or psi, not bar",
    "unit-swapped 32nds": "holds millimeters or inches, not 32nds of an inch",
    "unit-swapped km": "holds revolutions per mile, not per kilometer",
    "unit-swapped mile": "holds revolutions per kilometer, not per mile",
    "unit-swapped": "holds values in another unit",
    "single-dual-swapped": "holds the values of the other mounting: single and dual are exchanged",
    "digits-transposed": "has two digits exchanged throughout",
    "digit-missing": "has lost a digit throughout",
    "digit-added": "has a digit too many throughout",
    "neighboring-row": "holds the values of the next row of the table",
    "decimal-slip": "has lost or moved its decimal mark",
    "per-pair": "holds the loads of a pair of tires, not of one",
    "column-shifted": "holds another column's values",
    "rounded": "is rounded too far",
    "rounded rim": "has lost its half inches",
    "converted-badly": "was converted by a rough factor",
    "copied-from-another-size": "holds values of other sizes",
    "index-not-load": "holds the load index itself, not the load",
}
_SCIENTIFIC = re.compile(r"[0-9](?:[.,][0-9]+)?E\+?[0-9]{1,3}", re.IGNORECASE)


def unit_key(cause: str, field: str) -> str:
    """A cause, with the unit that a field should have where the unit is wrong, or with what was rounded away."""
    if cause == "rounded" and field == "rim_diameter_in":
        return "rounded rim"
    return f"{cause} {unit_of(field)}" if cause == "unit-swapped" and unit_of(field) else cause


def is_scientific(stated: str) -> bool:
    """Whether a text is what a spreadsheet program makes of a long number."""
    return _SCIENTIFIC.fullmatch(stated.strip()) is not None


def holds(cause: str, field: str, factor: float | None, stated: str) -> str:
    """What is likely wrong with a column, as the end of a sentence about it; `stated` is one of its cells."""
    if is_scientific(stated):
        return f"holds {stated.strip()} and the like: a spreadsheet destroyed the numbers"
    if factor is not None and cause == "unclear":
        return f"is all off by the same factor, {factor_text(factor)}"
    key = unit_key(cause, field)
    return _HOLDS.get(key, _HOLDS.get(cause, "fails in the same way in nearly every listing"))


def factor_text(factor: float) -> str:
    """A factor as people write it."""
    return f"{factor:.3g}" if factor < 100 else f"{factor:,.0f}"


def how_far(deviation: float | None, direction: int) -> str:
    """How far the worst of the values is off, as a clause; "" where that cannot be said."""
    if deviation is None or deviation != deviation or direction == 0:
        return ""
    if direction > 0:
        return f"up to {factor_text(1 + deviation)} times what the marking says"
    return f"down to {max(1, round(100 * (1 + deviation)))} % of what the marking says"
