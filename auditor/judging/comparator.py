"""The one comparator: judges what listings state by what their markings say, and runs every rule of the book.

Written over a vocabulary (`auditor.judging.vocabulary`), so that one listing and a block of records are judged by the
same lines.
Each rule has three outcomes: it holds, it fails (a hit), or it cannot tell, which is counted.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from auditor.judging.checks import CHECKS
from auditor.judging.demands import demand_rule
from auditor.judging.derived import derived_for, stated_value
from auditor.judging.failures import Collector, Failure, ScopedCollector
from auditor.judging.own_checks import own_check
from auditor.judging.rule_terms import family_in, in_force, is_allowed, tolerance_width
from auditor.judging.statements import SPLIT_SIZE, TEXTS, Slot, Statements
from auditor.judging.suspicion import spared
from auditor.judging.unit_rules import unit_rule
from auditor.rulebook.rule import Rule
from auditor.trade.facts import SECOND_DESCRIPTION
from auditor.trade.units import unit_of

Runner = Callable[[Rule, Any, Collector], None]


class Judgement(NamedTuple):
    """How stated values stand to what the marking says; truth values over the listings."""

    known: Any  # both sides are there
    above: Any
    below: Any
    between: Any  # outside the roundings, inside the allowance
    derived: Any
    stated: Any
    could_not_tell: Any  # stated, but nothing follows from the marking


def judge(st: Statements, slot: Slot, fact: str, tolerance: str, allowance: str = "") -> Judgement:
    """Judges one stated value against one fact.  Kept per listing or block, since several rules ask the same."""
    kept, what = st.judged(slot, fact)
    key = (what, fact, tolerance, allowance)
    found: Judgement | None = kept.get(key)
    if found is None:
        found = kept[key] = _judge(st, slot, fact, tolerance, allowance)
    return found


def _judge(st: Statements, slot: Slot, fact: str, tolerance: str, allowance: str) -> Judgement:
    ops = st.ops
    stated = stated_value(st, slot)
    derived, open_floor = derived_for(st, slot, fact)
    unit = unit_of(slot.field)
    width = tolerance_width(st, tolerance, unit, derived)
    off = ops.magnitude(stated - derived)
    known = ops.known(off)
    could_not_tell = ops.known(stated) & ops.no(known)
    near = off <= width
    if unit == "mph":  # charts print whole miles
        near = near | (ops.magnitude(stated - ops.nearest(derived)) <= width)
    if not ops.any_of(known & ops.no(near)):
        return Judgement(known, st.never, st.never, st.never, derived, stated, could_not_tell)
    allowed = near
    if allowance:
        allowed = near | is_allowed(st, allowance, unit, stated, derived)
    top = derived
    if fact in SECOND_DESCRIPTION and st.may_state(SECOND_DESCRIPTION[fact]):
        other = st.fact(SECOND_DESCRIPTION[fact])
        if ops.any_of(ops.known(other)):
            off_other = ops.magnitude(stated - other)
            near, allowed = near | (off_other <= width), allowed | (off_other <= width)
            if allowance:
                allowed = allowed | is_allowed(st, allowance, unit, stated, other)
            top = ops.larger(derived, other)
    outside = known & ops.no(allowed)
    above = outside & (stated > top)
    below = outside & ops.no(above)
    if top is not derived:  # what is more than the lower description allows is held against the higher one
        derived = ops.where(outside & (stated > derived), top, derived)
    if open_floor is not None:
        above = above & ops.no(open_floor)
    between = st.never if allowed is near else known & allowed & ops.no(near)
    return Judgement(known, above, below, between, derived, stated, could_not_tell)


def compare_rule(rule: Rule, st: Statements, out: Collector) -> None:
    """Runs one comparison rule over every statement of its fields, claims in texts included."""
    if rule.in_texts:
        _compare_size_texts(rule, st, out)
    stated_pairs = [pair for pair in rule.pairs if pair.stated in st.slots]
    if not stated_pairs:
        return
    ops = st.ops
    seen = st.never
    for pair in stated_pairs:
        for slot in st.slots[pair.stated]:
            found = judge(st, slot, pair.derived, rule.tolerance, rule.allowance)
            out.could_not_tell(rule, found.could_not_tell)
            where = failing(rule, found)
            if not ops.any_of(where):
                continue
            if rule.finds == "below":
                where = where & ops.no(st.open_ended(slot))  # "over 600 kg" is no less than 615
            let_be = spared(st, slot, found.stated) if rule.goes_by_marking else None
            if let_be is not None:
                where = where & ops.no(let_be)
            if rule.exempt:
                where = _without_exempt(rule, st, slot, found, where)
            allowed = in_force(rule, st)
            if allowed is not None:
                where = where & allowed
            if slot.field in SPLIT_SIZE and not slot.is_claim:
                where = where & ops.no(st.stands_in(slot.field))
            if rule.finds == "between":  # one finding per listing
                where = where & ops.no(seen)
                seen = seen | where
            if ops.any_of(where):
                graded_up = found.above if rule.grade_when_higher else None
                out.add(
                    Failure.of(
                        rule,
                        slot,
                        where,
                        found.stated,
                        found.derived,
                        graded_up=graded_up,
                        occurrence=slot.occurrence,
                    )
                )


def _compare_size_texts(rule: Rule, st: Statements, out: Collector) -> None:
    """What stands inside a size in a title or description: the load range of "LT245/75R16 LRF"."""
    ops, pair = st.ops, rule.pairs[0]
    for text in st.governing.texts:
        if text.report not in TEXTS or st.repeats_governing(text):
            continue
        stated = st.marking_fact(pair.derived, text.codes)
        if not ops.any_of(ops.known(stated)):
            continue
        slot = Slot(text.source, pair.stated, text.report)
        derived, _ = derived_for(st, slot, pair.derived)
        where = ops.known(stated) & ops.known(derived) & (stated != derived)
        allowed = in_force(rule, st)
        if allowed is not None:
            where = where & allowed
        if ops.any_of(where):
            out.add(Failure.of(rule, slot, where, stated, derived, graded_up=where & (stated > derived)))


def failing(rule: Rule, found: Judgement) -> Any:
    """Where a comparison rule fails by a judgement, whatever else may let a statement pass."""
    if rule.finds == "above":
        return found.above
    if rule.finds == "below":
        return found.below
    if rule.finds == "between":
        return found.between
    return found.above | found.below


def _without_exempt(rule: Rule, st: Statements, slot: Slot, found: Judgement, where: Any) -> Any:
    """Leaves out statements that say nothing although they differ."""
    ops, unit = st.ops, unit_of(slot.field)
    for exemption in rule.exempt:
        exempt = ops.no(st.never)
        if exemption.families:
            exempt = exempt & family_in(st, exemption.families)
        if exemption.stated:
            among = st.never
            for value in exemption.stated:
                among = among | (found.stated == value)
            exempt = exempt & among
        for of_unit, least in exemption.at_least:
            if of_unit == unit:
                exempt = exempt & (found.stated >= least)
        where = where & ops.no(exempt)
    return where


def run_rules(st: Statements, out: Collector) -> None:
    """Runs every rule that looks at one listing, in book order.  Rules whose fields nobody states cost nothing."""
    for rule in st.book.rules:
        run = runner_of(rule)
        if run is not None:
            run(rule, st, out)


def runner_of(rule: Rule) -> Runner | None:
    """What runs a rule; None for one that looks at more than a listing."""
    if rule.demand is not None:
        return demand_rule
    if rule.kind == "check" and rule.check in CHECKS and not _is_limited(rule):
        return CHECKS[rule.check]
    return _RUNNERS.get(rule.kind)


def _is_limited(rule: Rule) -> bool:
    """Whether a rule is not in force for every listing."""
    return bool(rule.families or rule.not_families or rule.off_for or rule.only_for)


def _run_check(rule: Rule, st: Statements, out: Collector) -> None:
    """Runs a check where its rule is in force."""
    check = CHECKS.get(rule.check) or own_check(rule.check)
    if check is None:
        return
    if not _is_limited(rule):
        check(rule, st, out)
        return
    allowed = in_force(rule, st)
    if allowed is None or st.ops.any_of(allowed):
        check(rule, st, out if allowed is None else ScopedCollector(out, allowed))


_RUNNERS: dict[str, Runner] = {"comparison": compare_rule, "units": unit_rule, "check": _run_check}
