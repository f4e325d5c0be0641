"""Checks of loads, load indices, speeds and load versions that are no comparison of a value with a fact."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from typing import Any

from auditor.judging.checks.markings import add_on_marking, add_on_texts
from auditor.judging.failures import Collector, Failure
from auditor.judging.rule_terms import add_on_first, is_of_family, tolerance_of
from auditor.judging.statements import TEXTS, FactFunction, Slot, Statements
from auditor.judging.suspicion import is_crossed
from auditor.rulebook.rule import Rule
from auditor.trade.codes import LOAD_VERSIONS
from auditor.trade.units import unit_of


def load_unverified(rule: Rule, st: Statements, out: Collector) -> None:
    """A load is stated, but there is no load index to verify it with."""
    add_on_first(rule, st, out, st.per_marking(_has_no_load))


def _has_no_load(ops: Any, fact: Callable[[str], Any]) -> Any:
    return (fact("readable") == 1.0) & ops.missing(fact("load_index"))


def speed_unverified(rule: Rule, st: Statements, out: Collector) -> None:
    """A speed is stated, but there is no speed symbol to verify it with, or one above which no table goes."""
    add_on_first(rule, st, out, st.per_marking(_has_no_speed))
    ops = st.ops
    if not st.may_state("speed_floor_kmh") or not ops.any_of(ops.known(st.fact("speed_floor_kmh"))):
        return
    seen = st.never
    for field in rule.fields:
        unit = unit_of(field)
        most = st.fact(f"speed_floor_{unit}") + tolerance_of(st, rule.tolerance, unit)
        for slot in st.own(field):
            value = st.value(slot)
            where = (value > most) & ops.no(seen)
            seen = seen | where
            if ops.any_of(where):
                out.add(Failure.of(rule, slot, where, value, st.nothing))


def _has_no_speed(ops: Any, fact: Callable[[str], Any]) -> Any:
    return (fact("readable") == 1.0) & ops.missing(fact("speed_kmh")) & ops.missing(fact("speed_floor_kmh"))


def dual_load_above_single(rule: Rule, st: Statements, out: Collector) -> None:
    """Four tires on an axle share less evenly than two, so the dual load is never above the single one."""
    ops = st.ops
    crossed = st.per_marking(is_crossed)
    if ops.any_of(crossed):
        add_on_marking(rule, st, out, crossed & ops.no(st.governing.index_stands_in), "load_index_dual")
        for slot in st.own("load_index_dual"):
            where = crossed & st.governing.index_stands_in & ops.known(st.value(slot))
            if ops.any_of(where):
                out.add(Failure.of(rule, slot, where, st.fact("load_index_dual"), st.fact("load_index")))
    unsettled = st.per_marking(_has_no_loads)
    if not ops.any_of(unsettled):
        return
    for pair in rule.pairs:
        top, slack = st.first(pair.other), tolerance_of(st, rule.tolerance, unit_of(pair.stated))
        for slot in st.own(pair.stated):
            value = st.value(slot)
            where = unsettled & (value > top + slack) & ops.no(st.stands_in(slot.field))
            if ops.any_of(where):
                out.add(Failure.of(rule, slot, where, value, top))


def _has_no_loads(ops: Any, fact: Callable[[str], Any]) -> Any:
    return ops.missing(fact("load_dual_kg")) & ops.missing(fact("load_single_kg"))


def load_index_unknown(rule: Rule, st: Statements, out: Collector) -> None:
    """A load index that the table does not hold: it runs from 0 to 279 in whole numbers."""
    ops = st.ops
    for field in rule.fields:
        for slot in st.slots.get(field, ()):
            where = st.per_value(slot, partial(_off_table, ops, st.book.tables.load_kg))
            if ops.any_of(where):
                out.add(Failure.of(rule, slot, where, st.value(slot), st.nothing))
    where = st.per_marking(_has_unknown_index)
    add_on_marking(rule, st, out, where & ops.no(st.governing.index_stands_in), "load_index")
    add_on_texts(rule, st, out, "load_index_unlisted")


def _off_table(ops: Any, table: tuple[float, ...], index: Any) -> Any:
    return ops.known(index) & ops.missing(ops.look_up(table, index))


def _has_unknown_index(ops: Any, fact: Callable[[str], Any]) -> Any:
    return ops.known(fact("load_index")) & ops.missing(fact("load_single_kg"))


def speed_symbol_unknown(rule: Rule, st: Statements, out: Collector) -> None:
    """A speed symbol that the table does not hold: I, O, X and a lone Z are none."""
    for field in rule.fields:
        for slot in st.slots.get(field, ()):
            where = st.per_value(slot, lambda value: value < 0.0)
            if st.ops.any_of(where):
                out.add(Failure.of(rule, slot, where, st.nothing, st.nothing))
    add_on_texts(rule, st, out, "speed_symbol_unlisted")


def load_version_contradicted(rule: Rule, st: Statements, out: Collector) -> None:
    """The load version field, or a text, says another version than the marking.

    An unmarked version counts as standard load where the whole marking is quoted, since extra load has to be marked
    (UN Regulation No. 30, from memory); a size field alone may leave the letters out.  A lone RF may mean run-flat.
    """
    ops = st.ops
    slots = [slot for field in rule.fields for slot in st.slots.get(field, ())]
    texts = [text for text in st.governing.texts if text.report in TEXTS and not st.repeats_governing(text)]
    if not slots and not texts:
        return
    marked = st.fact("load_version")
    unsure = st.per_marking(_may_be_run_flat)
    standard = float(LOAD_VERSIONS.index("SL"))
    surely = st.per_marking(_is_surely_standard(tuple(rule.limit("marked_families"))))
    low = st.per_marking(_is_of_today)
    whole = st.never
    source = st.source_of("marking")
    if source is not None:
        whole = (st.governing.size_source == source.position) & surely & ops.no(st.governing.index_stands_in)
    # Where an unmarked tire carries more than any standard one, it has only lost its letters; SL is wrong all the same.
    marked = ops.where(
        st.per_marking(_is_surely_reinforced(tuple(rule.limit("marked_families")))),
        float(LOAD_VERSIONS.index("XL")),
        marked,
    )
    for slot in slots:
        value = st.value(slot)
        # Whichever cells the size and the index stand in: no extra load tire carries so little.
        too_little = st.never if slot.is_claim else surely & low & (value > standard)
        derived = ops.where(whole | too_little, standard, marked)
        where = ops.known(value) & ops.known(derived) & (value != derived) & ops.no(unsure)
        if ops.any_of(where):
            out.add(Failure.of(rule, slot, where, value, derived, occurrence=slot.occurrence))
    derived = ops.where(whole, standard, marked)
    for text in texts:  # what stands beside a size in a text: the XL of "225/65R17 XL"
        value = st.marking_fact("load_version", text.codes)
        where = ops.known(value) & ops.known(derived) & (value != derived) & ops.no(unsure)
        where = where & ops.no(st.marking_fact("reinforced_unsure", text.codes) == 1.0)
        if ops.any_of(where):
            out.add(Failure.of(rule, Slot(text.source, "load_version", text.report), where, value, derived))


def _may_be_run_flat(ops: Any, fact: Callable[[str], Any]) -> Any:
    return fact("reinforced_unsure") == 1.0


@cache
def _is_surely_standard(families: tuple[str, ...]) -> FactFunction:
    """An unmarked tire whose load is surely standard; one that carries more may only have lost its letters.

    The loads of standard and reinforced tires meet: those just below the end of the standard band are either.
    """
    of_family = is_of_family(families)

    def standard(ops: Any, fact: Callable[[str], Any]) -> Any:
        unmarked = ops.known(fact("load_index")) & ops.missing(fact("load_version")) & of_family(ops, fact)
        return unmarked & ops.no(fact("load_single_kg") > fact("load_standard_max_kg") / _SURELY_BELOW)

    return standard


def _is_of_today(ops: Any, fact: Callable[[str], Any]) -> Any:
    """Sizes of which the band of standard loads is well known: those of high sections lie in it where they like."""
    return fact("aspect_ratio") < _HIGH_SECTION


@cache
def _is_surely_reinforced(families: tuple[str, ...]) -> FactFunction:
    of_family = is_of_family(families)

    def reinforced(ops: Any, fact: Callable[[str], Any]) -> Any:
        above = fact("load_single_kg") > fact("load_standard_max_kg") * _SURELY_ABOVE
        inside = fact("load_single_kg") <= fact("load_band_max_kg")
        return above & inside & ops.missing(fact("load_version")) & of_family(ops, fact)

    return reinforced


_HIGH_SECTION = 75.0  # P235/75R15 108 is extra load, and in the band of standard loads
_SURELY_BELOW = 1.02  # of known tires, 205/55R16 91 comes next to the end as standard, 295/30R24 104 as reinforced
_SURELY_ABOVE = 1.03  # the ratio of neighboring loads


def plies_for_load_range(rule: Rule, st: Statements, out: Collector) -> None:
    """A ply rating in a cell of the load range that gives neither a letter nor a load version."""
    ops = st.ops
    for slot in st.own("ply_rating"):
        if slot.report != rule.fields[0]:
            continue
        where = ops.known(st.value(slot))
        for name in ("load_range", "load_version"):
            for other in st.own(name):
                if other.source == slot.source:
                    where = where & ops.missing(st.value(other))
        if ops.any_of(where):
            out.add(Failure.of(rule, slot, where, st.value(slot), st.nothing))


CHECKS = {
    "plies_for_load_range": plies_for_load_range,
    "load_unverified": load_unverified,
    "speed_unverified": speed_unverified,
    "dual_load_above_single": dual_load_above_single,
    "load_index_unknown": load_index_unknown,
    "speed_symbol_unknown": speed_symbol_unknown,
    "load_version_contradicted": load_version_contradicted,
}
