"""Where the marking itself is the suspect: what it says cannot belong to one tire, whatever else the listing states.

Written over a vocabulary.  What is implausible, and how a prefix that was left out is recognized, are the limits of the
rules that tell of it; where a rule is not in force, nothing is suspected on its account.
"""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

from auditor.judging.described import is_same_size
from auditor.judging.governing import COMMERCIAL, LIGHT_TRUCK
from auditor.judging.implausible import STANDARD_LOAD, Ask, is_weak, tests_of
from auditor.judging.rule_terms import in_force, tolerance_of, tolerance_share, tolerance_width
from auditor.judging.statements import FactFunction, Slot, Statements
from auditor.rulebook.rule import Rule
from auditor.trade.units import factor_between

_STRENGTHS = ("load_range", "ply_rating")  # both are ply ratings as numbers


class Suspicion(NamedTuple):
    """What of the marking cannot be; truth values over the listings."""

    index: Any  # the load index
    dual: Any  # the dual load index
    symbol: Any  # the speed symbol
    size: Any  # the size designation
    strength: Any  # the load range or ply rating, on a family without them
    version: Any  # the load version, on a family without them
    slight: Any  # a passenger's symbol on a light-truck size, and nothing else
    weak: Any  # extra or high load, with the load index of a standard one


def suspicion(st: Statements) -> Suspicion | None:
    """What is implausible of the governing marking; None where no rule in force tells of it."""
    return st.cached(("suspicion",), lambda: _suspicion(st))[0]


def _suspicion(st: Statements) -> tuple[Suspicion | None]:  # in a tuple, so that "none" is kept too
    rule = st.book.with_check("marking_implausible")
    if rule is None:
        return (None,)
    ops = st.ops
    left_out = prefix_left_out(st)
    tests = tests_of(rule)
    one = Suspicion(
        index=(st.per_marking(tests.load_index) & ops.no(left_out)) | _against_both_units(rule, st),
        dual=st.per_marking(tests.dual),
        symbol=st.per_marking(tests.symbol),
        size=st.per_marking(tests.size),
        strength=st.per_marking(tests.strength),
        version=st.never,
        slight=st.never,
        weak=st.per_marking(is_weak),
    )
    one = one._replace(dual=one.dual & ops.no(left_out), strength=one.strength & ops.no(left_out))
    one = _like_passenger(rule, st, one)
    allowed = in_force(rule, st)
    return (one if allowed is None else Suspicion(*(mask & allowed for mask in one)),)


def _like_passenger(rule: Rule, st: Statements, one: Suspicion) -> Suspicion:
    """A light-truck size with the symbol of a passenger tire alone, or with a passenger tire's load version."""
    tests = tests_of(rule)
    fast, marked = st.per_marking(tests.passenger_symbol), st.per_marking(tests.standard_load)
    if not st.ops.any_of(fast | marked):
        return one
    stated = st.first("load_version") == STANDARD_LOAD
    return one._replace(version=marked | (fast & stated), slight=fast & st.ops.no(marked | stated))


def _against_both_units(rule: Rule, st: Statements) -> Any:
    """Where kg and lb agree with each other on a load that the size can carry, and the index is a typo above it.

    One more reason to doubt an index that lies near the end of its band; a load above the marking stays the suspect.
    """
    ops = st.ops
    kg, lb = st.first("max_load_kg"), st.first("max_load_lb") * factor_between("x_lb", "x_kg")
    marked = st.fact("load_single_kg")
    near_end = marked > st.fact("load_band_max_kg") * (1.0 - rule.limit("end_share"))
    far = (marked - kg > marked * rule.limit("typo_share")) & near_end
    if not ops.any_of(far):
        return st.never
    width = ops.larger(kg * tolerance_share(st, "load_units"), tolerance_of(st, "load", "kg"))
    inside = (kg >= st.fact("load_band_min_kg")) & (kg <= st.fact("load_band_max_kg"))
    return far & inside & (ops.magnitude(kg - lb) <= width)


def prefix_left_out(st: Statements) -> Any:
    """Where a plain passenger size is that of a light-truck or commercial tire whose letters were left out."""
    return st.cached(("prefix left out",), lambda: _prefix_left_out(st))


def _prefix_left_out(st: Statements) -> Any:
    rule, ops = st.book.with_check("prefix_missing"), st.ops
    if rule is None:
        return st.never
    room = 1.0 - rule.limit("room_share")
    fits = st.per_marking(_fits_with_letters(rule.limit("most_dual_below"), room))
    if not ops.any_of(fits):
        return fits
    commercial = st.first("tire_class") >= 1.0
    said = _letters_in_a_text(st) | commercial  # then the symbol need not tell
    fits = fits & (said | ops.no(st.fact("speed_kmh") > rule.limit("fastest_kmh")))
    ply, least = stated_strength(st), rule.limit("least_ply")
    carries = _carries(st, ply, room)
    plain = ops.known(st.first("load_version")) | ((ply >= least) & ops.no(carries)) | ops.known(st.first("treadwear"))
    hard = commercial  # inflated or classed as no passenger tire is
    for field in ("max_pressure_kpa", "max_pressure_psi", "max_pressure_bar"):
        if field in st.slots:
            kpa = st.first(field) * factor_between(field, "x_kpa")
            plain = plain | (kpa < rule.limit("least_pressure_kpa"))
            hard = hard | (kpa > rule.limit("passenger_pressure_kpa"))
    strong = (ply >= least) & carries & (hard | ops.no(st.per_marking(_may_be_passenger)))
    asked = st.per_marking(_asks_for_letters(least)) | strong
    supported = st.per_marking(_has_support(least, rule.limit("fastest_alone_kmh"))) | strong | said
    found = fits & asked & supported & ops.no(plain)
    allowed = in_force(rule, st)
    return found if allowed is None else found & allowed


def _letters_in_a_text(st: Statements) -> Any:
    """Where another text gives the very size with LT or C."""
    ops, found = st.ops, st.never
    for text in st.governing.texts:
        letters = st.marking_fact("size_prefix", text.codes)
        told = (letters == LIGHT_TRUCK) | (letters == COMMERCIAL)
        if ops.any_of(told):
            found = found | (told & is_same_size(st, text.codes, st.governing.codes))
    return found


def stated_strength(st: Statements) -> Any:
    """The ply rating that the listing states beside its marking, as such or by a load range."""
    value = st.nothing
    for field in _STRENGTHS:
        for slot in st.slots.get(field, ()):
            value = st.ops.first_known(value, st.value(slot))
    return value


def _carries(st: Statements, ply: Any, room: float) -> Any:
    """Whether the load index is that of the size with its letters left out and this ply rating.

    Where a dual index speaks for that too, the load may lie a little below the band.
    """
    ops, load, found = st.ops, st.fact("load_single_kg"), st.never
    share = ops.where(ops.known(st.fact("load_index_dual")), room, ops.constant(1.0, load))
    for family in ("lt", "commercial"):
        d, e = st.fact(f"load_as_{family}_d_min_kg"), st.fact(f"load_as_{family}_e_min_kg")
        found = found | (load >= ops.where(ply >= 10.0, e, d) * share)
    return found & ops.known(ply)


def _may_be_passenger(ops: Any, fact: Ask) -> Any:
    """Nothing of the marking alone speaks against a passenger tire of standard load."""
    return ops.missing(fact("load_index_dual")) & (fact("load_single_kg") <= fact("load_standard_max_kg"))


@cache
def _fits_with_letters(most_dual_below: float, room: float) -> FactFunction:
    def fits(ops: Any, fact: Ask) -> Any:
        load, steps = fact("load_single_kg"), fact("load_index") - fact("load_index_dual")
        inside = ops.false(fact("family"))
        for family in ("lt", "commercial"):
            least, most = fact(f"load_as_{family}_min_kg"), fact(f"load_as_{family}_max_kg")
            inside = inside | ((load >= least * room) & (load <= most))
        near = ops.missing(steps) | ((steps >= 0.0) & (steps <= most_dual_below))
        return inside & near

    return fits


@cache
def _asks_for_letters(least_ply: float) -> FactFunction:
    """What no plain passenger tire has: a load beyond its band, a dual index, a high ply rating."""

    def asks(ops: Any, fact: Ask) -> Any:
        beyond = fact("load_single_kg") > fact("load_band_max_kg")
        return beyond | ops.known(fact("load_index_dual")) | (fact("load_range") >= least_ply)

    return asks


@cache
def _has_support(least_ply: float, fastest_kmh: float) -> FactFunction:
    """More than a load beyond the band, which a typo makes too."""

    def supported(ops: Any, fact: Ask) -> Any:
        slow = fact("speed_kmh") <= fastest_kmh
        return ops.known(fact("load_index_dual")) | (fact("load_range") >= least_ply) | slow

    return supported


def spared(st: Statements, slot: Slot, value: Any) -> Any:
    """Where a value that differs from the marking is let be, since the marking is the suspect; None for nowhere.

    A value that the tire cannot have either stays accused.
    """
    found = suspicion(st)
    characteristic = st.book.characteristic_of.get(slot.field)
    if found is None or characteristic is None:
        return None
    ops = st.ops
    stated = next((one for one in characteristic.statements if one.field == slot.field), None)
    crossed = st.per_marking(is_crossed)
    if stated is None or not ops.any_of(found.index | found.dual | found.symbol | crossed):
        return None
    if characteristic.fact in ("load_single_kg", "load_dual_kg"):
        kg = ops.look_up(st.book.tables.load_kg, value) if stated.table else value * stated.factor
        single = characteristic.fact == "load_single_kg"
        exchanged = st.fact("load_dual_kg" if single else "load_single_kg")
        width = ops.larger(
            tolerance_width(st, characteristic.allowance, "kg", exchanged), tolerance_of(st, "load", "kg")
        )
        fits = crossed & (ops.magnitude(kg - exchanged) <= width)
        possible = kg <= st.fact("load_band_max_kg")
        if not single:
            return ((found.index | found.dual) & possible) | fits
        rule = st.book.with_check("marking_implausible")
        if rule is None:
            return fits
        least = st.per_marking(tests_of(rule).lowest)
        return (found.index & possible & (kg >= least)) | fits
    if characteristic.fact == "speed_kmh":
        kmh = ops.look_up(_speeds(st), value) if stated.table else value * stated.factor
        return found.symbol & (kmh < st.fact("speed_kmh"))
    return None


def is_crossed(ops: Any, fact: Ask) -> Any:
    """The dual load index above the single one: the two have changed places."""
    return (fact("load_index_dual") > fact("load_index")) & ops.known(fact("load_dual_kg"))


def _speeds(st: Statements) -> tuple[float, ...]:
    return tuple(st.book.tables.speed_kmh.values())
