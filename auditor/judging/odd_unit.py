"""Which of two units is the odd one, where the marking cannot settle it."""

from __future__ import annotations

from typing import Any

from auditor.judging.causes import is_slip, likely_cause
from auditor.judging.rule_terms import tolerance_of
from auditor.judging.statements import Slot, Statements
from auditor.rulebook.rule import Rule
from auditor.trade.units import factor_between, unit_of

_ANY = (float("-inf"), float("inf"))


def first_is_odd(rule: Rule, st: Statements, first: tuple[Slot, Any], second: tuple[Slot, Any]) -> Any:
    """True where the value of the first slot is the odd one, false where that of the second is.

    Each slot comes with what its value would be by the other.  In this order: a value that no tire has; a value that
    stands in no published table while the other's does; a value that a known slip turns the other into.  Else the
    second, which is the converted one by custom.
    """
    ops = st.ops
    alone = [_odd_alone(rule, st, slot) for slot, _ in (first, second)]
    settled = alone[0] != alone[1]
    slips = [is_slip(st, likely_cause(st, slot.field, st.value(slot), should)) for slot, should in (first, second)]
    return (settled & alone[0]) | (ops.no(settled) & slips[0] & ops.no(slips[1]))


def _odd_alone(rule: Rule, st: Statements, slot: Slot) -> Any:
    """Whether no tire is listed with a value, or no published table holds it."""
    ops, tables, value, unit = st.ops, st.book.tables, st.value(slot), unit_of(slot.field)
    low, high = rule.limits.get("usual", {}).get(slot.field, _ANY)
    odd = (value < low) | (value > high)
    if slot.field.startswith("max_load"):
        kg = value * factor_between(slot.field, "x_kg")
        rounding = ops.larger(kg * rule.limit("load_share"), tolerance_of(st, "load", "kg"))
        return odd | (ops.distance_to(tables.load_kg, kg) > rounding)
    if slot.field.startswith("max_speed"):
        kmh = value * factor_between(slot.field, "x_kmh")
        speeds = tuple(sorted(tables.speed_kmh.values()))
        return odd | (ops.distance_to(speeds, kmh) > tolerance_of(st, "speed", "kmh"))
    listed = {"psi": tables.pressures_psi, "kpa": tables.pressures_kpa}.get(unit)
    if listed is not None:
        return odd | (ops.distance_to(tuple(sorted(listed)), value) > rule.limit(f"listed_{unit}"))
    return odd
