"""Checks of widths, diameters and rim widths, where agreement is a band and not a value."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from auditor.judging.failures import Collector, Failure, looks_like
from auditor.judging.rule_terms import family_in, tolerance_ends, tolerance_of
from auditor.judging.statements import Slot, Statements
from auditor.rulebook.rule import Rule
from auditor.trade.units import UNITS, factor_between, unit_of

_SAME_IN = 0.01  # widths in inches have two decimals
_LONGER = ("in", "cm")  # units that a diameter in a column of mm may have been written in
_WIDTHS = ("section_width_mm", "section_width_in", "measured_width_mm", "measured_width_in")


def width_mismatch(rule: Rule, st: Statements, out: Collector) -> None:
    """The nominal width is exact; a width as measured lies between -5 % and +8 % of it.

    A nominal metric width ends in 5, a nominal inch width in a whole or half inch: a value that does not, or that is
    given in the other unit, can only be a measured one.
    """
    low, high = tolerance_ends(st, rule.tolerance)
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


def diameter_within_rim(rule: Rule, st: Statements, out: Collector) -> None:
    """An overall diameter that hardly reaches over the rim, where no standard's limits of the size are known.

    It may be the width, in the other's cell or not, or have been written in another unit.
    """
    ops = st.ops
    slots = [slot for field in rule.fields for slot in st.own(field)]
    if not slots:
        return
    least_mm = st.fact("rim_diameter_mm") + rule.limit("least_over_rim_mm")
    unlimited = ops.missing(st.per_marking(_lowest))
    for slot in slots:
        factor, value = factor_between(slot.field, "x_mm"), st.value(slot)
        where = unlimited & ((value + st.half_step(slot)) * factor < least_mm)
        if not ops.any_of(where):
            continue
        if slot.field.endswith("_mm"):
            for unit in _LONGER:
                read_mm = value * UNITS[unit].factor
                here = where & _could_be_diameter(rule, st, read_mm)
                where = where & ops.no(here)
                _add(rule, st, out, slot, here, read_mm, basis=looks_like(unit))
        here = where & _is_about_width(rule, st, value * factor)
        swapped_mm = st.nothing
        for field in _WIDTHS:
            stated_mm = st.first(field) * factor_between(field, "x_mm")
            stated_mm = ops.where(_could_be_diameter(rule, st, stated_mm), stated_mm, ops.NAN)
            swapped_mm = ops.first_known(swapped_mm, stated_mm)
        _add(rule, st, out, slot, here, swapped_mm / factor, basis=looks_like("width"))
        _add(rule, st, out, slot, where & ops.no(here), st.nothing)


def _could_be_diameter(rule: Rule, st: Statements, diameter_mm: Any) -> Any:
    """Whether a tire of the governing marking may have an overall diameter, by its width."""
    height, width = (diameter_mm - st.fact("rim_diameter_mm")) / 2.0, st.fact("section_width_mm")
    low, high = rule.limit("heights_by_width")
    return (height >= width * low) & (height <= width * high)


def _is_about_width(rule: Rule, st: Statements, value_mm: Any) -> Any:
    low, high = tolerance_ends(st, rule.tolerance)
    width = st.fact("section_width_mm")
    return (value_mm >= width * low) & (value_mm <= width * high)


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


def _add(rule: Rule, st: Statements, out: Collector, slot: Slot, where: Any, derived: Any, **more: Any) -> None:
    if st.ops.any_of(where):
        out.add(Failure.of(rule, slot, where, st.value(slot), derived, occurrence=slot.occurrence, **more))


CHECKS = {
    "width_mismatch": width_mismatch,
    "overall_diameter_off": overall_diameter_off,
    "diameter_within_rim": diameter_within_rim,
    "rim_width_out_of_range": rim_width_out_of_range,
}
