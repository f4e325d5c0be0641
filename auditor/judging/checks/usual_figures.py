"""Checks of quantities against what tires of the kind have: tread depth, weight, revolutions, dual load.

What is usual is common practice, so these rules find nothing above minor.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, lru_cache
from typing import Any

from auditor.judging.failures import Collector, Failure
from auditor.judging.rule_terms import fact_missing
from auditor.judging.statements import FactFunction, Statements
from auditor.rulebook.rule import Rule
from auditor.trade.family import FAMILY_NUMBER
from auditor.trade.units import factor_between

Ranges = tuple[tuple[str, tuple[float, float]], ...]


def tread_depth_implausible(rule: Rule, st: Statements, out: Collector) -> None:
    """A tread depth that new tires of the family do not have."""
    _outside(rule, st, out, "x_mm", None)


def weight_implausible(rule: Rule, st: Statements, out: Collector) -> None:
    """A weight out of all proportion to the load that a tire of the family carries."""
    _outside(rule, st, out, "x_kg", st.fact("load_single_kg"))


def _outside(rule: Rule, st: Statements, out: Collector, base: str, of: Any) -> None:
    """The first cell of each listing outside of the family's range, in the base unit, or as a share of a fact."""
    if not any(st.own(field) for field in rule.fields):
        return
    ops, seen = st.ops, st.never
    low, high = (st.per_marking(limit) for limit in range_of(rule, "usual"))
    for field in rule.fields:
        factor = factor_between(field, base)
        for slot in st.own(field):
            value = st.value(slot)
            amount = value * factor if of is None else ops.ratio(value * factor, of)
            where = ((amount < low) | (amount > high)) & ops.no(seen)
            seen = seen | where
            if ops.any_of(where):
                out.add(Failure.of(rule, slot, where, value, st.nothing))


@lru_cache(maxsize=64)
def range_of(rule: Rule, name: str) -> tuple[FactFunction, FactFunction]:
    """The lower and the upper end of a limit that a rule has by size family."""
    ranges = tuple((family, (low, high)) for family, (low, high) in rule.limit(name).items())
    return _limit(ranges, 0), _limit(ranges, 1)


@cache
def _limit(ranges: Ranges, end: int) -> FactFunction:
    """The lower or upper end of the range of a marking's family; missing where it has none."""

    def limit(ops: Any, fact: Callable[[str], Any]) -> Any:
        limits = [ops.NAN] * len(FAMILY_NUMBER)
        for family, of_family in ranges:
            limits[int(FAMILY_NUMBER[family])] = of_family[end]
        return ops.look_up(limits, fact("family"))

    return limit


def revolutions_unlike_diameter(rule: Rule, st: Statements, out: Collector) -> None:
    """Revolutions beside a stated diameter, where the size says neither: 1,000,000 / (3.05 x D in mm) per km."""
    ops = st.ops
    diameter = st.nothing
    for field in ("overall_diameter_mm", "overall_diameter_in"):
        diameter = ops.first_known(diameter, st.first(field) * factor_between(field, "x_mm"))
    if not ops.any_of(ops.known(diameter)):
        return
    # One that does not reach over the rim is wrong itself, and says nothing of the revolutions.
    within_rim = diameter < st.fact("rim_diameter_mm") + rule.limit("least_over_rim_mm")
    unsettled = fact_missing(st, "revs_per_km") & ops.no(within_rim)
    for field in rule.fields:
        usual = ops.ratio(1e6, diameter * rule.limit("circumference")) * factor_between("x_km", field)
        for slot in st.own(field):
            value = st.value(slot)
            off = ops.magnitude(value - usual)
            where = unsettled & (off > usual * rule.limit("share"))
            if ops.any_of(where):
                out.add(Failure.of(rule, slot, where, value, usual))


def dual_load_unlike_single(rule: Rule, st: Statements, out: Collector) -> None:
    """A dual load far below the single one, where no index settles either."""
    ops = st.ops
    unsettled = fact_missing(st, "load_single_kg") & fact_missing(st, "load_dual_kg")
    single = ops.first_known(st.first("max_load_kg"), st.first("max_load_lb") * factor_between("x_lb", "x_kg"))
    for field in rule.fields:
        least = single * factor_between("x_kg", field) * rule.limit("lowest_share")
        for slot in st.own(field):
            value = st.value(slot)
            where = unsettled & (value < least)
            if ops.any_of(where):
                out.add(Failure.of(rule, slot, where, value, st.nothing))


CHECKS = {
    "tread_depth_implausible": tread_depth_implausible,
    "weight_implausible": weight_implausible,
    "revolutions_unlike_diameter": revolutions_unlike_diameter,
    "dual_load_unlike_single": dual_load_unlike_single,
}
