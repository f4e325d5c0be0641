"""The one comparator: runs every comparison and unit rule of the book over the statements of listings.

Written over a vocabulary (`auditor.vocabulary`), so one listing and a block of records are judged by the same lines.
Each rule has three outcomes: it holds, it fails (a hit), or it cannot tell, which is counted.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, NamedTuple, Protocol

from auditor.book import Pair, Rule
from auditor.facts import FAMILY_NUMBER, is_code
from auditor.statements import TEXTS, OfMarking, Slot, Statements
from auditor.tables import KG_PER_LB, KMH_PER_MPH, MM_PER_INCH

PASSENGER = ("metric", "p-metric", "temporary-spare")
KPA_PER_PSI = 6.894757293168361
KPA_PER_BAR = 100.0
MM_PER_32ND = MM_PER_INCH / 32.0

# A fact and what a second service description says instead; a statement that fits either agrees.
_ALTERNATIVES = {
    "load_single_kg": "load_single_alt_kg",
    "load_single_lb": "load_single_alt_lb",
    "load_dual_kg": "load_dual_alt_kg",
    "load_dual_lb": "load_dual_alt_lb",
    "speed_kmh": "speed_alt_kmh",
    "speed_mph": "speed_alt_mph",
    "load_index": "load_index_alt",
    "load_index_dual": "load_index_dual_alt",
    "speed_symbol": "speed_symbol_alt",
}
_UNIT_FACTORS = {  # unit -> (quantity, factor to its base unit)
    "kg": ("mass", 1.0),
    "lb": ("mass", KG_PER_LB),
    "kmh": ("speed", 1.0),
    "mph": ("speed", KMH_PER_MPH),
    "mm": ("length", 1.0),
    "in": ("length", MM_PER_INCH),
    "32nds": ("length", MM_PER_32ND),
    "kpa": ("pressure", 1.0),
    "psi": ("pressure", KPA_PER_PSI),
    "bar": ("pressure", KPA_PER_BAR),
    "km": ("turns", 1.0),  # revolutions per km
    "mile": ("turns", 1.0 / KMH_PER_MPH),
}


@cache
def unit_of(field: str) -> str:
    """The unit a field's name ends in (`max_load_kg` -> kg); empty for counts and codes."""
    unit = field.rsplit("_", 1)[-1]
    return unit if unit in _UNIT_FACTORS else ""


def factor_between(field: str, other: str) -> float:
    """What a value of `field` is multiplied by to be in the unit of `other`."""
    return _UNIT_FACTORS[unit_of(field)][1] / _UNIT_FACTORS[unit_of(other)][1]


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
        raised: Any = None,
        grade: str | None = None,
        detail: Any = "",
        partner: int = -1,
        turn: int = 0,
    ) -> None:
        """Records that `rule` fails on a cell, for the listings where `where` is true.

        `about` is the field that the value speaks about, `raised` tells where the grade is the rule's higher one,
        `partner` is the other cell of a unit rule, `turn` the place of a claim among those of its field.
        """

    def untold(self, rule: Rule, where: Any) -> None:
        """Counts the listings for which a rule cannot tell."""


class Judgement(NamedTuple):
    """How stated values stand to what the marking says; truth values over the listings."""

    known: Any  # both sides are there
    near: Any  # equal but for roundings
    above: Any
    below: Any
    between: Any  # outside the roundings, inside the allowance
    derived: Any
    stated: Any
    untold: Any  # stated, but nothing follows from the marking


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
    places = [percent] * len(FAMILY_NUMBER)
    for name, value in by_family.items():
        if name in FAMILY_NUMBER:
            places[int(FAMILY_NUMBER[name])] = float(value)
    return st.ops.either(st.ops.look_up(places, st.fact("family")), st.ops.constant(percent, st.nothing))


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
    untold = ops.known(stated) & ops.no(known)
    near = off <= width
    if not ops.any_of(known & ops.no(near)):
        return Judgement(known, near, st.never, st.never, st.never, derived, stated, untold)
    allowed = near
    if allowance:
        allowed = near | (off <= band(st, allowance, unit, derived))
    top = derived
    if fact in _ALTERNATIVES and st.may_state(_ALTERNATIVES[fact]):
        other = st.fact(_ALTERNATIVES[fact])
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
    return Judgement(known, near, above, below, between, derived, stated, untold)


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


def unknown(st: Statements, name: str) -> Any:
    """Where the governing marking does not say something."""
    return st.per_marking(_misses(name))


@cache
def _misses(name: str) -> OfMarking:
    return lambda ops, fact: ops.missing(fact(name))


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
            out.untold(rule, found.untold)
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
                raised = found.above if rule.grade_when_higher else None
                if raised is not None and rule.finds == "differs":
                    raised = where & (found.stated > found.derived)
                out.add(
                    rule,
                    slot.source,
                    slot.report,
                    slot.field,
                    where,
                    found.stated,
                    found.derived,
                    raised=raised,
                    turn=slot.turn,
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
                rule, text.source, text.report, "load_range", where, stated, derived, raised=where & (stated > derived)
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


def unit_rule(rule: Rule, st: Statements, out: Collector) -> None:
    """Runs one rule that holds two fields of a listing against each other, where the marking does not settle it."""
    stated_pairs = [pair for pair in rule.pairs if pair.stated in st.slots and pair.other in st.slots]
    if not stated_pairs:
        return
    from auditor.odd_unit import odd_one

    ops = st.ops
    allowed = scope(rule, st)
    for pair in stated_pairs:
        for slot in st.own(pair.stated):
            for other in st.own(pair.other):
                where, in_other, in_own = _units_apart(rule, st, slot, other)
                if allowed is not None:
                    where = where & allowed
                if not ops.any_of(where):
                    continue
                own_is_odd = odd_one(st, slot, other, in_own, in_other)
                stated, beside = st.value(slot), st.value(other)
                for here, there, odd, value, should in (
                    (slot, other, where & own_is_odd, stated, in_own),
                    (other, slot, where & ops.no(own_is_odd), beside, in_other),
                ):
                    if ops.any_of(odd):
                        out.add(
                            rule,
                            here.source,
                            here.report,
                            here.field,
                            odd,
                            value,
                            should,
                            partner=there.source,
                        )


def _units_apart(rule: Rule, st: Statements, slot: Slot, other: Slot) -> tuple[Any, Any, Any]:
    """(where the two disagree, the first in the unit of the second, the second in the unit of the first)."""
    ops = st.ops
    unsettled = _unsettled(rule, st, slot)
    if unsettled is not None and not ops.any_of(unsettled):
        return st.never, st.nothing, st.nothing
    stated, beside = st.value(slot), st.value(other)
    factor = factor_between(slot.field, other.field)
    in_other, in_own = stated * factor, beside / factor
    tolerance = st.book.tolerances.get(rule.tolerance, {})
    if "digits" in tolerance:
        share = 2.0 * float(tolerance["digits"])
        width = share * (st.half_step(slot) * factor + st.half_step(other)) + 1e-6
    elif rule.tolerance == "pressure_units":
        width = float(tolerance["psi"]) * factor_between("max_pressure_psi", other.field) + 1e-6
        if other.field != "max_pressure_psi":
            width = width + st.half_step(slot) * factor + st.half_step(other)
    else:
        width = ops.larger(band(st, rule.tolerance, unit_of(other.field), in_other), 0.0)
        width = width + st.half_step(other) + 1e-6
    apart = ops.magnitude(in_other - beside) > width
    return apart if unsettled is None else apart & unsettled, in_other, in_own


def _unsettled(rule: Rule, st: Statements, slot: Slot) -> Any:
    """Where the marking does not settle which of two units is right; None where it never does."""
    if rule.subject == "load":
        return unknown(st, "load_dual_kg" if "dual" in slot.field else "load_single_kg")
    if slot.field.startswith("section_width"):
        return unknown(st, "section_width_mm")
    if rule.subject == "speed":
        return unknown(st, "speed_kmh") & unknown(st, "speed_floor_kmh")
    return None


def run_rules(st: Statements, out: Collector) -> None:
    """Runs every rule in force, in book order.  Rules whose fields nobody states cost nothing."""
    from auditor.checks import CHECKS

    for rule in st.book.rules:
        if rule.kind == "comparison":
            compare_rule(rule, st, out)
        elif rule.kind == "units":
            unit_rule(rule, st, out)
        else:
            run = CHECKS.get(rule.check)
            if run is not None:
                run(rule, st, out)
