"""Checks of the maximum pressure against what markings permit and what load ranges are marked with."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from typing import Any

from auditor.judging.failures import Collector, Failure
from auditor.judging.statements import FactFunction, Statements
from auditor.rulebook.rule import Rule
from auditor.trade.family import FAMILY_NUMBER
from auditor.trade.units import factor_between, unit_of


def pressure_not_permitted(rule: Rule, st: Statements, out: Collector) -> None:
    """Passenger tires are marked with one of a short list of maximum pressures (49 CFR 571.139)."""
    ops, tables = st.ops, st.book.tables
    listed = {"psi": tables.pressures_psi, "kpa": tables.pressures_kpa}
    for field in rule.fields:
        unit = unit_of(field)
        for slot in st.slots.get(field, ()):
            where = st.per_value(slot, partial(_is_off, ops, tuple(sorted(listed[unit])), rule.limit(unit)))
            if ops.any_of(where):
                out.add(Failure.of(rule, slot, where, st.value(slot), st.nothing))


def _is_off(ops: Any, listed: tuple[float, ...], slack: float, value: Any) -> Any:
    return ops.distance_to(listed, value) > slack


def pressure_unlike_load_range(rule: Rule, st: Statements, out: Collector) -> None:
    """LT-metric and ST tires of one load range carry one pressure; wide LT sizes run a step lower and are left out."""
    ops = st.ops
    if not any(field in st.slots for field in rule.fields):
        return
    usual = st.per_marking(
        _usual_psi(*(_by_ply(rule, st, name) for name in ("lt_psi", "trailer_psi")), rule.limit("widest_lt_mm"))
    )
    if not ops.any_of(ops.known(usual)):
        return
    for field in rule.fields:
        unit = unit_of(field)
        in_unit = usual * factor_between("x_psi", field)
        for slot in st.slots.get(field, ()):
            value = st.value(slot)
            where = ops.magnitude(value - in_unit) > rule.limit(unit)
            if ops.any_of(where):
                step = rule.limit("kpa_step")
                derived = usual if unit == "psi" else ops.nearest(in_unit / step) * step
                out.add(Failure.of(rule, slot, where, value, derived))


def _by_ply(rule: Rule, st: Statements, name: str) -> tuple[tuple[float, float], ...]:
    """Pressures by ply rating, of a limit that has them by load range."""
    plies = st.book.tables.load_range_ply
    return tuple((float(plies[letter]), psi) for letter, psi in rule.limit(name).items())


@cache
def _usual_psi(
    lt: tuple[tuple[float, float], ...], trailer: tuple[tuple[float, float], ...], widest_lt_mm: float
) -> FactFunction:
    def usual_psi(ops: Any, fact: Callable[[str], Any]) -> Any:
        """What a marking's load range is marked with, where it says so."""
        ply, family = fact("load_range"), fact("family")
        usual = ops.constant(ops.NAN, ply)
        narrow_lt = (family == FAMILY_NUMBER["lt-metric"]) & (fact("section_width_mm") <= widest_lt_mm)
        for of_kind, pressures in ((narrow_lt, lt), (family == FAMILY_NUMBER["special-trailer"], trailer)):
            for rating, psi in pressures:
                usual = ops.where(of_kind & (ply == rating), psi, usual)
        return usual

    return usual_psi


CHECKS = {
    "pressure_not_permitted": pressure_not_permitted,
    "pressure_unlike_load_range": pressure_unlike_load_range,
}
