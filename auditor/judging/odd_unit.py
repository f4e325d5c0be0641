"""Which of two units is the odd one, where the marking cannot settle it."""

from __future__ import annotations

from typing import Any

from auditor.judging.causes import SLIPS, likely_cause
from auditor.judging.statements import Slot, Statements
from auditor.rulebook.finding import CAUSES
from auditor.trade.units import KG_PER_LB, KMH_PER_MPH

_USUAL = {  # what tires are ever listed with; common practice, no source
    "tread_depth_mm": (1.5, 40.0),
    "tread_depth_32nds": (2.0, 50.0),
    "tire_weight_kg": (1.0, 400.0),
    "tire_weight_lb": (3.0, 900.0),
    "max_pressure_kpa": (100.0, 1100.0),
    "max_pressure_psi": (15.0, 160.0),
    "max_pressure_bar": (1.0, 11.0),
    "max_speed_kmh": (5.0, 400.0),
    "max_speed_mph": (3.0, 250.0),
    "max_load_kg": (45.0, 20000.0),
    "max_load_lb": (99.0, 45000.0),
}


def odd_one(st: Statements, slot: Slot, other: Slot, in_own: Any, in_other: Any) -> Any:
    """True where the value of `slot` is the odd one, false where that of `other` is.

    In this order: a value that no tire has; a value that stands in no published table while the other's does; a
    value that a known slip turns the other into.  Else the second, which is the converted one by custom.
    """
    ops = st.ops
    own, in_background = st.value(slot), st.value(other)
    own_bad, beside_bad = _odd_alone(st, slot, own), _odd_alone(st, other, in_background)
    settled = own_bad != beside_bad
    own_slip = _is_slip(ops, likely_cause(st, slot.field, own, in_own))
    beside_slip = _is_slip(ops, likely_cause(st, other.field, in_background, in_other))
    return (settled & own_bad) | (ops.no(settled) & own_slip & ops.no(beside_slip))


def _is_slip(ops: Any, cause: Any) -> Any:
    hit = cause != cause
    for name in SLIPS:
        hit = hit | (cause == float(CAUSES.index(name)))
    return hit


def _odd_alone(st: Statements, slot: Slot, value: Any) -> Any:
    ops, tables = st.ops, st.book.tables
    low, high = _USUAL.get(slot.field, (float("-inf"), float("inf")))
    odd = (value < low) | (value > high)
    if slot.field.startswith("max_load"):
        kg = value * (1.0 if slot.field.endswith("kg") else KG_PER_LB)
        return odd | (ops.distance_to(tables.load_kg, kg) > ops.larger(kg * 0.0005, 1.2))
    if slot.field.startswith("max_speed"):
        kmh = value * (1.0 if slot.field.endswith("kmh") else KMH_PER_MPH)
        return odd | (ops.distance_to(tuple(sorted(tables.speed_kmh.values())), kmh) > 1.7)
    if slot.field == "max_pressure_psi":
        return odd | (ops.distance_to(tuple(sorted(tables.pressures_psi)), value) > 0.5)
    if slot.field == "max_pressure_kpa":
        return odd | (ops.distance_to(tuple(sorted(tables.pressures_kpa)), value) > 2.0)
    return odd
