"""The one comparator: judges what listings state by what their markings say, and runs every rule of the book.

Written over a vocabulary (`auditor.judging.vocabulary`), so that one listing and a block of records are judged by the
same lines.
Each rule has three outcomes: it holds, it fails (a hit), or it cannot tell, which is counted.
"""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

from auditor.judging.checks import CHECKS
from auditor.judging.demands import demand_rule
from auditor.judging.own_checks import own_check
from auditor.judging.rule_terms import PASSENGER, Collector, band, scope, st_family_in
from auditor.judging.statements import TEXTS, OfMarking, Slot, Statements
from auditor.judging.unit_rules import unit_rule
from auditor.rulebook.book import Pair, Rule
from auditor.trade.codes import is_code
from auditor.trade.facts import SECOND_DESCRIPTION
from auditor.trade.units import unit_of


class Judgement(NamedTuple):
    """How stated values stand to what the marking says; truth values over the listings."""

    known: Any  # both sides are there
    near: Any  # equal but for roundings
    above: Any
    below: Any
    between: Any  # outside the roundings, inside the allowance
    derived: Any
    stated: Any
    could_not_tell: Any  # stated, but nothing follows from the marking


def stated_value(st: Statements, slot: Slot) -> Any:
    """The stated value; a code or index that its table does not hold counts as missing (another rule names it)."""
    if is_code(slot.field) or slot.field in ("load_index", "load_index_dual"):
        return st.cached(("stated", slot), lambda: _stated_code(st, slot))
    return st.value(slot)


def _stated_code(st: Statements, slot: Slot) -> Any:
    ops = st.ops
    if not is_code(slot.field):
        end = len(st.book.tables.load_kg)
        return st.per_value(slot, lambda index: ops.where(index >= end, ops.NAN, index))
    value = st.per_value(slot, lambda code: ops.where(code < 0, ops.NAN, code))
    if slot.field == "load_range":
        # A "C" beside a commercial tire is the C of its size, not a load range.
        of_size = st_family_in(st, ("commercial",))
        if ops.any_of(of_size):
            of_size = of_size & (value == float(st.book.tables.load_range_ply["C"]))
            value = ops.where(of_size, st.nothing, value)
    return value


def judge(st: Statements, slot: Slot, fact: str, tolerance: str, allowance: str = "") -> Judgement:
    """Judges one stated value against one fact.  Kept per listing or block, since several rules ask the same."""
    key = (slot, fact, tolerance)
    found: Judgement | None = st.memo.get(key)
    if found is None:
        found = st.memo[key] = _judge(st, slot, fact, tolerance, allowance)
    return found


def _judge(st: Statements, slot: Slot, fact: str, tolerance: str, allowance: str) -> Judgement:
    ops = st.ops
    stated = stated_value(st, slot)
    derived, open_floor = derived_for(st, slot, fact)
    unit = unit_of(slot.field)
    width = band(st, tolerance, unit, derived)
    off = ops.magnitude(stated - derived)
    known = ops.known(off)
    could_not_tell = ops.known(stated) & ops.no(known)
    near = off <= width
    if not ops.any_of(known & ops.no(near)):
        return Judgement(known, near, st.never, st.never, st.never, derived, stated, could_not_tell)
    allowed = near
    if allowance:
        allowed = near | (off <= band(st, allowance, unit, derived))
    top = derived
    if fact in SECOND_DESCRIPTION and st.may_state(SECOND_DESCRIPTION[fact]):
        other = st.fact(SECOND_DESCRIPTION[fact])
        if ops.any_of(ops.known(other)):
            off_other = ops.magnitude(stated - other)
            near, allowed = near | (off_other <= width), allowed | (off_other <= width)
            if allowance:
                allowed = allowed | (off_other <= band(st, allowance, unit, other))
            top = ops.larger(derived, other)
    outside = known & ops.no(allowed)
    above = outside & (stated > top)
    below = outside & ops.no(above)
    if open_floor is not None:
        above = above & ops.no(open_floor)
    between = st.never if allowed is near else known & allowed & ops.no(near)
    return Judgement(known, near, above, below, between, derived, stated, could_not_tell)


def derived_for(st: Statements, slot: Slot, fact: str) -> tuple[Any, Any]:
    """The fact a slot is compared with, and (for speeds) where it is only a floor."""
    if fact in ("speed_kmh", "speed_mph"):
        name = "speed_floor_kmh" if fact == "speed_kmh" else "speed_floor_mph"
        if not st.may_state(name):
            return st.fact(fact), None
        return st.per_marking(_speed_or_floor(fact, name)), st.per_marking(_knows(name))
    if fact in ("ply_rating", "load_range"):
        return _strength(st, slot), None
    return st.fact(fact), None


@cache
def _speed_or_floor(speed: str, floor: str) -> OfMarking:
    return lambda ops, fact: ops.either(fact(speed), fact(floor))


@cache
def _knows(name: str) -> OfMarking:
    return lambda ops, fact: ops.known(fact(name))


def _strength(st: Statements, slot: Slot) -> Any:
    """Ply rating to compare with: the marking's, else what the listing's other statements agree on.

    Without a load range in the marking, the load range field settles the ply rating, unless a text sides with the
    ply rating; then the load range field is the odd one out.
    """
    ops = st.ops
    marked = st.fact("ply_rating")
    by_range, by_ply = _strength_cells(st, "load_range"), _strength_cells(st, "ply_rating")
    text = st.nothing
    for claim in (*st.claims("ply_rating"), *st.claims("load_range")):
        text = ops.either(text, stated_value(st, claim))
    text_sides_with_ply = (text == by_ply) & (by_ply != by_range)
    if slot.is_claim:
        return ops.either(marked, ops.either(by_range, by_ply))
    if slot.field == "load_range":
        return ops.either(marked, ops.where(text_sides_with_ply, text, st.nothing))
    return ops.either(marked, ops.where(text_sides_with_ply, st.nothing, by_range))


def _strength_cells(st: Statements, field: str) -> Any:
    value = st.nothing
    for slot in st.own(field):
        value = st.ops.either(value, stated_value(st, slot))
    return value


def compare_rule(rule: Rule, st: Statements, out: Collector) -> None:
    """Runs one comparison rule over every statement of its fields, claims in texts included."""
    if rule.pairs[0].stated == "load_range":
        _strength_in_texts(rule, st, out)
    stated_pairs = [pair for pair in rule.pairs if pair.stated in st.slots]
    if not stated_pairs:
        return
    ops = st.ops
    seen = st.never
    allowance = rule.allowance or _allowance(rule)
    for pair in stated_pairs:
        for slot in st.slots[pair.stated]:
            found = judge(st, slot, pair.derived, rule.tolerance, allowance)
            out.could_not_tell(rule, found.could_not_tell)
            where = _failing(rule, found)
            if not ops.any_of(where):
                continue
            where = _exempt(st, slot, pair, found, where)
            allowed = scope(rule, st)
            if allowed is not None:
                where = where & allowed
            if rule.finds == "between":
                where = where & ops.no(seen)
                seen = seen | where
            if ops.any_of(where):
                graded_up = found.above if rule.grade_when_higher else None
                if graded_up is not None and rule.finds == "differs":
                    graded_up = where & (found.stated > found.derived)
                out.add(
                    rule,
                    slot.source,
                    slot.report,
                    slot.field,
                    where,
                    found.stated,
                    found.derived,
                    graded_up=graded_up,
                    occurrence=slot.occurrence,
                )


def _strength_in_texts(rule: Rule, st: Statements, out: Collector) -> None:
    """Load ranges and ply ratings that stand inside a size in a title or description: "LT245/75R16 LRF"."""
    ops = st.ops
    for text in st.governing.texts:
        if text.report not in TEXTS or st.repeats_governing(text):
            continue
        stated = st.marking_fact("load_range", text.codes)
        if not ops.any_of(ops.known(stated)):
            continue
        derived = _strength(st, Slot(text.source, "load_range", text.report))
        where = ops.known(stated) & ops.known(derived) & (stated != derived)
        allowed = scope(rule, st)
        if allowed is not None:
            where = where & allowed
        if ops.any_of(where):
            out.add(
                rule,
                text.source,
                text.report,
                "load_range",
                where,
                stated,
                derived,
                graded_up=where & (stated > derived),
            )


def _allowance(rule: Rule) -> str:
    return "load_off_table" if rule.tolerance == "load" else ""


def _failing(rule: Rule, found: Judgement) -> Any:
    if rule.finds == "above":
        return found.above
    if rule.finds == "below":
        return found.below
    if rule.finds == "between":
        return found.between
    return found.above | found.below


def _exempt(st: Statements, slot: Slot, pair: Pair, found: Judgement, where: Any) -> Any:
    """Statements that say nothing although they differ."""
    ops = st.ops
    if pair.stated == "ply_rating" and ops.any_of(where):
        # "4 ply" or "6 ply" on a passenger tire is old sales language, not a strength class.
        idle = st_family_in(st, PASSENGER) & ((found.stated == 4.0) | (found.stated == 6.0))
        return where & ops.no(idle)
    if pair.stated in ("max_speed_kmh", "max_speed_mph") and ops.any_of(where):
        # A temporary spare may state the vehicle's limit for it, often 80 km/h or 50 mph, below its symbol.
        lowest = 48.0 if pair.stated.endswith("mph") else 78.0
        return where & ops.no(found.below & (st.fact("temporary") == 1.0) & (found.stated >= lowest))
    return where


def run_rules(st: Statements, out: Collector) -> None:
    """Runs every rule in force, in book order.  Rules whose fields nobody states cost nothing."""
    for rule in st.book.rules:
        if rule.kind == "comparison":
            compare_rule(rule, st, out)
        elif rule.kind == "units":
            unit_rule(rule, st, out)
        elif rule.demand is not None:
            demand_rule(rule, st, out)
        else:
            run = CHECKS.get(rule.check) or own_check(rule.check)
            if run is not None:
                run(rule, st, out)
