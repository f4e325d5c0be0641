"""What a marking alone says that no tire can have: tests over its facts, by the limits of the rule that tells of it."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, lru_cache
from typing import Any, NamedTuple

from auditor.judging.rule_terms import is_of_family
from auditor.judging.statements import FactFunction
from auditor.rulebook.rule import Rule
from auditor.trade.codes import LOAD_VERSIONS

Ask = Callable[[str], Any]  # answers with a fact
Table = tuple[tuple[str, float], ...]  # of families
STANDARD_LOAD = float(LOAD_VERSIONS.index("SL"))


def _table_of(rule: Rule, name: str) -> Table:
    """A limit by family, as something that can be kept."""
    return tuple(sorted(rule.limit(name).items()))


class Tests(NamedTuple):
    """What is asked of a marking, by the limits of the rule that tells of it."""

    load_index: FactFunction
    lowest: FactFunction
    dual: FactFunction
    symbol: FactFunction
    size: FactFunction
    strength: FactFunction
    passenger_symbol: FactFunction
    standard_load: FactFunction


@lru_cache(maxsize=16)
def tests_of(rule: Rule) -> Tests:
    """The tests of a rule; made once, so that what they find can be kept."""
    room, light = rule.limit("room_share"), _table_of(rule, "light_share")
    bounds = (_table_of(rule, "index_least"), _table_of(rule, "index_most"))
    light_truck = tuple(rule.limit("light_truck"))
    return Tests(
        load_index=_is_outside(tuple(rule.limit("banded")), room, light, *bounds, rule.limit("swapped_most")),
        lowest=_lowest_kg(room, light),
        dual=_has_odd_dual(tuple(rule.limit("without_dual")), _table_of(rule, "dual_below")),
        symbol=_is_too_fast(_table_of(rule, "fastest_kmh")),
        size=_is_odd_size(tuple(rule.limit("whole_rims")), rule.limit("narrowest_mm")),
        strength=_is_too_strong(tuple(rule.limit("passenger")), rule.limit("least_ply")),
        passenger_symbol=_has_passenger_symbol(light_truck, rule.limit("passenger_kmh")),
        standard_load=_is_standard_load(light_truck),
    )


@cache
def _is_outside(
    banded: tuple[str, ...], room: float, light: Table, least: Table, most: Table, swapped_most: float
) -> FactFunction:
    """A load index that no tire of the size has; without a band, that no tire of the family has."""
    lowest = _lowest_kg(room, light)

    def outside(ops: Any, fact: Ask) -> Any:
        load, index = fact("load_single_kg"), fact("load_index")
        high = fact("load_band_max_kg") * (1.0 + room)
        found = ((load < lowest(ops, fact)) | (load > high)) & is_of_family(banded)(ops, fact)
        for bounds, below in ((least, True), (most, False)):
            for family, bound in bounds:
                beyond = (index < bound) if below else (index > bound)
                found = found | (is_of_family((family,))(ops, fact) & beyond & ops.missing(fact("load_band_max_kg")))
        above = fact("load_index_dual") - index
        return found & ops.no((above > 0.0) & (above <= swapped_most))  # which are only in the wrong order

    return outside


@cache
def _lowest_kg(room: float, light: Table) -> FactFunction:
    """The least load that a tire of the size may have: a little below its band."""

    def lowest(ops: Any, fact: Ask) -> Any:
        low = fact("load_band_min_kg") * (1.0 - room)
        for family, share in light:
            low = ops.where(is_of_family((family,))(ops, fact), low * (1.0 - share), low)
        return low

    return lowest


def is_weak(ops: Any, fact: Ask) -> Any:
    """A reinforced tire with a load index below those of its kind."""
    return (fact("load_version") > STANDARD_LOAD) & (fact("load_single_kg") < fact("load_band_min_kg"))


@cache
def _has_odd_dual(without: tuple[str, ...], below: Table) -> FactFunction:
    """A dual load index where the family has none, or far below the single one."""

    def odd(ops: Any, fact: Ask) -> Any:
        dual = fact("load_index_dual")
        found = ops.known(dual) & is_of_family(without)(ops, fact)
        steps = fact("load_index") - dual
        for family, most in below:
            found = found | ((steps > most) & is_of_family((family,))(ops, fact))
        return found

    return odd


@cache
def _is_too_fast(fastest: Table) -> FactFunction:
    def too_fast(ops: Any, fact: Ask) -> Any:
        found, speed = ops.false(fact("family")), fact("speed_kmh")
        for family, kmh in fastest:
            found = found | ((speed > kmh) & is_of_family((family,))(ops, fact))
        return found

    return too_fast


@cache
def _is_odd_size(whole_rims: tuple[str, ...], narrowest_mm: float) -> FactFunction:
    """A passenger size with half an inch of rim, or narrower than any."""

    def odd(ops: Any, fact: Ask) -> Any:
        rim = fact("rim_diameter_in")
        odd = (ops.magnitude(rim - ops.floor(rim)) > 0.0) | (fact("section_width_mm") < narrowest_mm)
        return odd & is_of_family(whole_rims)(ops, fact)

    return odd


@cache
def _is_too_strong(passenger: tuple[str, ...], least_ply: float) -> FactFunction:
    return lambda ops, fact: (fact("load_range") >= least_ply) & is_of_family(passenger)(ops, fact)


@cache
def _has_passenger_symbol(light_truck: tuple[str, ...], kmh: float) -> FactFunction:
    def passenger(ops: Any, fact: Ask) -> Any:
        alone = ops.missing(fact("load_index_dual")) & ops.missing(fact("load_range"))
        return (fact("speed_kmh") >= kmh) & alone & is_of_family(light_truck)(ops, fact)

    return passenger


@cache
def _is_standard_load(light_truck: tuple[str, ...]) -> FactFunction:
    return lambda ops, fact: (fact("load_version") == STANDARD_LOAD) & is_of_family(light_truck)(ops, fact)
