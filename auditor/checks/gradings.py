"""Checks of the U.S. quality grades (treadwear, traction, temperature): 49 CFR 575.104."""

from __future__ import annotations

from auditor.book import Rule
from auditor.compare import PASSENGER, Collector, st_family_in
from auditor.statements import Slot, Statements

_FIELDS = ("treadwear", "traction", "temperature")


def _report(st: Statements, slot: Slot) -> str:
    """Grades given in one cell are one field."""
    return "utqg" if st.sources[slot.source].field == "utqg" else slot.report


def grade_invalid(rule: Rule, st: Statements, out: Collector) -> None:
    """Treadwear in steps of 20, traction AA, A, B or C, temperature A, B or C."""
    ops = st.ops
    for field in _FIELDS:
        for slot in st.own(field):
            value = st.value(slot)
            if field == "treadwear":
                step = value / 20.0
                where = ops.known(value) & ((ops.magnitude(step - ops.nearest(step)) > 1e-6) | (value <= 0.0))
            elif field == "temperature":
                where = ops.known(value) & ((value < 0.0) | (value > 2.0))
            else:
                where = ops.known(value) & (value < 0.0)
            if ops.any_of(where):
                out.add(rule, slot.source, _report(st, slot), field, where, value, st.nothing)


def grade_not_applicable(rule: Rule, st: Statements, out: Collector) -> None:
    """Grades are for passenger tires: not LT, not spares, not rims of 12 inches or less.  One finding per listing."""
    ops = st.ops
    passenger = st_family_in(st, (*PASSENGER, "metric-rim"))
    exempt = (ops.no(passenger) | (st.fact("temporary") == 1.0) | (st.fact("rim_diameter_in") <= 12.0)) & (
        st.fact("readable") == 1.0
    )
    seen = st.never
    for field in _FIELDS:
        for slot in st.own(field):
            value = st.value(slot)
            where = exempt & ops.known(value) & ops.no(seen)
            seen = seen | where
            if ops.any_of(where):
                out.add(rule, slot.source, _report(st, slot), field, where, value, st.nothing)


CHECKS = {"grade_invalid": grade_invalid, "grade_not_applicable": grade_not_applicable}
