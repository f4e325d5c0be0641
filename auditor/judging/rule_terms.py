"""What rules of every kind share: where they apply, how wide their tolerances are, and who takes their hits."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, Protocol

from auditor.judging.statements import OfMarking, Statements
from auditor.rulebook.book import Rule
from auditor.trade.family import FAMILY_NUMBER

PASSENGER = ("metric", "p-metric", "temporary-spare")


class Collector(Protocol):
    """Takes the hits of rules; one implementation for scalars, one for arrays."""

    def add(
        self,
        rule: Rule,
        source: int,
        report: str,
        about: str,
        where: Any,
        stated: Any,
        derived: Any,
        *,
        graded_up: Any = None,
        grade: str | None = None,
        detail: Any = "",
        partner: int = -1,
        occurrence: int = 0,
    ) -> None:
        """Records that `rule` fails on a cell, for the listings where `where` is true.

        `about` is the field that the value speaks about, `raised` tells where the grade is the rule's higher one,
        `partner` is the other cell of a unit rule, `turn` the place of a claim among those of its field.
        """

    def could_not_tell(self, rule: Rule, where: Any) -> None:
        """Counts the listings for which a rule cannot tell."""


def scope(rule: Rule, st: Statements) -> Any:
    """Where a rule applies: by family, supplier and policy; None where it applies to all."""
    ops = st.ops
    mask = None
    if rule.families:
        mask = st_family_in(st, rule.families)
    if rule.not_families:
        other = ops.no(st_family_in(st, rule.not_families))
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
        hit = hit & st_family_in(st, families)
    return hit


def st_family_in(st: Statements, families: tuple[str, ...]) -> Any:
    """Whether the governing marking is of one of the families."""
    return st.per_marking(family_among(families))


@cache
def family_among(families: tuple[str, ...]) -> OfMarking:
    """Whether a marking is of one of the families; one function for each set of them."""
    numbers = [FAMILY_NUMBER[name] for name in families if name in FAMILY_NUMBER]

    def among(ops: Any, fact: Callable[[str], Any]) -> Any:
        family = fact("family")
        hit = ops.false(family)
        for number in numbers:
            hit = hit | (family == number)
        return hit

    return among


def unknown(st: Statements, name: str) -> Any:
    """Where the governing marking does not say something."""
    return st.per_marking(_misses(name))


@cache
def _misses(name: str) -> OfMarking:
    return lambda ops, fact: ops.missing(fact(name))


def band(st: Statements, name: str, unit: str, derived: Any) -> Any:
    """The half width of a tolerance around `derived`, in `unit`."""
    values = st.book.tolerances.get(name, {})
    absolute = float(values.get(unit, values.get("absolute", 0.0)))
    percent = values.get("percent")
    if percent is None:
        return absolute
    by_family = values.get("percent_in", {})
    share: Any = float(percent)
    if by_family:
        share = st.cached(("percent", name), lambda: _by_family(st, float(percent), by_family))
    return st.ops.larger(share / 100.0 * derived, absolute)


def _by_family(st: Statements, percent: float, by_family: dict[str, float]) -> Any:
    positions = [percent] * len(FAMILY_NUMBER)
    for name, value in by_family.items():
        if name in FAMILY_NUMBER:
            positions[int(FAMILY_NUMBER[name])] = float(value)
    return st.ops.either(st.ops.look_up(positions, st.fact("family")), st.ops.constant(percent, st.nothing))
