"""Checks of widths, diameters and rim widths, where agreement is a band and not a value."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from auditor.judging.rule_terms import Collector, st_family_in
from auditor.judging.statements import Slot, Statements
from auditor.rulebook.book import Rule
from auditor.trade.units import MM_PER_INCH, unit_of

_MEASURABLE = (
    "metric",
    "p-metric",
    "lt-metric",
    "flotation",
    "commercial",
    "special-trailer",
    "temporary-spare",
    "truck-metric",
)


def width_mismatch(rule: Rule, st: Statements, out: Collector) -> None:
    """The nominal width is exact; a width as measured lies between -5 % and +8 % of it.

    A nominal metric width ends in 5, a nominal inch width in a whole or half inch: a value that does not, or that is
    given in the other unit, can only be a measured one.
    """
    ops = st.ops
    low, high = _measured_limits(st)
    for field in ("section_width_mm", "section_width_in"):
        for slot in st.slots.get(field, ()):
            value = st.value(slot)
            nominal = st.fact("section_width_mm")
            if unit_of(field) == "in":
                nominal = nominal / MM_PER_INCH
            where = ops.magnitude(value - nominal) > (0.6 if unit_of(field) == "mm" else 0.03)
            if not ops.any_of(where):
                continue
            in_band = (value >= nominal * low) & (value <= nominal * high) & ops.no(_looks_nominal(st, slot))
            where = where & ops.no(in_band)
            _add(rule, st, out, slot, where, value, nominal)
    measurable = st_family_in(st, _MEASURABLE)
    for field in ("measured_width_mm", "measured_width_in"):
        for slot in st.own(field):
            value = st.value(slot)
            nominal = st.fact("section_width_mm")
            if unit_of(field) == "in":
                nominal = nominal / MM_PER_INCH
            slack = st.half_step(slot)
            inside = (value + slack >= nominal * low) & (value - slack <= nominal * high)
            where = measurable & ops.known(value) & ops.known(nominal) & ops.no(inside)
            _add(rule, st, out, slot, where, value, nominal)


def _measured_limits(st: Statements) -> tuple[float, float]:
    limits = st.book.tolerances["width_measured"]
    return 1.0 - float(limits["percent_below"]) / 100.0, 1.0 + float(limits["percent_above"]) / 100.0


def _looks_nominal(st: Statements, slot: Slot) -> Any:
    """Whether a stated width is written as sizes write it, so that it means the nominal width."""
    ops = st.ops
    inch_size = st.per_marking(_is_in_inches)
    if unit_of(slot.field) == "mm":
        return st.per_value(slot, partial(_ends_in_five, ops)) & ops.no(inch_size)
    return st.per_value(slot, partial(_is_half, ops)) & inch_size


def _is_in_inches(ops: Any, fact: Callable[[str], Any]) -> Any:
    return fact("width_is_inch") == 1.0


def _ends_in_five(ops: Any, value: Any) -> Any:
    return ops.magnitude(value / 10.0 - ops.floor(value / 10.0) - 0.5) < 0.001


def _is_half(ops: Any, value: Any) -> Any:
    return ops.magnitude(value * 2.0 - ops.nearest(value * 2.0)) < 0.001


def overall_diameter_off(rule: Rule, st: Statements, out: Collector) -> None:
    """The overall diameter lies in the standard's envelope; a little beyond it is minor, more is major."""
    ops = st.ops
    rough = _said_rough(st)
    low, high = (
        ops.where(rough, st.fact(f"diameter_special_{end}_mm"), st.per_marking(limit))
        if ops.any_of(rough)
        else st.per_marking(limit)
        for end, limit in (("min", _lowest), ("max", _highest))
    )
    beyond_mm = float(st.book.tolerances["diameter_beyond"]["mm"])
    for field in ("overall_diameter_mm", "overall_diameter_in"):
        for slot in st.slots.get(field, ()):
            stated = st.value(slot)
            factor = MM_PER_INCH if unit_of(field) == "in" else 1.0
            value, slack = stated * factor, st.half_step(slot) * factor + 0.51
            off = ops.larger(low - slack - value, value - high - slack)
            outside = off > 0.0
            derived = st.fact("overall_diameter_mm") / factor
            _add(rule, st, out, slot, outside & (off > beyond_mm), stated, derived)
            _add(rule, st, out, slot, outside & (off <= beyond_mm), stated, derived, grade="minor")


def _said_rough(st: Statements) -> Any:
    """Whether a title says A/T or M/T, or a snow field says yes: the special-use limits then hold."""
    said = st.never
    for field in ("all_terrain", "mud_and_snow", "severe_snow"):
        for slot in st.slots.get(field, ()):
            said = said | st.per_value(slot, lambda value: value == 1.0)
    return said


def _lowest(ops: Any, fact: Callable[[str], Any]) -> Any:
    return ops.where(fact("special_use") == 1.0, fact("diameter_special_min_mm"), fact("diameter_min_mm"))


def _highest(ops: Any, fact: Callable[[str], Any]) -> Any:
    return ops.where(fact("special_use") == 1.0, fact("diameter_special_max_mm"), fact("diameter_max_mm"))


def rim_width_out_of_range(rule: Rule, st: Statements, out: Collector) -> None:
    """Smallest <= measuring <= largest rim width, and rim width over nominal width between 0.60 and 1.05.

    Common practice, no source: the tables of approved rim widths are not free.
    """
    ops = st.ops
    if not any(st.own(field) for field in ("rim_width_min_in", "rim_width_max_in", "measuring_rim_in")):
        return
    width_in = st.fact("section_width_mm") / MM_PER_INCH
    low, high, measuring = (
        st.first("rim_width_min_in"),
        st.first("rim_width_max_in"),
        st.first("measuring_rim_in"),
    )
    odd_low, odd_high, odd_measuring = (_unlikely(ops, width, width_in) for width in (low, high, measuring))
    one_odd = odd_low | odd_high | odd_measuring
    crossed = (low > high) & ops.no(one_odd)
    # Where smallest and largest stand the right way round, the measuring rim is the odd one.
    outside = ((measuring < low) | (measuring > high)) & ops.no(one_odd) & ops.no(crossed)
    crossed_low = crossed & ((low > measuring) | ops.missing(measuring))
    for field, odd in (
        ("rim_width_min_in", odd_low | crossed_low),
        ("rim_width_max_in", odd_high | (crossed & ops.no(crossed_low))),
        ("measuring_rim_in", odd_measuring | outside),
    ):
        for slot in st.own(field):
            value = st.value(slot)
            _add(rule, st, out, slot, ops.known(value) & odd, value, st.nothing)


def _unlikely(ops: Any, value: Any, width_in: Any) -> Any:
    share = ops.ratio(value, width_in)
    return (share < 0.60 - 0.02) | (share > 1.05 + 0.02)


def _add(
    rule: Rule,
    st: Statements,
    out: Collector,
    slot: Slot,
    where: Any,
    value: Any,
    derived: Any,
    grade: str | None = None,
) -> None:
    if st.ops.any_of(where):
        out.add(
            rule, slot.source, slot.report, slot.field, where, value, derived, grade=grade, occurrence=slot.occurrence
        )


CHECKS = {
    "width_mismatch": width_mismatch,
    "overall_diameter_off": overall_diameter_off,
    "rim_width_out_of_range": rim_width_out_of_range,
}
