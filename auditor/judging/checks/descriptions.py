"""Two service descriptions on one tire are pairs: each load belongs to the speed beside it."""

from __future__ import annotations

from typing import Any

from auditor.judging.failures import Collector, Failure
from auditor.judging.rule_terms import tolerance_of, tolerance_width
from auditor.judging.statements import Slot, Statements
from auditor.rulebook.rule import Rule
from auditor.trade.facts import SECOND_DESCRIPTION
from auditor.trade.units import unit_of


def descriptions_mixed(rule: Rule, st: Statements, out: Collector) -> None:
    """The load of the slower service description beside the speed of the faster one.

    The other way round, the lower load at the lower speed, nobody is in danger.
    """
    ops = st.ops
    loads = [(pair.derived, slot) for pair in rule.pairs if pair.stated in rule.fields for slot in st.own(pair.stated)]
    if not loads or not st.may_state("load_single_alt_kg"):
        return
    speed, other_speed = st.fact("speed_kmh"), st.fact("speed_alt_kmh")
    first_is_faster = speed > other_speed
    two = first_is_faster | (speed < other_speed)
    if not ops.any_of(two):
        return
    states_fast = two & _states_faster(rule, st, first_is_faster)
    if not ops.any_of(states_fast):
        return
    for fact, slot in loads:
        one, other = st.fact(fact), st.fact(SECOND_DESCRIPTION[fact])
        fast, slow = ops.where(first_is_faster, one, other), ops.where(first_is_faster, other, one)
        value = st.value(slot)
        where = states_fast & (slow > fast) & _is_near(rule, st, slot, value, slow)
        where = where & ops.no(_is_near(rule, st, slot, value, fast))
        if ops.any_of(where):
            out.add(Failure.of(rule, slot, where, value, fast))


def _states_faster(rule: Rule, st: Statements, first_is_faster: Any) -> Any:
    """Where a cell states the speed of the faster description, and none that of the slower."""
    ops = st.ops
    fast_said = slow_said = st.never
    for pair in rule.pairs:
        if pair.stated in rule.fields:
            continue
        one, other = st.fact(pair.derived), st.fact(SECOND_DESCRIPTION[pair.derived])
        for slot in st.own(pair.stated):
            value = st.value(slot)
            fast_said = fast_said | _is_near(rule, st, slot, value, ops.where(first_is_faster, one, other))
            slow_said = slow_said | _is_near(rule, st, slot, value, ops.where(first_is_faster, other, one))
    return fast_said & ops.no(slow_said)


def _is_near(rule: Rule, st: Statements, slot: Slot, value: Any, fact: Any) -> Any:
    """Whether a value is that of a description, but for the roundings of its quantity."""
    unit = unit_of(slot.field)
    name = "speed" if slot.field.startswith("max_speed") else rule.tolerance if unit else "exact"
    near = tolerance_of(st, name, unit)
    if name == rule.tolerance:
        near = st.ops.larger(near, tolerance_width(st, rule.allowance, unit, fact))
    return st.ops.magnitude(value - fact) <= near


CHECKS = {"descriptions_mixed": descriptions_mixed}
