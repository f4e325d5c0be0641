"""How a wrong value came about: the first cause in the list of causes that reproduces it.

Written over a vocabulary, like the comparator.  What each cause is recognized by stands in `rules/causes.toml`.
It answers with the position of the cause in `auditor.rulebook.finding.CAUSES`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache, partial
from typing import Any

from auditor.judging.rule_terms import tolerance_ends, tolerance_of
from auditor.judging.statements import Statements
from auditor.rulebook.finding import CAUSES
from auditor.trade.units import factor_between, unit_of

UNCLEAR = float(CAUSES.index("unclear"))
_WRITTEN = 0.005  # values are written to two decimals at most
Marks = dict[str, Any]  # what a cause is recognized by: its table in the rule book
Test = Callable[[Statements, Marks, str, Any, Any], Any]


def likely_cause(st: Statements, about: str, stated: Any, derived: Any) -> Any:
    """The position in CAUSES of the first cause that turns `derived` into `stated`, for a value of field `about`."""
    return st.beside_marking(("cause", about, stated, derived), lambda: _likely_cause(st, about, stated, derived))


def _likely_cause(st: Statements, about: str, stated: Any, derived: Any) -> Any:
    ops = st.ops
    result = ops.constant(UNCLEAR, stated)
    open_ = ops.known(stated) & ops.known(derived)
    causes = st.book.causes
    for name, number, test in _NUMBERED:
        if not ops.any_of(open_):
            break
        hit = test(st, causes[name], about, stated, derived) & open_
        result = ops.where(hit, number, result)
        open_ = open_ & ops.no(hit)
    return result


def is_slip(st: Statements, cause: Any) -> Any:
    """Whether a cause explains a wrong value by itself, whatever the marking says."""
    hit = cause != cause
    for name, marks in st.book.causes.items():
        if marks.get("slip"):
            hit = hit | (cause == float(CAUSES.index(name)))
    return hit


def _near(st: Statements, marks: Marks, about: str, stated: Any, value: Any, unit: str | None = None) -> Any:
    """Whether `stated` is what a cause would make of the right value; `unit` is another than the field's own."""
    share = marks["share"]
    if "share_in" in marks:
        share = marks["share_in"].get(about, marks["share_in"].get(unit_of(about), share))
    least = marks["least"]
    if "least_in" in marks:
        least = marks["least_in"].get(unit or unit_of(about), least)
    return _within(st.ops, stated, value, share, least)


def _within(ops: Any, a: Any, b: Any, share: float, least: float) -> Any:
    return ops.magnitude(a - b) <= ops.larger(ops.magnitude(b) * share, least)


def _unit_swapped(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    unit = unit_of(about)
    hit = st.never
    for other in marks["units"].get(unit, ()):
        swapped = derived * factor_between("x_" + unit, "x_" + other)
        hit = hit | _near(st, marks, about, stated, swapped, other)
    return hit


def _single_dual_swapped(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    fact = marks["facts"].get(about)
    if fact is None:
        return st.never
    if about in marks["exact"]:
        return stated == st.fact(fact)
    return _near(st, marks, about, stated, st.fact(fact))


def _digits_transposed(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    return _over_spellings(st, marks, stated, derived, st.ops.digits_swapped)


def _digit_missing(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    return _over_spellings(st, marks, stated, derived, st.ops.digit_left_out)


def _digit_added(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    ops = st.ops
    # 285 for 28.46 is 28.5 without its decimal mark, not 28 with another digit.
    mark_lost = ops.no(_whole(ops, derived)) & (ops.nearest(derived * 10.0) == stated)
    added = _over_spellings(st, marks, stated, derived, lambda s, e: ops.digit_left_out(e, s))
    return ops.no(mark_lost) & added


def _over_spellings(st: Statements, marks: Marks, stated: Any, derived: Any, test: Callable[[Any, Any], Any]) -> Any:
    """Tries a digit test on the ways the right value may have been written: whole, cut, in steps."""
    ops = st.ops
    whole_stated, whole_derived = _whole(ops, stated), _whole(ops, derived)
    hit = st.never
    if ops.any_of(whole_stated):
        whole, least = ops.nearest(derived), marks["least"]
        stepped = [ops.nearest(derived / step) * step for step in marks["steps"]]
        hit = whole_stated & ops.any_way(test, stated, (whole, whole + least, whole - least, *stepped))
    # A whole number beside a broken one has lost its decimal mark, not a digit.
    tenths = ops.no(whole_stated) & ops.no(whole_derived)
    if ops.any_of(tenths):
        hit = hit | (tenths & test(ops.nearest(stated * 10.0), ops.nearest(derived * 10.0)))
    return hit


def _whole(ops: Any, x: Any) -> Any:
    return ops.magnitude(x - ops.nearest(x)) < _WRITTEN


def _neighboring_row(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    ops, tables, near = st.ops, st.book.tables, st.never
    for step in marks["steps"].get(about, ()):
        near = near | (ops.magnitude(stated - derived) == step)
    if about in marks["loads"]:
        index, factor = st.fact(marks["loads"][about]), factor_between("x_kg", about)
        for step in (-1.0, 1.0):
            near = near | _near(st, marks, about, stated, ops.look_up(tables.load_kg, index + step) * factor)
    elif about in marks["speeds"]:
        symbol, factor = st.fact(marks["speeds"][about]), factor_between("x_kmh", about)
        slack = tolerance_of(st, marks["speed_tolerance"], "kmh")
        speeds = tuple(tables.speed_kmh.values())
        for step in (-1.0, 1.0):
            near = near | (ops.magnitude(stated - ops.look_up(speeds, symbol + step) * factor) <= slack)
    return near


def _decimal_slip(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    ops = st.ops
    share = marks["share_in"].get(about, marks["share"])
    slipped = tuple(derived * factor for factor in marks["factors"])
    return ops.any_way(lambda s, value: ops.magnitude(s - value) <= ops.magnitude(value) * share, stated, slipped)


def _per_pair(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    hit = st.never
    if about in marks["fields"]:
        for factor in marks["factors"]:
            hit = hit | _near(st, marks, about, stated, factor * derived)
    return hit


def _column_shifted(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    index_itself = about in st.book.causes["index-not-load"]["fields"]
    facts = _shifted_from(about, index_itself, tuple(marks["facts"].items()))
    close = partial(_within, st.ops, share=marks["share"], least=marks["least"])
    hit = st.ops.any_way(close, stated, tuple(st.fact(fact) for fact in facts))
    return hit | _width_or_diameter(st, marks, about, stated)


def _width_or_diameter(st: Statements, marks: Marks, about: str, stated: Any) -> Any:
    """Whether a diameter is the width as measured, or a width a diameter such as tires that wide have on the rim."""
    ops = st.ops
    if about in marks["diameters"]:
        stated_mm, width = stated * factor_between(about, "x_mm"), st.fact("section_width_mm")
        low, high = tolerance_ends(st, marks["width_tolerance"])
        return (stated_mm >= width * low) & (stated_mm <= width * high)
    if about in marks["widths"]:
        width = st.fact("section_width_mm")
        height = (stated * factor_between(about, "x_mm") - st.fact("rim_diameter_mm")) / 2.0
        low, high = marks["heights_by_width"]
        unknown = ops.missing(st.fact("overall_diameter_mm"))
        return unknown & (height >= width * low) & (height <= width * high)
    return st.never


@cache
def _shifted_from(about: str, index_itself: bool, facts: tuple[tuple[str, str], ...]) -> tuple[str, ...]:
    """The facts that a shifted column could put into a field; a load index in a load is a cause of its own."""
    quantity = about.rsplit("_", 1)[0]
    return tuple(
        fact
        for field, fact in facts
        if field.rsplit("_", 1)[0] != quantity and not (index_itself and field.startswith("load_index"))
    )


def _rounded(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    ops = st.ops
    if about in marks["halves"]:  # 22 for 22.5, where a column takes whole numbers only
        return ops.no(_whole(ops, derived)) & _whole(ops, stated) & (ops.magnitude(stated - derived) == 0.5)
    if about in marks["never"]:
        return st.never
    near = ops.magnitude(stated - derived) <= marks["share"] * derived
    if not ops.any_of(near):
        return near
    positions = tuple((step, ops.floor(derived / step)) for step in marks["steps"])
    rounded = (
        *(position * step for step, position in positions),
        *((position + 1.0) * step for step, position in positions),
    )
    return near & ops.any_way(lambda s, value: s == value, stated, rounded)


def _converted_badly(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    unit = unit_of(about)
    factors: Sequence[float] = marks["factors"].get(unit, ())
    if not factors:
        return st.never
    to_other = factor_between("x_" + unit, "x_" + st.book.causes["unit-swapped"]["units"][unit][0])
    ops, in_other = st.ops, derived * to_other
    least = marks["least_in"].get(unit, marks["least"])
    share, twice = marks["share"], marks["share_twice_in"].get(about, marks["share_twice"])
    ways = tuple(in_other * factor for factor in factors)
    hit = ops.any_way(partial(_within, ops, share=share, least=least), stated, ways)
    return hit | _within(ops, stated, in_other * to_other, twice, least)


def _another_size(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    ops, tables = st.ops, st.book.tables
    if about in marks["loads"]:
        kg, lowest = stated / factor_between("x_kg", about), marks["lowest_load_kg"]
        off = ops.distance_to(tables.load_kg, kg)
        return (kg >= lowest) & (off <= ops.larger(kg * marks["share"], marks["least"]))
    if about in marks["speeds"]:
        kmh = stated / factor_between("x_kmh", about)
        slack = tolerance_of(st, marks["speed_tolerance"], "kmh")
        return ops.distance_to(tuple(sorted(tables.speed_kmh.values())), kmh) <= slack
    if about in marks["rims"]:
        return ops.distance_to(tuple(sorted(tables.rim_diameter_mm)), stated) <= marks["rim_tolerance"]
    if about in marks["range"]:
        low, high = marks["range"][about]
        inside = (stated >= low) & (stated <= high)
        return inside & _whole(ops, stated) if about in marks["whole"] else inside
    return stated > 0.0 if about in marks["positive"] else st.never


def _index_not_load(st: Statements, marks: Marks, about: str, stated: Any, derived: Any) -> Any:
    hit = st.never
    if about in marks["fields"]:
        for fact in marks["facts"]:
            hit = hit | (stated == st.fact(fact))
    return hit


_TESTS: tuple[tuple[str, Test], ...] = (
    ("unit-swapped", _unit_swapped),
    ("single-dual-swapped", _single_dual_swapped),
    ("digits-transposed", _digits_transposed),
    ("digit-missing", _digit_missing),
    ("digit-added", _digit_added),
    ("neighboring-row", _neighboring_row),
    ("decimal-slip", _decimal_slip),
    ("per-pair", _per_pair),
    ("column-shifted", _column_shifted),
    ("rounded", _rounded),
    ("converted-badly", _converted_badly),
    ("copied-from-another-size", _another_size),
    ("index-not-load", _index_not_load),
)
_NUMBERED = tuple((name, float(CAUSES.index(name)), test) for name, test in _TESTS)
