"""What a text says of its tire against what the comparison rules do not settle, and what it denies."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any

from auditor.judging.derived import derived_for, stated_value
from auditor.judging.failures import Collector, Failure
from auditor.judging.rule_terms import family_in
from auditor.judging.statements import Slot, Statements
from auditor.judging.suspicion import prefix_left_out
from auditor.quantities.cell_values import DENIED
from auditor.rulebook.rule import Rule
from auditor.trade.codes import SUMMER, code_number
from auditor.trade.units import factor_between, unit_of

# Facts that a denied claim is held against; else the field of its name.
_FACTS = frozenset(
    {"load_index", "load_index_dual", "speed_symbol", "rim_diameter_in", "load_range", "ply_rating", "construction",
     "load_version", "run_flat"}
)  # fmt: skip
_MARKS = frozenset({"severe_snow", "mud_and_snow"})


def text_contradicted(rule: Rule, st: Statements, out: Collector) -> None:
    """A text says something else than the field of that name, or than what the marking implies."""
    ops, near = st.ops, rule.limit("near")
    for names in _quantities(rule):
        for name in names if not st.slots.keys().isdisjoint(names) else ():
            for slot in st.claims(name):
                value, truth = stated_value(st, slot), _field(st, names, name)
                off = ops.magnitude(value - truth)
                width = ops.larger(near.get(unit_of(name), 0.0), st.half_step(slot))
                _fail(rule, st, out, slot, ops.known(off) & ops.no(off <= width), truth)
    for name, implied in _IMPLIED.items() if not st.slots.keys().isdisjoint(_IMPLIED) else ():
        for slot in st.claims(name):
            where, truth = implied(rule, st, stated_value(st, slot))
            _fail(rule, st, out, slot, where, truth)


@lru_cache(maxsize=16)
def _quantities(rule: Rule) -> tuple[tuple[str, ...], ...]:
    """The fields of each quantity that a text and a field may state."""
    return tuple(tuple(fields.split()) for fields in rule.limit("same_quantity"))


def _fail(rule: Rule, st: Statements, out: Collector, slot: Slot, where: Any, truth: Any) -> None:
    if st.ops.any_of(where):
        field = slot.field.removeprefix(DENIED)
        found = Failure(rule, slot.source, slot.report, field, where, st.nothing, truth, occurrence=slot.occurrence)
        out.add(found)


def _field(st: Statements, names: tuple[str, ...], name_of_claim: str) -> Any:
    """What the first of some fields states, in the unit of a claim."""
    found = st.first(name_of_claim)
    for name in names:
        if name != name_of_claim:
            found = st.ops.first_known(found, st.first(name) * factor_between(name, name_of_claim))
    return found


def _construction(rule: Rule, st: Statements, value: Any) -> tuple[Any, Any]:
    """A size with a dash and no letter is one of bias construction."""
    ops, tables = st.ops, st.book.tables
    bias = ops.constant(code_number("construction", "D", tables), value)
    dashed = (st.fact("readable") == 1.0) & ops.no(ops.known(st.fact("construction")))
    dashed = dashed & ops.known(st.fact("section_width_mm")) & ops.known(st.fact("rim_diameter_in"))
    return dashed & (value == code_number("construction", "R", tables)), bias


def _strength(rule: Rule, st: Statements, value: Any) -> tuple[Any, Any]:
    """A passenger tire that states no load range or plies of its own is no truck tire."""
    ops = st.ops
    plain = family_in(st, tuple(rule.limit("plain_families"))) & ops.no(prefix_left_out(st))
    for known in (st.fact("ply_rating"), st.fact("load_range"), st.first("ply_rating")):
        plain = plain & ops.no(ops.known(known))
    stated = st.first("load_range")
    plain = plain & ops.no(ops.known(stated) & (stated >= 0.0))
    return plain & (value > rule.limit("plain_plies")), ops.constant(rule.limit("usual_plies"), value)


def _run_flat(rule: Rule, st: Statements, value: Any) -> tuple[Any, Any]:
    return (st.fact("run_flat") == 1.0) & (value == 0.0), st.fact("run_flat")


def _severe_snow(rule: Rule, st: Statements, value: Any) -> tuple[Any, Any]:
    """A summer tire bears no mark for severe snow; where something else states the mark, that is looked at instead."""
    ops = st.ops
    summer = (st.first("season") == SUMMER) & ops.no(ops.known(st.first("severe_snow")))
    return summer & (st.fact("severe_snow") != 1.0) & (value == 1.0), ops.constant(0.0, value)


_IMPLIED: dict[str, Callable[[Rule, Statements, Any], tuple[Any, Any]]] = {
    "construction": _construction,
    "ply_rating": _strength,
    "load_range": _strength,
    "run_flat": _run_flat,
    "severe_snow": _severe_snow,
}


def text_denies(rule: Rule, st: Statements, out: Collector) -> None:
    """A text denies what the marking, or the field of that name, says."""
    ops = st.ops
    for field in rule.fields if any(name.startswith(DENIED) for name in st.slots) else ():
        for slot in st.claims(DENIED + field):
            truth = st.nothing if field == "run_flat" else st.first(field)
            if field in _FACTS:
                plain = Slot(slot.source, field, slot.report, slot.occurrence)
                truth = ops.first_known(derived_for(st, plain, field)[0], truth)
            elif field in _MARKS:
                truth = ops.where(st.fact(field) == 1.0, 1.0, truth)
            value = st.value(slot)
            _fail(rule, st, out, slot, ops.known(value) & (value == truth), truth)


CHECKS = {"text_contradicted": text_contradicted, "text_denies": text_denies}
