"""Checks of the marking itself and of the texts that repeat it."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, lru_cache
from typing import Any

from auditor.judging.explained import is_explained
from auditor.judging.failures import OTHER_TEXT, REASON, Basis, Collector, Failure
from auditor.judging.rule_terms import fact_missing, family_in
from auditor.judging.statements import (
    IDENTITY,
    MARKING_TEXTS,
    REGIONS,
    FactFunction,
    Statements,
    TextFunction,
    TextMarking,
)
from auditor.rulebook.rule import Rule
from auditor.trade.facts import SECOND_DESCRIPTION, SEVERAL

_SERVICE_PARTS = ("load_index", "load_index_dual", "speed_symbol")


def missing(rule: Rule, st: Statements, out: Collector) -> None:
    """No size anywhere: not in the marking, not in the size, not in a text."""
    ops = st.ops
    absent = fact_missing(st, "family")
    if not ops.any_of(absent):
        return
    named = {field: source for field in ("marking", "size") if (source := st.source_of(field)) is not None}
    for source in named.values():
        absent = absent & ops.no(st.filled(source))
    absent = absent & ops.no(_refused_title(st))
    for taken in _with_swapped_cells(st):
        absent = absent & ops.no(swapped_size_cells(taken, st))
    # "n/a" in the size alone is named there.  A blank size is as good as none: other listings may have no such field.
    if (size := named.get("size")) is not None:
        here = absent & st.given(size)
        if (marking := named.get("marking")) is not None:
            here = here & ops.no(st.given(marking))
        absent = absent & ops.no(here)
        if ops.any_of(here):
            out.add(Failure(rule, size.position, "size", "marking", here, st.nothing, st.nothing))
    if ops.any_of(absent):
        place = named["marking"].position if "marking" in named else -1
        out.add(Failure(rule, place, "marking", "marking", absent, st.nothing, st.nothing))


def _with_swapped_cells(st: Statements) -> list[Rule]:
    """The rules in force that tell of a width and an aspect ratio in each other's cells."""
    return [rule for rule in st.book.rules if rule.check == "size_cells_swapped"]


_HIGHEST_ASPECT = 100.0  # of any size
_LEAST_WIDTH_MM, _MOST_WIDTH_MM = 125.0, 800.0  # no aspect ratio is so high


def swapped_size_cells(rule: Rule, st: Statements) -> Any:
    """Where the cells of width and aspect ratio make no size as they stand, and would make one the other way round."""
    width, aspect, rim = (st.first(field) for field in rule.fields)
    where = (width <= _HIGHEST_ASPECT) & (aspect >= _LEAST_WIDTH_MM) & (aspect <= _MOST_WIDTH_MM) & st.ops.known(rim)
    return where & fact_missing(st, "family")


def size_cells_swapped(rule: Rule, st: Statements, out: Collector) -> None:
    """A width that is an aspect ratio, beside an aspect ratio that is a width."""
    slots = st.own(rule.fields[0])
    if not slots:
        return
    where = swapped_size_cells(rule, st)
    if st.ops.any_of(where):
        out.add(Failure.of(rule, slots[0], where, st.value(slots[0]), st.nothing))


def unreadable(rule: Rule, st: Statements, out: Collector) -> None:
    """A marking or size that is there and cannot be read; a title that gives all there is, and two sizes for one."""
    for field in ("marking", "size"):
        source = st.source_of(field)
        if source is None:
            continue
        where = st.filled(source) & (st.text_fact(field, "readable") != 1.0)
        if st.ops.any_of(where):
            basis = Basis(REASON, field)
            out.add(Failure(rule, source.position, field, "marking", where, st.nothing, st.nothing, basis=basis))

    title = st.source_of("title")
    where = _refused_title(st) & fact_missing(st, "family")
    if title is not None and st.ops.any_of(where):
        basis = Basis(REASON, "title")
        out.add(Failure(rule, title.position, "title", "marking", where, st.nothing, st.nothing, basis=basis))


def _refused_title(st: Statements) -> Any:
    """Where the title is all that could give a size, and what looks like one in it is not taken for one."""
    refused = st.text_fact("title", "refused") >= SEVERAL
    for field in ("marking", "size"):
        source = st.source_of(field)
        if source is not None:
            refused = refused & st.ops.no(st.filled(source))
    return refused


def nonstandard(rule: Rule, st: Statements, out: Collector) -> None:
    """A marking or size that is readable but written in no standard form."""
    for field in ("marking", "size"):
        source = st.source_of(field)
        if source is None:
            continue
        where = st.text_fact(field, "nonstandard") == 1.0
        if st.ops.any_of(where):
            out.add(Failure(rule, source.position, field, "marking", where, st.nothing, st.nothing))


def contradicted(rule: Rule, st: Statements, out: Collector) -> None:
    """A text that states another size or service description than the governing marking."""
    ops = st.ops
    for text in st.governing.texts:
        if st.repeats_governing(text):
            continue
        size, rim, service, more = st.beside_governing(text, _differing(rule))
        if ops.any_of(service):
            service = service & ops.no(_is_second_of_two(rule, st, text))
        where = size | service
        if ops.any_of(where):
            out.add(
                Failure(
                    rule,
                    text.source,
                    text.report,
                    "marking",
                    where,
                    st.nothing,
                    st.nothing,
                    graded_up=rim | more,
                    basis=Basis(OTHER_TEXT),
                )
            )


@lru_cache(maxsize=64)
def _differing(rule: Rule) -> TextFunction:
    return lambda st, text: (*_size_differs(rule, st, text), *_service_differs(st, text))


def _is_second_of_two(rule: Rule, st: Statements, text: TextMarking) -> Any:
    """Where the same text also gives the marking's own description, and such a tire may carry a second one."""
    ops, given = st.ops, st.never
    symbol = st.marking_fact("speed_symbol", text.codes)
    for other in st.governing.texts:
        if other.source != text.source or other is text:
            continue
        same = ops.known(symbol)
        for name in ("load_index", "speed_symbol"):
            same = same & (st.marking_fact(name, other.codes) == st.fact(name))
        given = given | (same & (symbol != st.fact("speed_symbol")))
    return given & family_in(st, tuple(rule.limit("two_descriptions")))


def _size_differs(rule: Rule, st: Statements, text: TextMarking) -> tuple[Any, Any]:
    """(where the size of a text differs from the governing one, where its rim does)."""
    size = rim = st.never
    for name, tolerance in rule.limit("size").items():
        a, b = st.marking_fact(name, text.codes), st.marking_fact(name, st.governing.codes)
        apart = st.ops.magnitude(a - b) > tolerance
        size = size | apart
        if name.startswith("rim"):
            rim = rim | apart
    return size, rim


def _service_differs(st: Statements, text: TextMarking) -> tuple[Any, Any]:
    """(where the service description of a text differs from the governing one, where it promises more)."""
    ops, codes = st.ops, st.governing.codes
    service = more = st.never
    for name in _SERVICE_PARTS:
        a, b = st.marking_fact(name, text.codes), st.marking_fact(name, codes)
        other = st.marking_fact(SECOND_DESCRIPTION[name], codes)
        apart = ops.known(a) & ops.known(b) & (a != b) & (a != other)
        service = service | apart
        more = more | (apart & (a > b))
    if not st.may_state(SECOND_DESCRIPTION["load_index"]):
        return service, more
    apart, above = _pairs_differ(st, text)
    return service | apart, more | above


_PAIRS = (("load_index", "speed_symbol"), (SECOND_DESCRIPTION["load_index"], SECOND_DESCRIPTION["speed_symbol"]))


def _pairs_differ(st: Statements, text: TextMarking) -> tuple[Any, Any]:
    """(where a load index and speed symbol of a text are none of the two pairs of the marking, where the index is more)

    Load and speed go together: `147A8/144B` is not `150A8/147B`, though each half of it stands there.
    """
    ops, fact = st.ops, st.marking_fact
    own = [tuple(fact(name, st.governing.codes) for name in names) for names in _PAIRS]
    two = ops.known(own[1][0])
    apart = above = st.never
    for names in _PAIRS if ops.any_of(two) else ():
        index, symbol = (fact(name, text.codes) for name in names)
        none = two & ops.known(index) & ops.known(symbol)
        for own_index, own_symbol in own:
            same_speed = symbol == own_symbol
            above = above | (none & same_speed & (index > own_index))
            none = none & ops.no(same_speed & (index == own_index))
        apart = apart | none
    return apart, apart & above


def value_unreadable(rule: Rule, st: Statements, out: Collector) -> None:
    """A cell that holds something, but nothing that its field can hold."""
    if st.all_readable():
        return
    for source in st.sources:
        if source.field in REGIONS and source.field != "service_description":
            continue
        if source.field in IDENTITY or source.field in MARKING_TEXTS[:2]:
            continue
        where = st.unreadable(source)
        if st.ops.any_of(where):
            where = where & st.ops.no(is_explained(st, source))
        if st.ops.any_of(where):
            out.add(
                Failure(
                    rule,
                    source.position,
                    source.field,
                    source.field,
                    where,
                    st.nothing,
                    st.nothing,
                    slight=source.field not in rule.fields,
                    basis=Basis(REASON, source.field),
                )
            )


def zr_symbol_conflict(rule: Rule, st: Statements, out: Collector) -> None:
    """ZR means above 240 km/h; a speed symbol of 240 km/h or less beside it is a contradiction."""
    add_on_marking(rule, st, out, st.per_marking(_is_slow_zr(rule.limit("above_kmh"))), "speed_symbol")


@cache
def _is_slow_zr(above_kmh: float) -> FactFunction:
    def slow_zr(ops: Any, fact: Callable[[str], Any]) -> Any:
        return (fact("zr") == 1.0) & (fact("speed_kmh") <= above_kmh) & ops.missing(fact("speed_floor_kmh"))

    return slow_zr


def add_on_marking(
    rule: Rule, st: Statements, out: Collector, where: Any, about: str, *, named: str = "marking", slight: bool = False
) -> None:
    """A failure on whichever cell the governing service description came from; `named` is what it is about."""
    ops = st.ops
    if not ops.any_of(where):
        return
    for source in st.sources:
        if source.field not in (*REGIONS, "load_index", "speed_symbol"):
            continue
        here = where & (st.governing.service_source == source.position)
        if about == "speed_symbol":
            stands_in = st.governing.symbol_stands_in
            if source.field == "speed_symbol":
                here = where & stands_in & st.filled(source)
            else:
                here = here & ops.no(stands_in)
        if ops.any_of(here):
            out.add(Failure(rule, source.position, source.field, named, here, st.nothing, st.nothing, slight=slight))


def add_on_texts(rule: Rule, st: Statements, out: Collector, fact: str) -> None:
    """A failure on every cell whose own text of the marking has a fact."""
    for source in st.marking_sources():
        where = st.text_fact(source.field, fact) == 1.0
        if st.ops.any_of(where):
            out.add(Failure(rule, source.position, source.field, "marking", where, st.nothing, st.nothing))


CHECKS = {
    "marking_missing": missing,
    "marking_unreadable": unreadable,
    "size_cells_swapped": size_cells_swapped,
    "marking_nonstandard": nonstandard,
    "marking_contradicted": contradicted,
    "value_unreadable": value_unreadable,
    "zr_symbol_conflict": zr_symbol_conflict,
}
