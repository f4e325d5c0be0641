"""Checks of the U.S. quality grades (treadwear, traction, temperature): 49 CFR 575.104."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from typing import Any

from auditor.judging.failures import Collector, Failure
from auditor.judging.rule_terms import add_on_first, is_of_family
from auditor.judging.statements import FactFunction, Slot, Statements
from auditor.rulebook.rule import Rule


def _report(st: Statements, slot: Slot) -> str:
    """Grades given in one cell are one field."""
    return "utqg" if st.sources[slot.source].field == "utqg" else slot.report


def grade_invalid(rule: Rule, st: Statements, out: Collector) -> None:
    """Treadwear in steps of 20, traction AA, A, B or C, temperature A, B or C."""
    ops = st.ops
    step, most, grades = (rule.limit(name) for name in ("treadwear_step", "treadwear_most", "temperature_grades"))
    invalid = {"treadwear": partial(_off_steps, ops, step, most), "temperature": partial(_is_no_grade, grades)}
    for field in rule.fields:
        for slot in st.own(field):
            where = st.per_value(slot, invalid.get(field, _is_unknown))
            if ops.any_of(where):
                out.add(Failure(rule, slot.source, _report(st, slot), field, where, st.value(slot), st.nothing))


def _off_steps(ops: Any, step: float, most: float, value: Any) -> Any:
    steps = value / step
    return (ops.magnitude(steps - ops.nearest(steps)) > 1e-6) | (value <= 0.0) | (value > most)


def _is_no_grade(grades: float, value: Any) -> Any:
    return (value < 0.0) | (value >= grades)


def _is_unknown(value: Any) -> Any:
    return value < 0.0


def grade_contradicted(rule: Rule, st: Statements, out: Collector) -> None:
    """Two cells of a listing give one grade differently: "500 A B" beside a treadwear of 400."""
    ops = st.ops
    for field in rule.fields:
        slots, before = st.own(field), st.nothing
        for slot in slots if len(slots) > 1 else ():
            value = st.value(slot)
            where = (before >= 0.0) & (value >= 0.0) & (value != before)
            if ops.any_of(where):
                out.add(Failure(rule, slot.source, _report(st, slot), field, where, value, before))
            before = ops.first_known(before, value)


def grade_not_applicable(rule: Rule, st: Statements, out: Collector) -> None:
    """Grades are for passenger tires: not LT, not spares, not rims of 12 inches or less.  One finding per listing."""
    ungraded = st.per_marking(_is_ungraded(tuple(rule.limit("graded_families")), rule.limit("exempt_rim_in")))
    add_on_first(rule, st, out, ungraded, _report)


@cache
def _is_ungraded(graded_families: tuple[str, ...], exempt_rim_in: float) -> FactFunction:
    graded = is_of_family(graded_families)

    def ungraded(ops: Any, fact: Callable[[str], Any]) -> Any:
        exempt = ops.no(graded(ops, fact)) | (fact("rim_diameter_in") <= exempt_rim_in)
        return exempt & (fact("readable") == 1.0)

    return ungraded


CHECKS = {
    "grade_invalid": grade_invalid,
    "grade_contradicted": grade_contradicted,
    "grade_not_applicable": grade_not_applicable,
}
