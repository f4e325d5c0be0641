"""Which rules have to be asked about one listing: all but those that surely have nothing to say of it.

A rule whose fields nobody states says nothing.  A comparison says nothing of a value that was found to agree with the
same marking before.  What is left is asked as `run_rules` asks it, in book order.
"""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any, NamedTuple

from auditor.judging.checks import CHECKS, OF_STATED
from auditor.judging.comparator import Runner, failing, judge, runner_of
from auditor.judging.derived import STRENGTHS
from auditor.judging.failures import Collector
from auditor.judging.statements import Statements
from auditor.marking.store import MarkingRow
from auditor.rulebook.book import RuleBook
from auditor.rulebook.rule import Pair, Rule

_MOST_PLANS = 16  # books in use at once
_MOST_SHAPES = 1_000  # sets of fields that listings state
_MOST_JUDGED = 128  # values and texts, kept beside one marking; a listing makes some thirty


class Step(NamedTuple):
    """A rule to be asked."""

    rule: Rule
    run: Runner
    compares: frozenset[str] | None  # fields of which one must have a value to look at; None where that is not known


class Steps(NamedTuple):
    """The rules to be asked about listings that state the same fields."""

    every: tuple[Step, ...]
    others: tuple[Step, ...]  # where no comparison has anything to look at
    compared: tuple[str, ...]  # stated fields that comparisons look at


class Plan:
    """The rules of one book, made ready to be asked about listings."""

    def __init__(self, book: RuleBook) -> None:
        self.book = book
        self._runners = [(rule, run) for rule in book.rules if (run := runner_of(rule)) is not None]
        self._pairs: dict[str, list[tuple[Rule, Pair]]] = {}
        for rule in book.rules:
            for pair in rule.pairs if rule.kind == "comparison" else ():
                self._pairs.setdefault(pair.stated, []).append((rule, pair))
        self._steps: dict[Hashable, Steps] = {}

    def run(self, st: Statements, shape: Hashable, kept: dict[Hashable, Any], out: Collector) -> None:
        """Asks every rule that may have something to say; `kept` is what was found beside the marking before."""
        stated = (shape, *st.slots)
        steps = self._steps.get(stated)
        if steps is None:
            if len(self._steps) >= _MOST_SHAPES:
                self._steps.clear()
            steps = self._steps[stated] = self._steps_for(st)
        open_ = {field for field in steps.compared if self._is_open(st, field, kept)}
        for rule, run, compares in steps.every if open_ else steps.others:
            if compares is None or not compares.isdisjoint(open_):
                run(rule, st, out)

    def _steps_for(self, st: Statements) -> Steps:
        fields = st.slots.keys()
        steps = []
        for rule, run in self._runners:
            compares = None
            if rule.kind == "comparison" and not rule.in_texts:
                compares = frozenset(pair.stated for pair in rule.pairs if pair.stated in fields)
            if compares != frozenset() and _may_speak(rule, st):
                steps.append(Step(rule, run, compares))
        compared = {field for step in steps for field in step.compares or ()}
        return Steps(
            tuple(steps),
            tuple(step for step in steps if step.compares is None),
            tuple(field for field in fields if field in compared),
        )

    def _is_open(self, st: Statements, field: str, kept: dict[Hashable, Any]) -> bool:
        """Whether a comparison may have something to say of a value of a field."""
        for slot in st.slots[field]:
            value = st.value(slot)
            if value != value:
                continue  # nothing can be compared with nothing
            key = (field, value)
            agrees = kept.get(key)
            if agrees is None:
                agrees = kept[key] = self._agrees(st, field, slot)
            if not agrees:
                return True
        return False

    def _agrees(self, st: Statements, field: str, slot: Any) -> bool:
        for rule, pair in self._pairs[field]:
            if pair.derived in STRENGTHS:
                return False
            found = judge(st, slot, pair.derived, rule.tolerance, rule.allowance)
            if found.could_not_tell or failing(rule, found):
                return False
        return True


def _may_speak(rule: Rule, st: Statements) -> bool:
    """Whether a rule may have something to say of listings with these cells that state these fields."""
    fields = st.slots
    if rule.kind == "units":
        return any(pair.stated in fields and pair.other in fields for pair in rule.pairs)
    if rule.demand is not None and rule.kind != "required":
        return rule.demand.field in fields or st.source_of(rule.demand.field) is not None
    if rule.kind == "check" and rule.check in OF_STATED and rule.check in CHECKS:
        return any(field in fields for field in rule.fields)
    return True


_PLANS: dict[int, Plan] = {}


def plan_of(book: RuleBook) -> Plan:
    """The plan of a book; one object as long as the book is in use."""
    found = _PLANS.get(id(book))
    if found is None or found.book is not book:
        if len(_PLANS) >= _MOST_PLANS:
            _PLANS.clear()
        found = _PLANS[id(book)] = Plan(book)
    return found


def kept_beside(row: MarkingRow, plan: Plan) -> dict[Hashable, Any]:
    """What was found of values and texts beside a marking, under one book: listings of a tire mostly state the same."""
    kept: dict[Hashable, Any] | None = row.made.get(plan)
    if kept is None or len(kept) >= _MOST_JUDGED:
        kept = row.made[plan] = {}
    return kept
