"""What is compared: a stated value, and what the marking says of it."""

from __future__ import annotations

from functools import cache
from typing import Any

from auditor.judging.rule_terms import family_in
from auditor.judging.statements import FactFunction, Slot, Statements
from auditor.trade.codes import is_code

STRENGTHS = ("ply_rating", "load_range")  # facts that other statements of the listing settle where no marking does


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
        of_size = family_in(st, ("commercial",))
        if ops.any_of(of_size):
            of_size = of_size & (value == float(st.book.tables.load_range_ply["C"]))
            value = ops.where(of_size, st.nothing, value)
    return value


def derived_for(st: Statements, slot: Slot, fact: str) -> tuple[Any, Any]:
    """The fact a slot is compared with, and (for speeds) where it is only a floor."""
    if fact in ("speed_kmh", "speed_mph"):
        name = "speed_floor_kmh" if fact == "speed_kmh" else "speed_floor_mph"
        if not st.may_state(name):
            return st.fact(fact), None
        return st.per_marking(_speed_or_floor(fact, name)), st.per_marking(_knows(name))
    if fact in STRENGTHS:
        return _strength(st, slot), None
    return st.fact(fact), None


@cache
def _speed_or_floor(speed: str, floor: str) -> FactFunction:
    return lambda ops, fact: ops.first_known(fact(speed), fact(floor))


@cache
def _knows(name: str) -> FactFunction:
    return lambda ops, fact: ops.known(fact(name))


def _strength(st: Statements, slot: Slot) -> Any:
    """Ply rating to compare with: the marking's, else what the listing's other statements agree on.

    Without a load range in the marking, the load range field settles the ply rating, unless a text sides with the
    ply rating; then the load range field is the odd one out.  Where there is no such field, a title goes before the
    field of the ply rating, which is the narrower one, unless a description sides with that.
    """
    ops = st.ops
    marked = st.fact("ply_rating")
    by_range, by_ply = _strength_cells(st, "load_range"), _strength_cells(st, "ply_rating")
    text = title = st.nothing
    outvoted = st.never  # a title, by the cell and a description
    for claim in (*st.claims("ply_rating"), *st.claims("load_range")):
        value = stated_value(st, claim)
        text = ops.first_known(text, value)
        if claim.report == "title":
            title = ops.first_known(title, value)
        else:
            outvoted = outvoted | (value == by_ply)
    title = ops.where(outvoted & (title != by_ply), st.nothing, title)
    text_sides_with_ply = (text == by_ply) & (by_ply != by_range)
    if slot.is_claim:
        return ops.first_known(marked, ops.first_known(by_range, ops.first_known(title, by_ply)))
    if slot.field == "load_range":
        return ops.first_known(marked, ops.where(text_sides_with_ply, text, st.nothing))
    by_range = ops.where(text_sides_with_ply, st.nothing, by_range)
    return ops.first_known(marked, ops.where(ops.missing(_strength_cells(st, "load_range")), title, by_range))


def _strength_cells(st: Statements, field: str) -> Any:
    value = st.nothing
    for slot in st.own(field):
        value = st.ops.first_known(value, stated_value(st, slot))
    return value
