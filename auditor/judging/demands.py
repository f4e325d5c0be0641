"""Rules that look at a field by itself: it has to be filled, one of some values, within limits, or of a pattern.

Blank cells are the business of `required` alone, and cells that cannot be read that of the rule for those.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from typing import Any

from auditor.judging.failures import Collector, Failure
from auditor.judging.rule_terms import in_force
from auditor.judging.statements import Statements, cell_fields
from auditor.quantities.cell_values import marking_text, parse_short_cell
from auditor.rulebook.book import RuleBook
from auditor.rulebook.demands import Demand, When
from auditor.rulebook.rule import Rule

_SLACK = 1e-6  # of a value: what its way through another unit may leave


def demand_rule(rule: Rule, st: Statements, out: Collector) -> None:
    """Runs one rule that makes a demand."""
    demand = rule.demand
    assert demand is not None
    where = _where(rule, demand, st)
    if where is None or st.ops.any_of(where):
        _RUN[rule.kind](rule, demand, st, out, where)


def is_measured(book: RuleBook, field: str) -> bool:
    """Whether the cells of a field are read as numbers or codes."""
    return field in cell_fields() or field in book.own.measured


def value_of(book: RuleBook, field: str, text: str) -> float:
    """What a cell of a field says as a number, NaN where it says none; for the values that rules name."""
    parsed = parse_short_cell(text, field, book.tables, own=book.own.measured.get(field))
    return next((said.value for said in parsed.said if said.field == field), float("nan"))


def _where(rule: Rule, demand: Demand, st: Statements) -> Any:
    """Where the rule applies: its families, its policy and its conditions; None for everywhere."""
    mask = in_force(rule, st)
    for one in demand.when:
        holds = _holds(one, st)
        mask = holds if mask is None else mask & holds
    return mask


def _holds(one: When, st: Statements) -> Any:
    if not one.equals:
        filled = _filled(one.field, st)
        return filled if one.filled else st.ops.no(filled)
    if is_measured(st.book, one.field):
        wanted = [value_of(st.book, one.field, text) for text in one.equals]
        hit = st.never
        for slot in st.own(one.field):
            hit = hit | _is_among(st, st.value(slot), wanted)
        return hit
    source = st.source_of(one.field)
    return st.never if source is None else st.texts_pass(source, _among_texts(one.equals))


def _filled(field: str, st: Statements) -> Any:
    """Whether a cell of the field holds anything, or another cell states its value."""
    filled = st.never
    for slot in st.own(field):
        filled = filled | st.ops.known(st.value(slot))
    source = st.source_of(field)
    if source is not None:
        filled = filled | (st.filled(source) if is_measured(st.book, field) else st.texts_pass(source, _says_something))
    return filled


def _required(rule: Rule, demand: Demand, st: Statements, out: Collector, where: Any) -> None:
    missing = st.ops.no(st.never)
    for field in (demand.field, *demand.instead):
        missing = missing & st.ops.no(_filled(field, st))
    source = st.source_of(demand.field)
    _add(rule, st, out, -1 if source is None else source.position, missing, where)


def _one_of(rule: Rule, demand: Demand, st: Statements, out: Collector, where: Any) -> None:
    if is_measured(st.book, demand.field):
        wanted = [value_of(st.book, demand.field, text) for text in demand.values]
        _of_values(rule, st, out, where, lambda value: st.ops.no(_is_among(st, value, wanted)))
    else:
        _of_texts(rule, st, out, where, _not_among(demand.values))


def _range(rule: Rule, demand: Demand, st: Statements, out: Collector, where: Any) -> None:
    ends = [
        (value_of(st.book, demand.field, text), sign) for text, sign in ((demand.least, 1), (demand.most, -1)) if text
    ]

    def outside(value: Any) -> Any:
        hit = st.never
        for end, sign in ends:
            hit = hit | ((end - value) * sign > _SLACK * max(1.0, abs(end)))
        return hit

    _of_values(rule, st, out, where, outside)


def _pattern(rule: Rule, demand: Demand, st: Statements, out: Collector, where: Any) -> None:
    _of_texts(rule, st, out, where, _unlike(demand.matches, demand.forbids))


_RUN: dict[str, Callable[[Rule, Demand, Any, Collector, Any], None]] = {
    "required": _required,
    "one-of": _one_of,
    "range": _range,
    "pattern": _pattern,
}


def _of_values(rule: Rule, st: Statements, out: Collector, where: Any, fails: Callable[[Any], Any]) -> None:
    """Judges the field's values as numbers; a cell that holds none leaves the rule unable to tell."""
    assert rule.demand is not None
    ops = st.ops
    told = st.never
    for slot in st.own(rule.demand.field):
        value = st.value(slot)
        known = value >= 0.0  # a code that its table does not hold is below; another rule names it
        told = told | known
        _add(rule, st, out, slot.source, known & fails(value), where)
    source = st.source_of(rule.demand.field)
    if source is not None:
        untold = st.filled(source) & ops.no(told)
        out.could_not_tell(rule, untold if where is None else untold & where)


def _of_texts(rule: Rule, st: Statements, out: Collector, where: Any, fails: Callable[[str], bool]) -> None:
    """Judges the texts of the field's cells."""
    assert rule.demand is not None
    source = st.source_of(rule.demand.field)
    if source is not None:
        _add(rule, st, out, source.position, st.texts_pass(source, fails), where)


def _add(rule: Rule, st: Statements, out: Collector, source: int, failing: Any, where: Any) -> None:
    assert rule.demand is not None
    if where is not None:
        failing = failing & where
    if st.ops.any_of(failing):
        field = rule.demand.field
        out.add(Failure(rule, source, field, field, failing, st.nothing, st.nothing))


def _is_among(st: Statements, value: Any, wanted: list[float]) -> Any:
    hit = st.never
    for one in wanted:
        hit = hit | (st.ops.magnitude(value - one) <= _SLACK * max(1.0, abs(one)))
    return hit


def _says_something(text: str) -> bool:
    return marking_text(text) != ""


@lru_cache(maxsize=256)
def _among_texts(values: tuple[str, ...]) -> Callable[[str], bool]:
    """Whether a text is one of some, whatever its case."""
    known = frozenset(value.strip().casefold() for value in values)
    return lambda text: text.casefold() in known


@lru_cache(maxsize=256)
def _not_among(values: tuple[str, ...]) -> Callable[[str], bool]:
    among = _among_texts(values)
    return lambda text: marking_text(text) != "" and not among(text)


@lru_cache(maxsize=256)
def _unlike(matches: str, forbids: str) -> Callable[[str], bool]:
    """Whether a text is not as a pattern has it, or holds what it must not."""
    whole = re.compile(matches or ".*", re.DOTALL if not matches else 0)
    part = re.compile(forbids) if forbids else None
    return lambda text: (
        marking_text(text) != ""
        and (whole.fullmatch(text) is None or (part is not None and part.search(text) is not None))
    )
