"""Checks of the U.S. quality grades (treadwear, traction, temperature): 49 CFR 575.104."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from auditor.judging.rule_terms import PASSENGER, Collector, family_among
from auditor.judging.statements import Slot, Statements
from auditor.rulebook.book import Rule

_FIELDS = ("treadwear", "traction", "temperature")


def _report(st: Statements, slot: Slot) -> str:
    """Grades given in one cell are one field."""
    return "utqg" if st.sources[slot.source].field == "utqg" else slot.report


def grade_invalid(rule: Rule, st: Statements, out: Collector) -> None:
    """Treadwear in steps of 20, traction AA, A, B or C, temperature A, B or C."""
    ops = st.ops
    for field in _FIELDS:
        for slot in st.own(field):
            where = st.per_value(slot, partial(_invalid, ops, field))
            if ops.any_of(where):
                out.add(rule, slot.source, _report(st, slot), field, where, st.value(slot), st.nothing)


def _invalid(ops: Any, field: str, value: Any) -> Any:
    if field == "treadwear":
        step = value / 20.0
        return (ops.magnitude(step - ops.nearest(step)) > 1e-6) | (value <= 0.0)
    if field == "temperature":
        return (value < 0.0) | (value > 2.0)
    return value < 0.0


def grade_not_applicable(rule: Rule, st: Statements, out: Collector) -> None:
    """Grades are for passenger tires: not LT, not spares, not rims of 12 inches or less.  One finding per listing."""
    ops = st.ops
    exempt = st.per_marking(_exempt)
    if not ops.any_of(exempt):
        return
    seen = st.never
    for field in _FIELDS:
        for slot in st.own(field):
            value = st.value(slot)
            where = exempt & ops.known(value) & ops.no(seen)
            seen = seen | where
            if ops.any_of(where):
                out.add(rule, slot.source, _report(st, slot), field, where, value, st.nothing)


def _exempt(ops: Any, fact: Callable[[str], Any]) -> Any:
    passenger = family_among((*PASSENGER, "metric-rim"))(ops, fact)
    ungraded = ops.no(passenger) | (fact("temporary") == 1.0) | (fact("rim_diameter_in") <= 12.0)
    return ungraded & (fact("readable") == 1.0)


CHECKS = {"grade_invalid": grade_invalid, "grade_not_applicable": grade_not_applicable}
