"""What rules of every kind share: where they are in force, and how wide their tolerances are."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from auditor.judging.failures import Collector, Failure
from auditor.judging.statements import FactFunction, Slot, Statements
from auditor.rulebook.rule import Rule
from auditor.trade.family import FAMILY_NUMBER
from auditor.trade.units import KMH_PER_MPH


def in_force(rule: Rule, st: Statements) -> Any:
    """Where a rule is in force: by family, supplier and policy; None where it is everywhere."""
    ops = st.ops
    mask = None
    if rule.families:
        mask = family_in(st, rule.families)
    if rule.not_families:
        other = ops.no(family_in(st, rule.not_families))
        mask = other if mask is None else mask & other
    for selector in rule.off_for:
        if selector.suppliers or selector.families:
            hit = _selected(selector.suppliers, selector.families, st)
            mask = ops.no(hit) if mask is None else mask & ops.no(hit)
    if rule.only_for:
        inside = None
        for selector in rule.only_for:
            hit = _selected(selector.suppliers, selector.families, st)
            inside = hit if inside is None else inside | hit
        mask = inside if mask is None else mask & inside
    return mask


def _selected(suppliers: tuple[str, ...], families: tuple[str, ...], st: Statements) -> Any:
    hit = st.ops.no(st.never)
    if suppliers:
        hit = hit & st.supplier_in(suppliers)
    if families:
        hit = hit & family_in(st, families)
    return hit


def family_in(st: Statements, families: tuple[str, ...]) -> Any:
    """Whether the governing marking is of one of the families."""
    return st.per_marking(is_of_family(families))


@cache
def is_of_family(families: tuple[str, ...]) -> FactFunction:
    """Whether a marking is of one of the families; one function for each set of them."""
    numbers = [FAMILY_NUMBER[name] for name in families if name in FAMILY_NUMBER]

    def among(ops: Any, fact: Callable[[str], Any]) -> Any:
        family = fact("family")
        hit = ops.false(family)
        for number in numbers:
            hit = hit | (family == number)
        return hit

    return among


def fact_missing(st: Statements, name: str) -> Any:
    """Where the governing marking does not say something."""
    return st.per_marking(_misses(name))


@cache
def _misses(name: str) -> FactFunction:
    return lambda ops, fact: ops.missing(fact(name))


def tolerance_of(st: Statements, name: str, unit: str) -> Any:
    """A tolerance that is an amount in some unit, which may differ by family."""
    amount, by_family = st.book.tolerances.amount(name, unit)
    return st.per_marking(_amounts(amount, by_family)) if by_family else amount


def tolerance_width(st: Statements, name: str, unit: str, derived: Any) -> Any:
    """The half width of a tolerance around `derived`, in `unit`."""
    amount = tolerance_of(st, name, unit)
    if not st.book.tolerances.share(name).given:
        return amount
    return st.ops.larger(tolerance_share(st, name) * derived, amount)


def tolerance_ends(st: Statements, name: str) -> tuple[float, float]:
    """The least and the largest share of the right value, of a tolerance in percent below and above it."""
    percent = st.book.tolerances[name]
    return 1.0 - float(percent["percent_below"]) / 100.0, 1.0 + float(percent["percent_above"]) / 100.0


def is_allowed(st: Statements, name: str, unit: str, stated: Any, derived: Any) -> Any:
    """Whether an allowance explains a difference: a share of the value, or a mile taken for a round number of km."""
    ops, mile_km = st.ops, st.book.tolerances.get(name, {}).get("mile_km")
    if mile_km is None:
        return ops.magnitude(stated - derived) <= tolerance_width(st, name, unit, derived)
    if unit == "mph":
        converted = derived * KMH_PER_MPH / mile_km
    else:
        converted = ops.nearest(derived / KMH_PER_MPH) * mile_km
    return ops.magnitude(stated - converted) <= tolerance_of(st, name, unit)


def tolerance_share(st: Statements, name: str) -> Any:
    """A tolerance that is a share of the value, which may differ by family, and in sizes sold without their P or LT."""
    _, usual, by_family, without_p = st.book.tolerances.share(name)
    if not by_family and without_p == usual:
        return usual
    return st.per_marking(_amounts(usual, by_family, without_p))


@cache
def _amounts(usual: float, by_family: tuple[tuple[str, float], ...], without_p: float = -1.0) -> FactFunction:
    """The amount of a tolerance for a marking; without its letters where the other families say nothing of it."""
    amounts = [usual] * len(FAMILY_NUMBER)
    for name, value in by_family:
        if name in FAMILY_NUMBER:
            amounts[int(FAMILY_NUMBER[name])] = float(value)

    def of_marking(ops: Any, fact: Callable[[str], Any]) -> Any:
        family = fact("family")
        amount = ops.first_known(ops.look_up(amounts, family), ops.constant(usual, family))
        if without_p < 0.0:
            return amount
        return ops.where(
            fact("us_letters_left_out") == 1.0, ops.larger(amount, ops.constant(without_p, family)), amount
        )

    return of_marking


def add_on_first(
    rule: Rule, st: Statements, out: Collector, where: Any, report: Callable[[Statements, Slot], str] | None = None
) -> None:
    """A failure of the first statement of each listing among the rule's fields; `report` names its field."""
    ops, seen = st.ops, st.never
    for slot in (slot for field in rule.fields if ops.any_of(where) for slot in st.own(field)):
        value = st.value(slot)
        here = where & ops.known(value) & ops.no(seen)
        seen = seen | here
        if ops.any_of(here):
            named = slot.report if report is None else report(st, slot)
            out.add(Failure(rule, slot.source, named, slot.field, here, value, st.nothing))
