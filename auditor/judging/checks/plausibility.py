"""Checks of whether what a listing says can belong to one tire at all, with or without a second statement."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from auditor.judging.checks.markings import add_on_marking, add_on_texts
from auditor.judging.failures import Collector, Failure
from auditor.judging.implausible import STANDARD_LOAD
from auditor.judging.rule_terms import is_of_family
from auditor.judging.statements import MARKING_TEXTS, TEXTS, FactFunction, Statements
from auditor.judging.suspicion import prefix_left_out, suspicion
from auditor.rulebook.rule import Rule
from auditor.trade.codes import WINTER
from auditor.trade.units import factor_between

# What of a service description is implausible, the field that the sentence's clause goes by, and what it came with.
_OF_SERVICE = (
    ("index", "load_index", "load_index"),
    ("dual", "load_index_dual", "load_index"),
    ("symbol", "speed_symbol", "speed_symbol"),
    ("strength", "load_range", "load_index"),
    ("version", "load_version", "load_index"),
)


def marking_implausible(rule: Rule, st: Statements, out: Collector) -> None:
    """A marking whose parts cannot belong to one tire."""
    found = suspicion(st)
    if found is None:
        return
    for part, named, about in _OF_SERVICE:
        add_on_marking(rule, st, out, getattr(found, part), about, named=named)
    add_on_marking(rule, st, out, found.slight, "speed_symbol", named="speed_symbol", slight=True)
    add_on_marking(rule, st, out, found.weak & st.ops.no(found.index), "load_index", named="load_version", slight=True)
    _add_on_size(rule, st, out, found.size, "rim_diameter_in")


def _add_on_size(rule: Rule, st: Statements, out: Collector, where: Any, named: str) -> None:
    """A failure on whichever cell the governing size came from."""
    if not st.ops.any_of(where):
        return
    for source in st.sources:
        if source.field in MARKING_TEXTS or source.field in TEXTS:
            here = where & (st.governing.size_source == source.position)
            if st.ops.any_of(here):
                out.add(Failure(rule, source.position, source.field, named, here, st.nothing, st.nothing))


def prefix_missing(rule: Rule, st: Statements, out: Collector) -> None:
    """A light-truck or commercial tire whose letters were left out of the size."""
    _add_on_size(rule, st, out, prefix_left_out(st), "marking")


def load_implausible(rule: Rule, st: Statements, out: Collector) -> None:
    """A load that no tire of the size carries, where no load index says what it should be."""
    ops = st.ops
    open_ = st.per_marking(_has_band_alone)
    if not ops.any_of(open_):
        return
    low, high = st.fact("load_band_min_kg"), st.fact("load_band_max_kg")
    room = rule.limit("room_share")
    for field in rule.fields:
        least = low * rule.limit("dual_share") if "dual" in field else low
        for slot in st.slots.get(field, ()):
            kg = st.value(slot) * factor_between(field, "x_kg")
            where = open_ & ((kg < least * (1.0 - room)) | (kg > high * (1.0 + room)))
            if ops.any_of(where):
                out.add(Failure.of(rule, slot, where, st.value(slot), st.nothing, occurrence=slot.occurrence))


def _has_band_alone(ops: Any, fact: Callable[[str], Any]) -> Any:
    return ops.missing(fact("load_index")) & ops.known(fact("load_band_max_kg"))


def slow_for_the_road(rule: Rule, st: Statements, out: Collector) -> None:
    """A road tire that may not go as fast as the fastest posted limit; winter tires and spares may."""
    slow = st.per_marking(_is_slow(tuple(rule.limit("road")), rule.limit("least_mph")))
    if not st.ops.any_of(slow):
        return
    winter = (st.first("season") == WINTER) | (st.first("severe_snow") == 1.0)
    add_on_marking(rule, st, out, slow & st.ops.no(winter), "speed_symbol")


@cache
def _is_slow(road: tuple[str, ...], least_mph: float) -> FactFunction:
    def slow(ops: Any, fact: Callable[[str], Any]) -> Any:
        winter = (fact("severe_snow") == 1.0) | (fact("mud_and_snow") == 1.0)
        return (fact("speed_mph") < least_mph) & ops.no(winter) & is_of_family(road)(ops, fact)

    return slow


def strength_on_passenger(rule: Rule, st: Statements, out: Collector) -> None:
    """A load range or ply rating of a truck tire in a cell of a passenger tire; texts are `text-contradicted`'s."""
    ops = st.ops
    slots = [slot for field in rule.fields for slot in st.own(field)]
    if not slots:
        return
    plain = st.per_marking(_is_plain(tuple(rule.limit("passenger"))))
    if not ops.any_of(plain):
        return
    plain = plain & ops.no(prefix_left_out(st))
    for slot in slots:
        where = plain & (st.value(slot) >= rule.limit("least_ply"))
        if ops.any_of(where):
            out.add(Failure.of(rule, slot, where, st.value(slot), st.nothing, occurrence=slot.occurrence))


@cache
def _is_plain(passenger: tuple[str, ...]) -> FactFunction:
    return lambda ops, fact: ops.missing(fact("load_range")) & is_of_family(passenger)(ops, fact)


def rim_in_millimeters(rule: Rule, st: Statements, out: Collector) -> None:
    """A rim in inches beside a size whose rim is measured in millimeters."""
    ops, marked = st.ops, st.fact("rim_diameter_mm_marked")
    if not ops.any_of(ops.known(marked)):
        return
    for slot in st.slots.get("rim_diameter_in", ()):
        value = st.value(slot)
        mm = ops.where(value >= rule.limit("from_mm"), value, value * factor_between("x_in", "x_mm"))
        where = ops.magnitude(mm - marked) > rule.limit("apart_mm")
        if ops.any_of(where):
            out.add(Failure.of(rule, slot, where, value, st.nothing, occurrence=slot.occurrence))


def load_range_unknown(rule: Rule, st: Statements, out: Collector) -> None:
    """A load range letter without an entry in the table."""
    ops = st.ops
    for slot in st.slots.get("load_range", ()):
        where = st.value(slot) < 0.0
        if ops.any_of(where):
            out.add(Failure.of(rule, slot, where, st.nothing, st.nothing, occurrence=slot.occurrence))
    add_on_texts(rule, st, out, "load_range_unlisted")


def service_unread(rule: Rule, st: Statements, out: Collector) -> None:
    """What stands in the place of a service description and is none."""
    _add_on_size(rule, st, out, st.per_marking(_is_unread), "marking")


def _is_unread(ops: Any, fact: Callable[[str], Any]) -> Any:
    return fact("service_unread") == 1.0


def standard_load_on_light_truck(rule: Rule, st: Statements, out: Collector) -> None:
    """Standard load said of a light-truck tire, which is told apart by its load range."""
    ops = st.ops
    slots = [slot for field in rule.fields for slot in st.slots.get(field, ())]
    if not slots:
        return
    where = st.per_marking(is_of_family(tuple(rule.limit("light_truck"))))
    if ops.any_of(where):
        for slot in slots:
            here = where & (st.value(slot) == STANDARD_LOAD)
            if ops.any_of(here):
                out.add(Failure.of(rule, slot, here, st.value(slot), st.nothing, occurrence=slot.occurrence))


CHECKS = {
    "standard_load_on_light_truck": standard_load_on_light_truck,
    "service_unread": service_unread,
    "marking_implausible": marking_implausible,
    "prefix_missing": prefix_missing,
    "load_implausible": load_implausible,
    "slow_for_the_road": slow_for_the_road,
    "strength_on_passenger": strength_on_passenger,
    "rim_in_millimeters": rim_in_millimeters,
    "load_range_unknown": load_range_unknown,
}
