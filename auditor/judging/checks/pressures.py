"""Checks of the maximum pressure against what markings permit and what load ranges are marked with."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, lru_cache, partial
from typing import Any

from auditor.judging.checks.usual_figures import range_of
from auditor.judging.failures import Collector, Failure, looks_like
from auditor.judging.statements import FactFunction, Statements
from auditor.judging.suspicion import prefix_left_out
from auditor.rulebook.rule import Rule
from auditor.trade.family import FAMILY_NUMBER
from auditor.trade.tables import Tables
from auditor.trade.units import UNITS, factor_between, unit_of

_UNITS = ("kPa", "psi", "bar", "MPa")  # that a pressure may have been written in


def pressure_not_permitted(rule: Rule, st: Statements, out: Collector) -> None:
    """Passenger tires are marked with one of a short list of maximum pressures, spares with another one.

    A listed pressure counts as printed in the other unit or converted to it.  Off the list is slight, unless no
    passenger tire could have the pressure at all.
    """
    ops = st.ops
    spare = st.per_marking(_is_temporary)
    passenger = ops.no(spare) & ops.no(prefix_left_out(st))  # with LT left out the pressure is that of the LT tire
    for field in rule.fields:
        for slot in st.slots.get(field, ()):
            spans = _spans(rule, st.book.tables, "passenger", field)
            where = passenger & st.per_value(slot, partial(_is_off, ops, spans))
            if ops.any_of(spare):
                spans = _spans(rule, st.book.tables, "spare", field)
                where = where | (spare & st.per_value(slot, partial(_is_off, ops, spans)))
            if not ops.any_of(where):
                continue
            value = st.value(slot)
            psi = value * factor_between(field, "x_psi")
            possible = (psi >= rule.limit("lowest_psi")) & (psi <= rule.limit("highest_psi"))
            for part, slight in ((where & possible, True), (where & ops.no(possible), False)):
                if ops.any_of(part):
                    out.add(Failure.of(rule, slot, part, value, st.nothing, slight=slight, occurrence=slot.occurrence))


def _is_temporary(ops: Any, fact: Callable[[str], Any]) -> Any:
    return fact("temporary") == 1.0


Span = tuple[tuple[float, ...], float]  # pressures, and how far one may lie from them


@lru_cache(maxsize=64)
def _spans(rule: Rule, tables: Tables, use: str, field: str) -> tuple[Span, ...]:
    """The pressures of a use in a field's unit, as printed and as converted, each with its roundings."""
    unit, spans = unit_of(field), []
    for marked, rounding in (("kPa", rule.limit("from_kpa")[unit]), ("psi", rule.limit("from_psi")[unit])):
        factor = factor_between(f"x_{marked.lower()}", field)
        spans.append((tuple(value * factor for value in tables.marked_pressures(use, marked)), rounding))
    return tuple(spans)


def _is_off(ops: Any, spans: tuple[Span, ...], value: Any) -> Any:
    off = ops.known(value)
    for pressures, rounding in spans:
        off = off & (ops.distance_to(pressures, value) > rounding)
    return off


def pressure_unlike_load_range(rule: Rule, st: Statements, out: Collector) -> None:
    """LT-metric and ST tires of one load range carry one pressure; wide LT sizes run a step lower and are left out."""
    ops = st.ops
    if not any(field in st.slots for field in rule.fields):
        return
    usual = st.per_marking(_usual_psi_of(rule, st.book.tables))
    if not ops.any_of(ops.known(usual)):
        return
    for field in rule.fields:
        unit = unit_of(field)
        in_unit = usual * factor_between("x_psi", field)
        for slot in st.slots.get(field, ()):
            value = st.value(slot)
            where = ops.magnitude(value - in_unit) > rule.limit(unit)
            if ops.any_of(where):
                step = rule.limit("kpa_step") * factor_between("x_kpa", field)
                derived = usual if unit == "psi" else ops.nearest(in_unit / step) * step
                out.add(Failure.of(rule, slot, where, value, derived))


@lru_cache(maxsize=16)
def _usual_psi_of(rule: Rule, tables: Tables) -> FactFunction:
    return _usual_psi(*(_by_ply(rule, tables, name) for name in ("lt_psi", "trailer_psi")), rule.limit("widest_lt_mm"))


def _by_ply(rule: Rule, tables: Tables, name: str) -> tuple[tuple[float, float], ...]:
    """Pressures by ply rating, of a limit that has them by load range."""
    plies = tables.load_range_ply
    return tuple((float(plies[letter]), psi) for letter, psi in rule.limit(name).items())


@cache
def _usual_psi(
    lt: tuple[tuple[float, float], ...], trailer: tuple[tuple[float, float], ...], widest_lt_mm: float
) -> FactFunction:
    def usual_psi(ops: Any, fact: Callable[[str], Any]) -> Any:
        """What a marking's load range is marked with, where it says so."""
        ply, family = fact("load_range"), fact("family")
        usual = ops.constant(ops.NAN, ply)
        narrow_lt = (family == FAMILY_NUMBER["lt-metric"]) & (fact("section_width_mm") <= widest_lt_mm)
        # 4.80-8 and the like, sized in inches, have pressures of their own: load range C at 90 psi.
        metric_trailer = (family == FAMILY_NUMBER["special-trailer"]) & (fact("width_is_inch") != 1.0)
        for of_kind, pressures in ((narrow_lt, lt), (metric_trailer, trailer)):
            for rating, psi in pressures:
                usual = ops.where(of_kind & (ply == rating), psi, usual)
        return usual

    return usual_psi


def pressure_impossible(rule: Rule, st: Statements, out: Collector) -> None:
    """A pressure that no tire of the family has; read in another unit it may be one that such tires are marked with."""
    ops = st.ops
    slots = [slot for field in rule.fields for slot in st.own(field)]
    if not slots:
        return
    low, high = (st.per_marking(limit) for limit in range_of(rule, "possible_kpa"))
    least, most = (st.per_marking(limit) for limit in range_of(rule, "usual_kpa"))
    for slot in slots:
        value, factor = st.value(slot), factor_between(slot.field, "x_kpa")
        where = (value * factor < low) | (value * factor > high)
        if not ops.any_of(where):
            continue
        read = [(unit, value * UNITS[unit].factor) for unit in _UNITS if unit.lower() != unit_of(slot.field)]
        likely = [(unit, kpa, where & (kpa >= least) & (kpa <= most)) for unit, kpa in read]
        unclear = where
        for unit, kpa, fits in likely:
            here = fits
            for other, _, fits_too in likely:
                if other != unit:
                    here = here & ops.no(fits_too)
            unclear = unclear & ops.no(here)
            if ops.any_of(here):
                out.add(Failure.of(rule, slot, here, value, kpa / factor, basis=looks_like(unit.lower())))
        if ops.any_of(unclear):
            out.add(Failure.of(rule, slot, unclear, value, st.nothing))


CHECKS = {
    "pressure_impossible": pressure_impossible,
    "pressure_not_permitted": pressure_not_permitted,
    "pressure_unlike_load_range": pressure_unlike_load_range,
}
