"""Checks of the EU label: tire class, label classes and the noise class against the noise value."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from math import inf
from typing import Any

from auditor.judging.failures import Collector, Failure
from auditor.judging.rule_terms import is_of_family
from auditor.judging.statements import FactFunction, Statements
from auditor.judging.suspicion import prefix_left_out
from auditor.rulebook.rule import Rule
from auditor.trade.codes import TIRE_CLASSES


def _tire_class_of(rule: Rule) -> FactFunction:
    limits = rule.limit
    return _tire_class(
        tuple(limits("passenger_families")),
        tuple(limits("commercial_families")),
        limits("highest_c2_index"),
        limits("lowest_c2_kmh"),
    )


@cache
def _tire_class(
    passenger_families: tuple[str, ...], commercial_families: tuple[str, ...], highest_index: float, lowest_kmh: float
) -> FactFunction:
    """The number of the tire class that surely holds; missing where none could be told.

    Source: Regulation (EC) No 661/2009, Article 8: C2 with a single index up to 121 and symbol N or faster, C3 with
    122 or more, or up to 121 and M or slower.
    """

    def tire_class(ops: Any, fact: Callable[[str], Any]) -> Any:
        passenger = is_of_family(passenger_families)(ops, fact)
        commercial = is_of_family(commercial_families)(ops, fact)
        index, speed = fact("load_index"), fact("speed_kmh")
        light = commercial & (index <= highest_index) & (speed >= lowest_kmh)
        heavy = commercial & ((index > highest_index) | ((index <= highest_index) & (speed < lowest_kmh)))
        nothing = ops.constant(ops.NAN, index)
        return ops.where(passenger, 0.0, ops.where(light, 1.0, ops.where(heavy, 2.0, nothing)))

    return tire_class


def tire_class_mismatch(rule: Rule, st: Statements, out: Collector) -> None:
    """The tire class that load index and speed symbol make it."""
    ops = st.ops
    slots = [slot for field in rule.fields for slot in st.own(field)]
    if not slots:
        return
    number = st.per_marking(_tire_class_of(rule))
    told = ops.known(number) & ops.no(prefix_left_out(st))
    for slot in slots:
        value = st.value(slot)
        stated = ops.known(value)
        where = told & stated & (value != number)
        out.could_not_tell(rule, stated & ops.no(told))
        if ops.any_of(where):
            out.add(Failure.of(rule, slot, where, value, number))


def label_class_invalid(rule: Rule, st: Statements, out: Collector) -> None:
    """Classes A to E for fuel and wet grip, A to C for noise (Regulation (EU) 2020/740)."""
    ops = st.ops
    for field, classes in rule.limit("classes").items():
        for slot in st.own(field):
            where = st.per_value(slot, partial(_is_no_class, classes))
            if ops.any_of(where):
                out.add(Failure.of(rule, slot, where, st.value(slot), st.nothing))


def _is_no_class(classes: float, value: Any) -> Any:
    return (value < 0.0) | (value >= classes)


def noise_class_mismatch(rule: Rule, st: Statements, out: Collector) -> None:
    """A: N <= LV - 3; B: LV - 3 < N <= LV; C: above LV; LV by class, use and width, more for snow or extra load.

    Source: Regulation (EC) No 661/2009, Annex II C; Regulation (EU) 2020/740 (class limits from memory).  Where snow,
    extra load or the use of a C2 or C3 tire is not known, every class that one of them makes is accepted.
    """
    slots = [slot for field in rule.fields for slot in st.own(field)]
    if not slots:
        return
    ops = st.ops
    number = st.per_marking(_tire_class_of(rule))
    stated_class = st.first("tire_class")
    number = ops.where(ops.known(stated_class) & (stated_class >= 0.0), stated_class, number)
    least, most = _limits_db(rule, st, number)
    decibels, below = st.first("noise_db"), rule.limit("below_limit_db")
    lowest, highest = (_class_at(ops, decibels, limit, below) for limit in (most, least))
    for slot in slots:
        value = st.value(slot)
        valid = (value >= 0.0) & (value <= 2.0)
        where = valid & ((value < lowest) | (value > highest))
        out.could_not_tell(rule, ops.known(value) & ops.missing(highest))
        if ops.any_of(where):
            derived = ops.where(lowest == highest, lowest, st.nothing)
            out.add(Failure.of(rule, slot, where, value, derived))


def _limits_db(rule: Rule, st: Statements, number: Any) -> tuple[Any, Any]:
    """The lowest and the highest noise limit that a tire of a class may have, by all that is known of it."""
    ops, width = st.ops, st.fact("section_width_mm")
    extra, snow = _extra_load(st), _snow(st)
    least = most = st.nothing
    for row in st.book.tables.noise_limits:
        of_class = number == float(TIRE_CLASSES.index(row.tire_class))
        if row.width_over_mm > 0 or row.width_up_to_mm < inf:
            of_class = of_class & (width > row.width_over_mm) & (width <= row.width_up_to_mm)
        for_snow = ops.where(snow == 1.0, row.snow_extra_db, 0.0)
        surely = ops.larger(for_snow, ops.where(extra == 1.0, row.extra_load_extra_db, 0.0))
        if row.use == "traction":  # not known to be for traction: no further allowance is guessed beside it
            perhaps = surely
        else:
            perhaps = ops.larger(
                ops.where(snow == 0.0, 0.0, row.snow_extra_db), ops.where(extra == 0.0, 0.0, row.extra_load_extra_db)
            )
            if row.tire_class != TIRE_CLASSES[0]:  # only the type approval tells whether it is for special use
                perhaps = ops.larger(perhaps, rule.limit("special_use_db"))
        least = ops.where(of_class, ops.smaller(least, row.limit_db + surely), least)
        most = ops.where(of_class, ops.larger(most, row.limit_db + perhaps), most)
    return least, most


def _class_at(ops: Any, decibels: Any, limit: Any, below: float) -> Any:
    known = ops.known(decibels) & ops.known(limit)
    number = ops.where(decibels <= limit - below, 0.0, ops.where(decibels <= limit, 1.0, 2.0))
    return ops.where(known, number, ops.NAN)


def _extra_load(st: Statements) -> Any:
    """1 extra load, 0 standard, missing unknown."""
    ops = st.ops
    version = ops.first_known(st.fact("load_version"), st.first("load_version"))
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
