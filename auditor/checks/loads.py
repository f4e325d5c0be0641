"""Checks of loads, load indices, speeds and load versions that are no comparison of a value with a fact."""

from __future__ import annotations

from auditor.book import Rule
from auditor.checks.markings import add_on_marking
from auditor.compare import Collector
from auditor.facts import LOAD_VERSIONS
from auditor.statements import Statements

_LOAD_FIELDS = ("max_load_kg", "max_load_lb", "max_load_dual_kg", "max_load_dual_lb")
_SPEED_FIELDS = ("max_speed_kmh", "max_speed_mph")


def _unverified(rule: Rule, st: Statements, out: Collector, fields: tuple[str, ...], unknown: object) -> None:
    """The first statement of each listing that the marking offers nothing to verify with."""
    ops = st.ops
    seen = st.never
    open_ = (st.fact("readable") == 1.0) & unknown
    for field in fields:
        for slot in st.own(field):
            value = st.value(slot)
            where = open_ & ops.known(value) & ops.no(seen)
            seen = seen | where
            if ops.any_of(where):
                out.add(rule, slot.source, slot.report, field, where, value, st.nothing)


def load_unverified(rule: Rule, st: Statements, out: Collector) -> None:
    """A load is stated, but there is no load index to verify it with."""
    _unverified(rule, st, out, _LOAD_FIELDS, st.ops.missing(st.fact("load_index")))


def speed_unverified(rule: Rule, st: Statements, out: Collector) -> None:
    """A speed is stated, but there is no speed symbol to verify it with."""
    ops = st.ops
    unknown = ops.missing(st.fact("speed_kmh")) & ops.missing(st.fact("speed_floor_kmh"))
    _unverified(rule, st, out, _SPEED_FIELDS, unknown)


def dual_load_above_single(rule: Rule, st: Statements, out: Collector) -> None:
    """Four tires on an axle share less evenly than two, so the dual load is never above the single one."""
    ops = st.ops
    index_dual = st.fact("load_index_dual")
    crossed = (index_dual > st.fact("load_index")) & ops.known(st.fact("load_dual_kg"))
    add_on_marking(rule, st, out, crossed & ops.no(st.governing.index_stands_in), "load_index_dual")
    for slot in st.own("load_index_dual"):
        where = crossed & st.governing.index_stands_in & ops.known(st.value(slot))
        if ops.any_of(where):
            out.add(rule, slot.source, slot.report, "load_index_dual", where, index_dual, st.fact("load_index"))
    unsettled = ops.missing(st.fact("load_dual_kg")) & ops.missing(st.fact("load_single_kg"))
    for single, dual, slack in (
        ("max_load_kg", "max_load_dual_kg", 1.2),
        ("max_load_lb", "max_load_dual_lb", 2.5),
        ("load_index", "load_index_dual", 0.0),
    ):
        top = st.first(single)
        for slot in st.own(dual):
            value = st.value(slot)
            where = unsettled & (value > top + slack)
            if dual == "load_index_dual":
                where = where & ops.no(st.governing.index_stands_in)
            if ops.any_of(where):
                out.add(rule, slot.source, slot.report, dual, where, value, top)


def load_index_unknown(rule: Rule, st: Statements, out: Collector) -> None:
    """A load index that the table does not hold: it runs from 0 to 279 in whole numbers."""
    ops = st.ops
    for field in ("load_index", "load_index_dual"):
        for slot in st.slots.get(field, ()):
            value = st.value(slot)
            where = ops.known(value) & ops.missing(ops.look_up(st.book.tables.load_kg, value))
            if ops.any_of(where):
                out.add(rule, slot.source, slot.report, field, where, value, st.nothing)
    index = st.fact("load_index")
    where = ops.known(index) & ops.missing(st.fact("load_single_kg"))
    add_on_marking(rule, st, out, where & ops.no(st.governing.index_stands_in), "load_index")


def speed_symbol_unknown(rule: Rule, st: Statements, out: Collector) -> None:
    """A speed symbol that the table does not hold: I, O, X and a lone Z are none."""
    for slot in st.slots.get("speed_symbol", ()):
        value = st.value(slot)
        where = value < 0.0
        if st.ops.any_of(where):
            out.add(rule, slot.source, slot.report, "speed_symbol", where, st.nothing, st.nothing)


def load_version_contradicted(rule: Rule, st: Statements, out: Collector) -> None:
    """The load version field, or a text, says another version than the marking.

    An unmarked version counts as standard load where the whole marking is quoted, since extra load has to be marked
    (UN Regulation No. 30, from memory); a size field alone may leave the letters out.  A lone RF may mean run-flat.
    """
    ops = st.ops
    marked = st.fact("load_version")
    unsure = st.fact("reinforced_unsure") == 1.0
    standard = float(LOAD_VERSIONS.index("SL"))
    whole = st.never
    source = st.source_of("marking")
    if source is not None:
        whole = (
            (st.governing.size_source == source.place)
            & ops.known(st.fact("load_index"))
            & ops.missing(marked)
            & ops.no(st.governing.index_stands_in)
            & (st.fact("family") <= 1.0)
        )
    for slot in st.slots.get("load_version", ()):
        value = st.value(slot)
        derived = marked if slot.is_claim else ops.where(whole, standard, marked)
        where = ops.known(value) & ops.known(derived) & (value != derived) & ops.no(unsure)
        if ops.any_of(where):
            out.add(rule, slot.source, slot.report, "load_version", where, value, derived)


CHECKS = {
    "load_unverified": load_unverified,
    "speed_unverified": speed_unverified,
    "dual_load_above_single": dual_load_above_single,
    "load_index_unknown": load_index_unknown,
    "speed_symbol_unknown": speed_symbol_unknown,
    "load_version_contradicted": load_version_contradicted,
}
