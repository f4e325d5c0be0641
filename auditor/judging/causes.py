"""How a wrong value came about: the first cause in the list of causes that reproduces it.

Written over a vocabulary, like the comparator.
It answers with the place of the cause in `auditor.rulebook.finding.CAUSES`.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from typing import Any

from auditor.judging.statements import Statements
from auditor.rulebook.finding import CAUSES
from auditor.trade.units import KG_PER_LB, KMH_PER_MPH, MM_PER_INCH, factor_between, unit_of

UNCLEAR = float(CAUSES.index("unclear"))
# Causes that explain a wrong value by itself, whatever the marking says.
SLIPS = frozenset(
    {
        "unit-swapped",
        "single-dual-swapped",
        "digits-transposed",
        "digit-missing",
        "digit-added",
        "decimal-slip",
        "per-pair",
        "column-shifted",
        "index-not-load",
    }
)
_OTHER_UNITS = {
    "kg": ("lb",),
    "lb": ("kg",),
    "kmh": ("mph",),
    "mph": ("kmh",),
    "mm": ("in",),
    "in": ("mm",),
    "kpa": ("psi", "bar"),
    "psi": ("kpa", "bar"),
    "bar": ("kpa", "psi"),
    "32nds": ("mm", "in"),
    "km": ("mile",),
    "mile": ("km",),
}
_COUNTERPARTS = {
    "max_load_kg": "load_dual_kg",
    "max_load_lb": "load_dual_lb",
    "max_load_dual_kg": "load_single_kg",
    "max_load_dual_lb": "load_single_lb",
    "load_index": "load_index_dual",
    "load_index_dual": "load_index",
}
_NEIGHBORS_OF_FIELDS = (  # what a column shift can put into a field
    ("section_width_mm", "section_width_mm"),
    ("aspect_ratio", "aspect_ratio"),
    ("rim_diameter_in", "rim_diameter_in"),
    ("load_index", "load_index"),
    ("load_index_dual", "load_index_dual"),
    ("max_load_kg", "load_single_kg"),
    ("max_load_lb", "load_single_lb"),
    ("max_load_dual_kg", "load_dual_kg"),
    ("max_load_dual_lb", "load_dual_lb"),
    ("max_speed_kmh", "speed_kmh"),
    ("max_speed_mph", "speed_mph"),
    ("ply_rating", "ply_rating"),
    ("overall_diameter_mm", "overall_diameter_mm"),
    ("overall_diameter_in", "overall_diameter_in"),
)
_LOADS = ("max_load_kg", "max_load_lb", "max_load_dual_kg", "max_load_dual_lb")
_BAD_FACTORS = {  # unit -> rough factors from the other unit of the quantity
    "lb": (2.0, 2.2, 2.21, 2.25, 2.3, 2.5, KG_PER_LB),
    "kg": (0.4, 0.45, 0.46, 0.5, 1 / 2.2, 1 / 2.25, 1 / KG_PER_LB),
    "mph": (0.6, 0.62, 0.625, 0.65, 0.5, KMH_PER_MPH),
    "kmh": (1.6, 1.5, 1.61, 1.65, 2.0, 1 / KMH_PER_MPH),
    "mm": (25.0, 25.5, 26.0, 1 / MM_PER_INCH),
    "in": (0.04, 1 / 25.0, 0.0394, MM_PER_INCH),
}


def likely_cause(st: Statements, about: str, stated: Any, derived: Any) -> Any:
    """The place in CAUSES of the first cause that turns `derived` into `stated`, for a value of field `about`."""
    ops = st.ops
    tests: tuple[tuple[str, Callable[[], Any]], ...] = (
        ("unit-swapped", lambda: _unit_swapped(st, about, stated, derived)),
        ("single-dual-swapped", lambda: _counterpart(st, about, stated)),
        ("digits-transposed", lambda: _over_spellings(st, stated, derived, ops.digits_swapped)),
        ("digit-missing", lambda: _over_spellings(st, stated, derived, ops.digit_left_out)),
        ("digit-added", lambda: _digit_added(st, stated, derived)),
        ("neighboring-row", lambda: _neighboring_row(st, about, stated, derived)),
        ("decimal-slip", lambda: _decimal_slip(st, about, stated, derived)),
        ("per-pair", lambda: _per_pair(st, about, stated, derived)),
        ("column-shifted", lambda: _column_shifted(st, about, stated)),
        ("rounded", lambda: _rounded(st, about, stated, derived)),
        ("converted-badly", lambda: _converted_badly(st, about, stated, derived)),
        ("copied-from-another-size", lambda: _another_size(st, about, stated)),
        ("index-not-load", lambda: _index_itself(st, about, stated)),
    )
    result = ops.constant(UNCLEAR, stated)
    open_ = ops.known(stated) & ops.known(derived)
    for name, test in tests:
        if not ops.any_of(open_):
            break
        hit = test() & open_
        result = ops.where(hit, float(CAUSES.index(name)), result)
        open_ = open_ & ops.no(hit)
    return result


def _close(ops: Any, a: Any, b: Any, share: float = 0.006, least: float = 0.51) -> Any:
    return ops.magnitude(a - b) <= ops.larger(ops.magnitude(b) * share, least)


def _unit_swapped(st: Statements, about: str, stated: Any, derived: Any) -> Any:
    unit = unit_of(about)
    hit = st.never
    for other in _OTHER_UNITS.get(unit, ()):
        swapped = derived * factor_between("x_" + unit, "x_" + other)
        least = 0.51 if other not in ("in", "bar") else 0.06
        hit = hit | _close(st.ops, stated, swapped, 0.045 if unit in ("km", "mile") else 0.006, least)
    return hit


def _counterpart(st: Statements, about: str, stated: Any) -> Any:
    fact = _COUNTERPARTS.get(about)
    if fact is None:
        return st.never
    if about.startswith("load_index"):
        return stated == st.fact(fact)
    return _close(st.ops, stated, st.fact(fact), 0.021, 2.5)


def _over_spellings(st: Statements, stated: Any, derived: Any, test: Callable[[Any, Any], Any]) -> Any:
    """Tries a digit test on the ways the right value may have been written: whole, cut, in steps of 5 or 10."""
    ops = st.ops
    whole_stated, whole_derived = _whole(ops, stated), _whole(ops, derived)
    whole = ops.nearest(derived)
    fives, tens = ops.nearest(derived / 5.0) * 5.0, ops.nearest(derived / 10.0) * 10.0
    hit = st.never
    if ops.any_of(whole_stated):
        hit = whole_stated & ops.any_way(test, stated, (whole, fives, whole + 1.0, whole - 1.0, tens))
    # A whole number beside a broken one has lost its decimal mark, not a digit.
    tenths = ops.no(whole_stated) & ops.no(whole_derived)
    if ops.any_of(tenths):
        hit = hit | (tenths & test(ops.nearest(stated * 10.0), ops.nearest(derived * 10.0)))
    return hit


def _digit_added(st: Statements, stated: Any, derived: Any) -> Any:
    ops = st.ops
    # 285 for 28.46 is 28.5 without its decimal mark, not 28 with another digit.
    mark_lost = ops.no(_whole(ops, derived)) & (ops.nearest(derived * 10.0) == stated)
    return ops.no(mark_lost) & _over_spellings(st, stated, derived, lambda s, e: ops.digit_left_out(e, s))


def _whole(ops: Any, x: Any) -> Any:
    return ops.magnitude(x - ops.nearest(x)) < 0.005


def _neighboring_row(st: Statements, about: str, stated: Any, derived: Any) -> Any:
    ops = st.ops
    if about in ("load_index", "load_index_dual", "speed_symbol", "load_version", "tire_class"):
        return ops.magnitude(stated - derived) == 1.0
    if about in ("ply_rating", "load_range"):
        return ops.magnitude(stated - derived) == 2.0
    if about == "rim_diameter_in":
        return (ops.magnitude(stated - derived) == 1.0) | (ops.magnitude(stated - derived) == 0.5)
    if about in _LOADS:
        index = st.fact("load_index_dual" if "dual" in about else "load_index")
        factor = 1.0 if about.endswith("kg") else 1.0 / KG_PER_LB
        near = st.never
        for step in (-1.0, 1.0):
            near = near | _close(ops, stated, ops.look_up(st.book.tables.load_kg, index + step) * factor, 0.002, 2.6)
        return near
    if about in ("max_speed_kmh", "max_speed_mph"):
        factor = 1.0 if about.endswith("kmh") else 1.0 / KMH_PER_MPH
        speeds = tuple(st.book.tables.speed_kmh.values())
        near = st.never
        for step in (-1.0, 1.0):
            next_kmh = ops.look_up(speeds, st.fact("speed_symbol") + step)
            near = near | (ops.magnitude(stated - next_kmh * factor) <= 1.7)
        return near
    return st.never


def _decimal_slip(st: Statements, about: str, stated: Any, derived: Any) -> Any:
    ops = st.ops
    share = 0.045 if about.startswith("overall") else 0.021 if about in _LOADS else 0.008
    slipped = tuple(derived * factor for factor in (10.0, 0.1, 100.0, 0.01, 1000.0, 0.001))
    return ops.any_way(lambda s, value: ops.magnitude(s - value) <= ops.magnitude(value) * share, stated, slipped)


def _per_pair(st: Statements, about: str, stated: Any, derived: Any) -> Any:
    if about not in _LOADS:
        return st.never
    return _close(st.ops, stated, 2.0 * derived, 0.021, 3.0) | _close(st.ops, stated, 4.0 * derived, 0.021, 3.0)


def _column_shifted(st: Statements, about: str, stated: Any) -> Any:
    return st.ops.any_way(
        lambda s, value: _close(st.ops, s, value, 0.0005, 0.06),
        stated,
        tuple(st.fact(fact) for fact in _shifted_from(about)),
    )


@cache
def _shifted_from(about: str) -> tuple[str, ...]:
    """The facts that a shifted column could put into a field."""
    return tuple(
        fact
        for field, fact in _NEIGHBORS_OF_FIELDS
        if not _same_quantity(field, about) and not (about in _LOADS and field.startswith("load_index"))
    )


def _same_quantity(field: str, about: str) -> bool:
    return field.rsplit("_", 1)[0] == about.rsplit("_", 1)[0]


def _rounded(st: Statements, about: str, stated: Any, derived: Any) -> Any:
    if about in ("load_index", "load_index_dual", "speed_symbol", "rim_diameter_in", "aspect_ratio"):
        return st.never
    ops = st.ops
    near = ops.magnitude(stated - derived) <= 0.06 * derived
    if not ops.any_of(near):
        return near
    positions = tuple((step, ops.floor(derived / step)) for step in (5.0, 10.0, 25.0, 50.0, 100.0))
    rounded = (
        *(position * step for step, position in positions),
        *((position + 1.0) * step for step, position in positions),
    )
    return near & ops.any_way(lambda s, value: s == value, stated, rounded)


def _converted_badly(st: Statements, about: str, stated: Any, derived: Any) -> Any:
    unit = unit_of(about)
    factors = _BAD_FACTORS.get(unit, ())
    if not factors:
        return st.never
    other = {"lb": KG_PER_LB, "kg": 1 / KG_PER_LB, "mph": KMH_PER_MPH, "kmh": 1 / KMH_PER_MPH}.get(
        unit, 1 / MM_PER_INCH if unit == "mm" else MM_PER_INCH
    )
    ops, in_other, least = st.ops, derived * other, 1.01 if unit != "in" else 0.06
    hit = st.never
    for exact, share in ((False, 0.0015), (True, 0.021 if about in _LOADS else 0.0015)):
        ways = tuple(in_other * factor for factor in factors if (factor in (KG_PER_LB, 1 / KG_PER_LB)) == exact)
        if ways:
            hit = hit | ops.any_way(partial(_close, ops, share=share, least=least), stated, ways)
    return hit


def _another_size(st: Statements, about: str, stated: Any) -> Any:
    ops, tables = st.ops, st.book.tables
    if about in _LOADS:
        factor = 1.0 if about.endswith("kg") else 1.0 / KG_PER_LB
        return (stated >= 190.0 * factor) & (
            ops.distance_to(tables.load_kg, stated / factor) <= ops.larger(stated / factor * 0.002, 1.2)
        )
    if about in ("max_speed_kmh", "max_speed_mph"):
        factor = 1.0 if about.endswith("kmh") else 1.0 / KMH_PER_MPH
        speeds = sorted(tables.speed_kmh.values())
        return ops.distance_to(tuple(speeds), stated / factor) <= 1.7
    if about in ("load_index", "load_index_dual"):
        return (stated >= 20.0) & (stated <= 250.0) & _whole(ops, stated)
    if about == "rim_diameter_in":
        return ops.distance_to(tuple(sorted(tables.rim_diameter_mm)), stated) <= 0.01
    if about == "aspect_ratio":
        return (stated >= 20.0) & (stated <= 100.0) & _whole(ops, stated)
    if about == "section_width_mm":
        return (stated >= 100.0) & (stated <= 900.0)
    if about in (
        "section_width_in",
        "overall_diameter_in",
        "overall_diameter_mm",
        "revs_per_km",
        "revs_per_mile",
    ):
        return (stated >= 4.0) & (stated <= 2500.0)
    if about in ("measured_width_mm", "measured_width_in", "ply_rating", "load_range", "speed_symbol"):
        return stated > 0.0
    return st.never


def _index_itself(st: Statements, about: str, stated: Any) -> Any:
    if about not in _LOADS:
        return st.never
    return (stated == st.fact("load_index")) | (stated == st.fact("load_index_dual"))
