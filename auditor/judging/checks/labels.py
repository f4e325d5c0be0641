"""Checks of the EU label: tire class, label classes and the noise class against the noise value."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from auditor.judging.rule_terms import Collector, family_among
from auditor.judging.statements import Statements
from auditor.rulebook.book import Rule

_C1_FAMILIES = ("metric", "p-metric", "temporary-spare", "metric-rim")
_BY_SERVICE = ("commercial", "lt-metric", "truck-metric", "truck-numeric")


def _tire_class(ops: Any, fact: Callable[[str], Any]) -> Any:
    """The number of the tire class that surely holds; missing where none could be told.

    Source: Regulation (EC) No 661/2009, Article 8: C2 with a single index up to 121 and symbol N or faster, C3 with
    122 or more, or up to 121 and M or slower.
    """
    passenger = family_among(_C1_FAMILIES)(ops, fact)
    service = family_among(_BY_SERVICE)(ops, fact)
    index, speed = fact("load_index"), fact("speed_kmh")
    light = service & (index <= 121.0) & (speed >= 140.0)
    heavy = service & ((index >= 122.0) | ((index <= 121.0) & (speed <= 130.0)))
    nothing = ops.constant(ops.NAN, index)
    return ops.where(passenger, 0.0, ops.where(light, 1.0, ops.where(heavy, 2.0, nothing)))


def tire_class_mismatch(rule: Rule, st: Statements, out: Collector) -> None:
    """The tire class that load index and speed symbol make it."""
    ops = st.ops
    slots = st.own("tire_class")
    if not slots:
        return
    number = st.per_marking(_tire_class)
    told = ops.known(number)
    for slot in slots:
        value = st.value(slot)
        stated = ops.known(value)
        where = told & stated & (value != number)
        out.could_not_tell(rule, stated & ops.no(told))
        if ops.any_of(where):
            out.add(rule, slot.source, slot.report, "tire_class", where, value, number)


def label_class_invalid(rule: Rule, st: Statements, out: Collector) -> None:
    """Classes A to E for fuel and wet grip, A to C for noise (Regulation (EU) 2020/740)."""
    ops = st.ops
    for field, last in (("fuel_class", 4.0), ("wet_grip_class", 4.0), ("noise_class", 2.0)):
        for slot in st.own(field):
            where = st.per_value(slot, partial(_is_outside, last))
            if ops.any_of(where):
                out.add(rule, slot.source, slot.report, field, where, st.value(slot), st.nothing)


def _is_outside(last: float, value: Any) -> Any:
    return (value < 0.0) | (value > last)


def noise_class_mismatch(rule: Rule, st: Statements, out: Collector) -> None:
    """A: N <= LV - 3; B: LV - 3 < N <= LV; C: above LV; LV by class and nominal width, +1 for snow or extra load.

    Source: Regulation (EC) No 661/2009, Annex II C; Regulation (EU) 2020/740 (class limits from memory).  Where snow
    use or extra load is not known, both limits are accepted.
    """
    if not st.own("noise_class"):
        return
    ops = st.ops
    number = st.per_marking(_tire_class)
    stated_class = st.first("tire_class")
    number = ops.where(ops.known(stated_class) & (stated_class >= 0.0), stated_class, number)
    width = st.fact("section_width_mm")
    c1 = ops.where(width <= 185.0, 70.0, ops.where(width <= 245.0, 71.0, ops.where(width <= 275.0, 72.0, 74.0)))
    c1 = ops.where(ops.known(width), c1, st.nothing)
    limit = ops.where(number == 0.0, c1, ops.where(number == 1.0, 72.0, ops.where(number == 2.0, 73.0, st.nothing)))
    extra = _extra_load(st)
    snow = _snow(st)
    surely = ops.where((number == 0.0) & ((extra == 1.0) | (snow == 1.0)), 1.0, 0.0)
    perhaps = ops.where(number == 0.0, ops.where((extra == 0.0) & (snow == 0.0), 0.0, 1.0), 2.0)
    decibels = st.first("noise_db")
    lowest, highest = _class_at(ops, decibels, limit + perhaps), _class_at(ops, decibels, limit + surely)
    for slot in st.own("noise_class"):
        value = st.value(slot)
        valid = (value >= 0.0) & (value <= 2.0)
        where = valid & ((value < lowest) | (value > highest))
        out.could_not_tell(rule, ops.known(value) & ops.missing(highest))
        if ops.any_of(where):
            derived = ops.where(lowest == highest, lowest, st.nothing)
            out.add(rule, slot.source, slot.report, "noise_class", where, value, derived)


def _class_at(ops: Any, decibels: Any, limit: Any) -> Any:
    known = ops.known(decibels) & ops.known(limit)
    number = ops.where(decibels <= limit - 3.0, 0.0, ops.where(decibels <= limit, 1.0, 2.0))
    return ops.where(known, number, float("nan"))


def _extra_load(st: Statements) -> Any:
    """1 extra load, 0 standard, missing unknown."""
    ops = st.ops
    version = ops.either(st.fact("load_version"), st.first("load_version"))
    return ops.where(version >= 2.0, 1.0, ops.where(ops.known(version), 0.0, st.nothing))


def _snow(st: Statements) -> Any:
    """1 a snow tire by its marks or season, 0 surely none, missing unknown."""
    ops = st.ops
    said = (st.fact("severe_snow") == 1.0) | (st.first("severe_snow") == 1.0)
    none = (st.first("severe_snow") == 0.0) | (st.first("season") == 0.0)
    return ops.where(said, 1.0, ops.where(none, 0.0, st.nothing))


CHECKS = {
    "tire_class_mismatch": tire_class_mismatch,
    "label_class_invalid": label_class_invalid,
    "noise_class_mismatch": noise_class_mismatch,
}
