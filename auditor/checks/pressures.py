"""Checks of the maximum pressure against what markings permit and what load ranges are marked with."""

from __future__ import annotations

from auditor.book import Rule
from auditor.compare import KPA_PER_PSI, PASSENGER, Collector, st_family_in
from auditor.statements import Statements

# Load range (as ply rating) -> psi at which LT-metric and ST tires are marked with their maximum load.
_LT_PSI = {6.0: 50.0, 8.0: 65.0, 10.0: 80.0, 12.0: 95.0}
_ST_PSI = {4.0: 35.0, 6.0: 50.0, 8.0: 65.0, 10.0: 80.0}


def pressure_not_permitted(rule: Rule, st: Statements, out: Collector) -> None:
    """Passenger tires are marked with one of a short list of maximum pressures (49 CFR 571.139)."""
    ops, tables = st.ops, st.book.tables
    passenger = st_family_in(st, PASSENGER)
    for field, listed, slack in (
        ("max_pressure_psi", tables.pressures_psi, 0.5),
        ("max_pressure_kpa", tables.pressures_kpa, 2.0),
    ):
        for slot in st.slots.get(field, ()):
            value = st.value(slot)
            where = passenger & (ops.distance_to(tuple(sorted(listed)), value) > slack)
            if ops.any_of(where):
                out.add(rule, slot.source, slot.report, field, where, value, st.nothing)


def pressure_unlike_load_range(rule: Rule, st: Statements, out: Collector) -> None:
    """LT-metric and ST tires of one load range carry one pressure; wide LT sizes run a step lower and are left out."""
    ops = st.ops
    ply = st.fact("load_range")
    narrow_lt = st_family_in(st, ("lt-metric",)) & (st.fact("section_width_mm") <= 295.0)
    trailer = st_family_in(st, ("special-trailer",))
    lt_psi, st_psi = st.nothing, st.nothing
    for rating, psi in _LT_PSI.items():
        lt_psi = ops.where(ply == rating, psi, lt_psi)
    for rating, psi in _ST_PSI.items():
        st_psi = ops.where(ply == rating, psi, st_psi)
    usual = ops.where(narrow_lt, lt_psi, ops.where(trailer, st_psi, st.nothing))
    for field, factor, slack in (("max_pressure_psi", 1.0, 1.01), ("max_pressure_kpa", KPA_PER_PSI, 8.0)):
        for slot in st.slots.get(field, ()):
            value = st.value(slot)
            where = ops.magnitude(value - usual * factor) > slack
            if ops.any_of(where):
                derived = usual
                if field == "max_pressure_kpa":
                    derived = ops.nearest(usual * factor / 50.0) * 50.0
                out.add(rule, slot.source, slot.report, field, where, value, derived)


CHECKS = {
    "pressure_not_permitted": pressure_not_permitted,
    "pressure_unlike_load_range": pressure_unlike_load_range,
}
