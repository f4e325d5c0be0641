"""Every unit of the trade, once: its factor, its dimension, and how field names and messages write it.

How suppliers spell units is another matter: see `auditor.quantities.units`.  Factors are exact by definition of the
inch, the pound and the mile; psi follows from pound, inch and standard gravity (9.80665 m/s2).
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

KG_PER_LB = 0.45359237  # exact, the international pound of 1959
KMH_PER_MPH = 1.609344  # exact, the international mile
MM_PER_INCH = 25.4  # exact
KG_PER_KN = 1000.0 / 9.80665  # the load that presses so, at standard gravity
KPA_PER_PSI = KG_PER_LB * 9.80665 / (0.0254 * 0.0254) / 1000.0


class Unit(NamedTuple):
    """One unit: its name in readings, feed maps and the listing contract, and what one of it is in the base unit."""

    name: str
    dimension: str
    factor: float
    suffix: str = ""  # what the names of fields end in; empty where no field is kept in this unit
    written: str = ""  # behind a number in a message
    decimals: int = 2  # that a derived value is written with


_ALL = (
    Unit("kg", "mass", 1.0, "kg", " kg", 1),
    Unit("t", "mass", 1000.0),
    Unit("kN", "mass", KG_PER_KN),  # of the load of a tire or an axle
    Unit("lb", "mass", KG_PER_LB, "lb", " lb", 0),
    Unit("km/h", "speed", 1.0, "kmh", " km/h", 0),
    Unit("mph", "speed", KMH_PER_MPH, "mph", " mph", 0),
    Unit("kPa", "pressure", 1.0, "kpa", " kPa", 0),
    Unit("MPa", "pressure", 1000.0),
    Unit("bar", "pressure", 100.0, "bar", " bar", 2),
    Unit("psi", "pressure", KPA_PER_PSI, "psi", " psi", 0),
    Unit("kgf/cm2", "pressure", 98.0665),
    Unit("mm", "length", 1.0, "mm", " mm", 1),
    Unit("cm", "length", 10.0),
    Unit("in", "length", MM_PER_INCH, "in", " in", 2),
    Unit("32nds", "length", MM_PER_INCH / 32.0, "32nds", "/32 in", 1),
    Unit("/km", "revolutions", 1.0, "km", "", 0),
    Unit("/mile", "revolutions", 1.0 / KMH_PER_MPH, "mile", "", 0),
    Unit("dB", "sound", 1.0),
    Unit("%", "ratio", 1.0),
)
UNITS = {unit.name: unit for unit in _ALL}
_BY_SUFFIX = {unit.suffix: unit for unit in _ALL if unit.suffix}
NO_UNIT = Unit("", "", 1.0)  # of counts and codes


@cache
def unit_of(field: str) -> str:
    """The unit a field's name ends in; empty for counts and codes.

    >>> unit_of("max_load_kg"), unit_of("load_index")
    ('kg', '')
    """
    return field_unit(field).suffix


@cache
def field_unit(field: str) -> Unit:
    """The unit that a field's name ends in, with all that is known of it; NO_UNIT for counts and codes."""
    return _BY_SUFFIX.get(field.rsplit("_", 1)[-1], NO_UNIT)


@cache
def in_other_units(field: str) -> dict[str, float]:
    """The names that a field would have in the other units of its dimension, and the factors to them.

    >>> in_other_units("speed_kmh")
    {'speed_mph': 0.621371192237334}
    """
    own = field_unit(field)
    stem = field.removesuffix(own.suffix)
    others = [unit for unit in _BY_SUFFIX.values() if own.suffix and unit.dimension == own.dimension and unit != own]
    return {stem + unit.suffix: own.factor / unit.factor for unit in others}


@cache
def factor_between(field: str, other: str) -> float:
    """What a value of `field` is multiplied by to be in the unit of `other`; both names must end in a unit.

    >>> factor_between("max_pressure_bar", "max_pressure_kpa")
    100.0
    """
    return _BY_SUFFIX[unit_of(field)].factor / _BY_SUFFIX[unit_of(other)].factor
