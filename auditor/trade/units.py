"""The unit that a field's name ends in, and what turns a value of one field into the unit of another.

How suppliers spell units is another matter: see `auditor.quantities.units`.  Factors are exact by definition of the
inch, the pound and the mile; psi follows from pound, inch and standard gravity (9.80665 m/s2).
"""

from __future__ import annotations

from functools import cache

from auditor.trade.tables import KG_PER_LB, KMH_PER_MPH, MM_PER_INCH

KPA_PER_PSI = 6.894757293168361
KPA_PER_BAR = 100.0
MM_PER_32ND = MM_PER_INCH / 32.0

_UNIT_FACTORS = {  # unit -> (quantity, factor to its base unit)
    "kg": ("mass", 1.0),
    "lb": ("mass", KG_PER_LB),
    "kmh": ("speed", 1.0),
    "mph": ("speed", KMH_PER_MPH),
    "mm": ("length", 1.0),
    "in": ("length", MM_PER_INCH),
    "32nds": ("length", MM_PER_32ND),
    "kpa": ("pressure", 1.0),
    "psi": ("pressure", KPA_PER_PSI),
    "bar": ("pressure", KPA_PER_BAR),
    "km": ("turns", 1.0),  # revolutions per km
    "mile": ("turns", 1.0 / KMH_PER_MPH),
}


@cache
def unit_of(field: str) -> str:
    """The unit a field's name ends in; empty for counts and codes.

    >>> unit_of("max_load_kg"), unit_of("load_index")
    ('kg', '')
    """
    unit = field.rsplit("_", 1)[-1]
    return unit if unit in _UNIT_FACTORS else ""


def factor_between(field: str, other: str) -> float:
    """What a value of `field` is multiplied by to be in the unit of `other`; both names must end in a unit.

    >>> factor_between("max_pressure_bar", "max_pressure_kpa")
    100.0
    """
    return _UNIT_FACTORS[unit_of(field)][1] / _UNIT_FACTORS[unit_of(other)][1]
