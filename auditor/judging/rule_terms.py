"""What rules of every kind share: where they are in force, and how wide their tolerances are."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from auditor.judging.failures import Collector, Failure
from auditor.judging.statements import FactFunction, Slot, Statements
from auditor.rulebook.rule import Rule
from auditor.trade.family import FAMILY_NUMBER


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


def tolerance_of(st: Statements, name: str, unit: str) -> float:
    """A tolerance that is an amount in some unit."""
    values = st.book.tolerances.get(name, {})
    return float(values.get(unit, values.get("absolute", 0.0)))


def tolerance_width(st: Statements, name: str, unit: str, derived: Any) -> Any:
    """The half width of a tolerance around `derived`, in `unit`."""
    values = st.book.tolerances.get(name, {})
    absolute = float(values.get(unit, values.get("absolute", 0.0)))
    if values.get("percent") is None:
        return absolute
    return st.ops.larger(tolerance_share(st, name) * derived, absolute)


def tolerance_share(st: Statements, name: str) -> Any:
    """A tolerance that is a share of the value, which may differ by family."""
    values = st.book.tolerances.get(name, {})
    percent, by_family = float(values.get("percent", 0.0)), values.get("percent_in")
    if not by_family:
        return percent / 100.0
    return st.cached(("share", name), lambda: _by_family(st, percent, by_family) / 100.0)


def _by_family(st: Statements, percent: float, by_family: dict[str, float]) -> Any:
    positions = [percent] * len(FAMILY_NUMBER)
    for name, value in by_family.items():
        if name in FAMILY_NUMBER:
            positions[int(FAMILY_NUMBER[name])] = float(value)
    return st.ops.first_known(st.ops.look_up(positions, st.fact("family")), st.ops.constant(percent, st.nothing))


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
