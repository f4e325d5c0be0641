"""Checks of widths, diameters and rim widths, where agreement is a band and not a value."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from auditor.judging.failures import Collector, Failure
from auditor.judging.rule_terms import family_in, tolerance_of
from auditor.judging.statements import Slot, Statements
from auditor.rulebook.rule import Rule
from auditor.trade.units import factor_between, unit_of

_SAME_IN = 0.01  # widths in inches have two decimals


def width_mismatch(rule: Rule, st: Statements, out: Collector) -> None:
    """The nominal width is exact; a width as measured lies between -5 % and +8 % of it.

    A nominal metric width ends in 5, a nominal inch width in a whole or half inch: a value that does not, or that is
    given in the other unit, can only be a measured one.
    """
    low, high = _measured_limits(rule, st)
    measurable = family_in(st, tuple(rule.limit("measured_families")))
    for field in rule.fields:
        nominal = st.fact("section_width_mm") / factor_between(field, "x_mm")
        if field.startswith("section_width"):
            for slot in st.slots.get(field, ()):
                where = _is_other_width(st, slot, nominal, low, high)
                if not slot.is_claim:
                    where = where & st.ops.no(st.stands_in(field))
                _add(rule, st, out, slot, where, nominal)
        else:
            for slot in st.own(field):
                where = measurable & _is_outside(st, slot, nominal, low, high)
                _add(rule, st, out, slot, where, nominal)


def _is_other_width(st: Statements, slot: Slot, nominal: Any, low: float, high: float) -> Any:
    """Whether a width is neither the nominal one nor one as measured."""
    ops, value = st.ops, st.value(slot)
    where = ops.magnitude(value - nominal) > tolerance_of(st, "width", unit_of(slot.field))
    if not ops.any_of(where):
        return where
    if unit_of(slot.field) == "mm":  # a column of mm has sizes in inches as they name themselves: 10.50, 12.5
        where = where & ops.no(_names_inches(st, value))
    in_band = (value >= nominal * low) & (value <= nominal * high) & ops.no(_looks_nominal(st, slot))
    return where & ops.no(in_band)


def _names_inches(st: Statements, value: Any) -> Any:
    """Whether a number is the width of a size in inches, in inches."""
    return st.per_marking(_is_in_inches) & (st.ops.magnitude(value - st.fact("section_width_in")) < _SAME_IN)


def _is_outside(st: Statements, slot: Slot, nominal: Any, low: float, high: float) -> Any:
    """Whether a width as measured is outside the band, whatever its last digit hides."""
    ops, value, slack = st.ops, st.value(slot), st.half_step(slot)
    inside = (value + slack >= nominal * low) & (value - slack <= nominal * high)
    return ops.known(value) & ops.known(nominal) & ops.no(inside)


def _measured_limits(rule: Rule, st: Statements) -> tuple[float, float]:
    limits = st.book.tolerances[rule.tolerance]
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
    special_use = _is_special_use(st)
    low, high = (
        ops.where(special_use, st.fact(f"diameter_special_{end}_mm"), st.per_marking(limit))
        if ops.any_of(special_use)
        else st.per_marking(limit)
        for end, limit in (("min", _lowest), ("max", _highest))
    )
    beyond_mm, rounding = tolerance_of(st, "diameter_beyond", "mm"), tolerance_of(st, rule.tolerance, "mm")
    for field in rule.fields:
        for slot in st.slots.get(field, ()):
            factor = factor_between(field, "x_mm")
            value, slack = st.value(slot) * factor, st.half_step(slot) * factor + rounding
            off = ops.larger(low - slack - value, value - high - slack)
            outside = off > 0.0
            derived = st.fact("overall_diameter_mm") / factor
            _add(rule, st, out, slot, outside & (off > beyond_mm), derived)
            _add(rule, st, out, slot, outside & (off <= beyond_mm), derived, slight=True)


def _is_special_use(st: Statements) -> Any:
    """Whether a title says A/T or M/T, or a snow field says yes: the special-use limits then hold."""
    special = st.never
    for field in ("all_terrain", "mud_and_snow", "severe_snow"):
        for slot in st.slots.get(field, ()):
            special = special | st.per_value(slot, lambda value: value == 1.0)
    return special


def _lowest(ops: Any, fact: Callable[[str], Any]) -> Any:
    return ops.where(fact("special_use") == 1.0, fact("diameter_special_min_mm"), fact("diameter_min_mm"))


def _highest(ops: Any, fact: Callable[[str], Any]) -> Any:
    return ops.where(fact("special_use") == 1.0, fact("diameter_special_max_mm"), fact("diameter_max_mm"))


def rim_width_out_of_range(rule: Rule, st: Statements, out: Collector) -> None:
    """Smallest <= measuring <= largest rim width, and rim width over nominal width between 0.60 and 1.05.

    Common practice, no source: the tables of approved rim widths are not free.
    """
    ops = st.ops
    if not any(st.own(field) for field in rule.fields):
        return
    width_in = st.fact("section_width_mm") / factor_between("x_in", "x_mm")
    # Rims of motorcycles, farm machines, karts and the like have other widths: only their order is judged.
    road = family_in(st, tuple(rule.limit("share_families"))) & ops.no(
        st.fact("rim_diameter_in") < rule.limit("share_from_rim_in")
    )
    width_in = ops.where(road, width_in, st.nothing)
    low, high, measuring = (st.first(field) for field in rule.fields)
    odd_low, odd_high, odd_measuring = (_is_unlikely(rule, ops, width, width_in) for width in (low, high, measuring))
    one_odd = odd_low | odd_high | odd_measuring
    crossed = (low > high) & ops.no(one_odd)
    # Where smallest and largest stand the right way round, the measuring rim is the odd one.
    outside = ((measuring < low) | (measuring > high)) & ops.no(one_odd) & ops.no(crossed)
    crossed_low = crossed & ((low > measuring) | ops.missing(measuring))
    odd = (odd_low | crossed_low, odd_high | (crossed & ops.no(crossed_low)), odd_measuring | outside)
    for field, where in zip(rule.fields, odd, strict=True):
        for slot in st.own(field):
            _add(rule, st, out, slot, ops.known(st.value(slot)) & where, st.nothing)


def _is_unlikely(rule: Rule, ops: Any, value: Any, width_in: Any) -> Any:
    share, rounding = ops.ratio(value, width_in), rule.limit("rounding")
    return (share < rule.limit("lowest_share") - rounding) | (share > rule.limit("highest_share") + rounding)


def _add(
    rule: Rule, st: Statements, out: Collector, slot: Slot, where: Any, derived: Any, slight: bool = False
) -> None:
    if st.ops.any_of(where):
        value = st.value(slot)
        out.add(Failure.of(rule, slot, where, value, derived, slight=slight, occurrence=slot.occurrence))


CHECKS = {
    "width_mismatch": width_mismatch,
    "overall_diameter_off": overall_diameter_off,
    "rim_width_out_of_range": rim_width_out_of_range,
}
