"""The clause that stands for {detail} in a rule's sentence, as the rule's table has it.

A clause names what it is made of, so that a feed's clauses are made once per distinct combination of just that.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache, partial
from string import Formatter
from typing import Any, NamedTuple

from auditor.judging.failures import Basis
from auditor.rulebook.book import RuleBook
from auditor.rulebook.rule import Clause, Condition, Rule
from auditor.trade.facts import FACT_POSITION
from auditor.trade.units import factor_between, unit_of

FACT = "fact "  # begins the name of a piece that is a number of the marking
# Pieces that are texts of the finding: its derived value bare and with its unit, what is stated, the statements that
# differ, and the words of the marking.
BARE = "bare derived"
_TEXTS = ("derived", "stated", "differ")
_COLUMNS = frozenset({"derived", "stated", "marking", "size", "load_index", "speed_symbol", "load_range", "rim"})
_WORDS = ("marking", "size", "load_index", "speed_symbol", "load_range", "rim")


class Detail(NamedTuple):
    """A clause to be made, and what it is made of."""

    needs: tuple[str, ...]
    make: Callable[..., str]
    plain: str = ""  # the clause itself, where it is always said and made of texts alone


def detail_of(rule: Rule, about: str, basis: Basis, book: RuleBook) -> Detail | None:
    """The clause of a rule for values of a field; None where its table has none."""
    if not rule.detail:
        return None
    clauses, needs = _fitting(rule.detail, about, basis.kind)
    numbers = {**book.tolerances.get(rule.tolerance, {}), **rule.limits}
    says = clauses[0].says if clauses else ""
    plain = says if set(_placeholders(says)) == set(needs) <= _COLUMNS else ""
    return Detail(needs, partial(_said, clauses, needs, numbers), plain)


@cache
def _fitting(detail: tuple[Clause, ...], about: str, kind: str) -> tuple[tuple[Clause, ...], tuple[str, ...]]:
    """The clauses that may be said of a field, up to the first that has no further condition, and what they need."""
    clauses: list[Clause] = []
    needs: dict[str, None] = {}
    for clause in detail:
        if clause.basis != kind or (clause.fields and about not in clause.fields):
            continue
        clauses.append(clause)
        needs.update(dict.fromkeys(_needs(clause)))
        if clause.derived is None and not clause.stated_like and not clause.where:
            break
    return tuple(clauses), tuple(needs)


def _needs(clause: Clause) -> list[str]:
    needs = [FACT + condition.fact for condition in clause.where]
    if clause.derived is not None:
        needs.append(BARE)
    if clause.stated_like:
        needs.append("stated")
    for name in _placeholders(clause.says):
        if name in _TEXTS or name in _WORDS:
            needs.append(name)
        elif (base := _fact_behind(name)) is not None:
            needs.append(FACT + base)
    return needs


@cache
def _placeholders(says: str) -> tuple[str, ...]:
    return tuple(name for _, name, _, _ in Formatter().parse(says) if name)


@cache
def _fact_behind(name: str) -> str | None:
    """The fact that a placeholder shows, in its own unit or another: `diameter_min_in` shows `diameter_min_mm`."""
    if name in FACT_POSITION:
        return name
    unit = unit_of(name)
    stem = name.removesuffix(unit)
    return next(
        (fact for fact in FACT_POSITION if unit and unit_of(fact) and fact.removesuffix(unit_of(fact)) == stem), None
    )


def _said(clauses: tuple[Clause, ...], needs: tuple[str, ...], numbers: Mapping[str, Any], *pieces: Any) -> str:
    given = dict(zip(needs, pieces, strict=True))
    for clause in clauses:
        if _fits(clause, given, numbers):
            return clause.says.format(**{name: _shown(name, given, numbers) for name in _placeholders(clause.says)})
    return ""


def _fits(clause: Clause, given: Mapping[str, Any], numbers: Mapping[str, Any]) -> bool:
    if clause.derived is not None and given[BARE] != clause.derived:
        return False
    if clause.stated_like and re.fullmatch(clause.stated_like, given["stated"]) is None:
        return False
    return all(_holds(condition, given[FACT + condition.fact], numbers) for condition in clause.where)


def _holds(condition: Condition, value: float, numbers: Mapping[str, Any]) -> bool:
    bound = numbers[condition.bound] if isinstance(condition.bound, str) else condition.bound
    if condition.relation == "at_most":
        return bool(value <= bound)
    return bool(value >= bound) if condition.relation == "at_least" else bool(value == bound)


def _shown(name: str, given: Mapping[str, Any], numbers: Mapping[str, Any]) -> Any:
    """What stands for a placeholder."""
    if name in given:
        piece = given[name]
        return ", ".join(piece) if isinstance(piece, tuple) else piece
    base = _fact_behind(name)
    if base is not None:
        value = given[FACT + base]
        return value if base == name else value / factor_between(name, base)
    value = numbers[name]
    return _listed(value) if isinstance(value, list) else value


def _listed(values: list[float]) -> str:
    texts = [f"{value:g}" for value in values]
    return f"{', '.join(texts[:-1])} or {texts[-1]}" if len(texts) > 1 else texts[0]
