"""Which of two units is the odd one, where the marking cannot settle it."""

from __future__ import annotations

from typing import Any

from auditor.judging.causes import is_slip, likely_cause
from auditor.judging.rule_terms import family_in, tolerance_of
from auditor.judging.statements import Slot, Statements
from auditor.rulebook.rule import Rule
from auditor.trade.units import factor_between, unit_of

_ANY = (float("-inf"), float("inf"))


def first_is_odd(rule: Rule, st: Statements, first: tuple[Slot, Any], second: tuple[Slot, Any]) -> Any:
    """True where the value of the first slot is the odd one, false where that of the second is.

    Each slot comes with what its value would be by the other.  In this order: a value that no tire has; a value that
    stands in no published table while the other's does; a value that a known slip turns the other into; of one number
    in both, the one that stands there bare while the other says its unit.  Else the second, which is the converted one
    by custom.
    """
    ops = st.ops
    alone = [_odd_alone(rule, st, slot) for slot, _ in (first, second)]
    settled = alone[0] != alone[1]
    slips = [is_slip(st, likely_cause(st, slot.field, st.value(slot), should)) for slot, should in (first, second)]
    by_slip = slips[0] & ops.no(slips[1])
    same = st.value(first[0]) == st.value(second[0])
    if ops.any_of(same):
        bare, other_bare = (st.texts_pass(st.sources[slot.source], _is_bare) for slot, _ in (first, second))
        by_slip = by_slip | (same & bare & ops.no(other_bare))
    return (settled & alone[0]) | (ops.no(settled) & by_slip)


def _is_bare(text: str) -> bool:
    """Whether a cell holds a number without a word of its unit."""
    return "/" not in text and not any(letter.isalpha() or letter in '"\u2033' for letter in text)


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
    if slot.field.startswith("max_pressure"):
        return odd | (_off_marked(rule, st, slot) > rule.limit("marked_within")[unit])
    return odd


def _uses(rule: Rule) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The uses that pressures are marked for, and the size families of each."""
    return tuple((use, tuple(rule.limit(use.replace("-", "_")))) for use in ("passenger", "spare", "light-truck"))


def _off_marked(rule: Rule, st: Statements, slot: Slot) -> Any:
    """How far a pressure lies from those that tires of its family are marked with; missing for other families."""
    ops, tables, off = st.ops, st.book.tables, st.nothing
    unit = "psi" if unit_of(slot.field) == "psi" else "kPa"
    factor = factor_between(f"x_{unit.lower()}", slot.field)
    for use, families in _uses(rule):
        marked = tuple(value * factor for value in tables.marked_pressures(use, unit))
        off = ops.where(family_in(st, families), ops.distance_to(marked, st.value(slot)), off)
    return off


def marked_beside(rule: Rule, st: Statements, slot: Slot, other: Slot) -> Any:
    """What tires that are marked with a slot's pressure are marked with in the other slot's unit; else missing.

    Published pairs are rounded in ways of their own: 80 psi stands beside 550 kPa, not 552.
    """
    beside = st.nothing
    if not slot.field.startswith("max_pressure") or "psi" not in (unit_of(slot.field), unit_of(other.field)):
        return beside
    ops, value = st.ops, st.value(slot)
    unit, other_unit = ("psi", "kPa") if unit_of(slot.field) == "psi" else ("kPa", "psi")
    to_field, to_other = (
        factor_between(f"x_{unit.lower()}", slot.field),
        factor_between(f"x_{other_unit.lower()}", other.field),
    )
    within = rule.limit("marked_within")[unit_of(slot.field)]
    for use, families in _uses(rule):
        of_use = family_in(st, families)
        for row in st.book.tables.pressures:
            if row.use == use and row.unit == unit:
                same = of_use & (ops.magnitude(value - row.value * to_field) <= within)
                beside = ops.where(same, row.same_as * to_other, beside)
    return beside
