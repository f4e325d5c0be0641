"""Checks of the maximum pressure against what markings permit and what load ranges are marked with."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from auditor.judging.rule_terms import PASSENGER, Collector, st_family_in
from auditor.judging.statements import Statements
from auditor.rulebook.book import Rule
from auditor.trade.family import FAMILY_NUMBER
from auditor.trade.units import KPA_PER_PSI

# Load range (as ply rating) -> psi at which LT-metric and ST tires are marked with their maximum load.
_LT_PSI = {6.0: 50.0, 8.0: 65.0, 10.0: 80.0, 12.0: 95.0}
_ST_PSI = {4.0: 35.0, 6.0: 50.0, 8.0: 65.0, 10.0: 80.0}


def pressure_not_permitted(rule: Rule, st: Statements, out: Collector) -> None:
    """Passenger tires are marked with one of a short list of maximum pressures (49 CFR 571.139)."""
    ops, tables = st.ops, st.book.tables
    passenger = st_family_in(st, PASSENGER)
    if not ops.any_of(passenger):
        return
    for field, listed, slack in (
        ("max_pressure_psi", tables.pressures_psi, 0.5),
        ("max_pressure_kpa", tables.pressures_kpa, 2.0),
    ):
        for slot in st.slots.get(field, ()):
            where = passenger & st.per_value(slot, partial(_is_off, ops, tuple(sorted(listed)), slack))
            if ops.any_of(where):
                out.add(rule, slot.source, slot.report, field, where, st.value(slot), st.nothing)


def _is_off(ops: Any, listed: tuple[float, ...], slack: float, value: Any) -> Any:
    return ops.distance_to(listed, value) > slack


def pressure_unlike_load_range(rule: Rule, st: Statements, out: Collector) -> None:
    """LT-metric and ST tires of one load range carry one pressure; wide LT sizes run a step lower and are left out."""
    ops = st.ops
    usual = st.per_marking(_usual_psi)
    if not ops.any_of(ops.known(usual)):
        return
    for field, factor, slack in (("max_pressure_psi", 1.0, 1.01), ("max_pressure_kpa", KPA_PER_PSI, 8.0)):
        for slot in st.slots.get(field, ()):
            value = st.value(slot)
            where = ops.magnitude(value - usual * factor) > slack
            if ops.any_of(where):
                derived = usual
                if field == "max_pressure_kpa":
                    derived = ops.nearest(usual * factor / 50.0) * 50.0
                out.add(rule, slot.source, slot.report, field, where, value, derived)


def _usual_psi(ops: Any, fact: Callable[[str], Any]) -> Any:
    """What a marking's load range is marked with, where it says so."""
    ply, family = fact("load_range"), fact("family")
    usual = ops.constant(ops.NAN, ply)
    narrow_lt = (family == FAMILY_NUMBER["lt-metric"]) & (fact("section_width_mm") <= 295.0)
    trailer = family == FAMILY_NUMBER["special-trailer"]
    for of_kind, pressures in ((narrow_lt, _LT_PSI), (trailer, _ST_PSI)):
        for rating, psi in pressures.items():
            usual = ops.where(of_kind & (ply == rating), psi, usual)
    return usual


CHECKS = {
    "pressure_not_permitted": pressure_not_permitted,
    "pressure_unlike_load_range": pressure_unlike_load_range,
}
