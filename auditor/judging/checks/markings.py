"""Checks of the marking itself and of the texts that repeat it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from auditor.judging.rule_terms import Collector, unknown
from auditor.judging.statements import IDENTITY, MARKING_TEXTS, REGIONS, Statements, TextMarking
from auditor.rulebook.book import Rule

# Parts of a marking that two texts can disagree on: fact, tolerance.
SIZE_PARTS = (
    ("section_width_mm", 0.3),
    ("aspect_ratio", 0.01),
    ("rim_diameter_in", 0.01),
    ("rim_diameter_mm_marked", 0.5),
)
SERVICE_PARTS = (("load_index", 0.0), ("load_index_dual", 0.0), ("speed_symbol", 0.0))

# Cells whose unreadable value is major; elsewhere it is minor.
_WEIGHTY = ("max_load", "max_speed", "load_index", "speed_symbol", "rim_diameter")


def missing(rule: Rule, st: Statements, out: Collector) -> None:
    """No size anywhere: not in the marking, not in the size, not in a text."""
    ops = st.ops
    absent = unknown(st, "family")
    if not ops.any_of(absent):
        return
    first = None
    for field in ("marking", "size"):
        source = st.source_of(field)
        if source is not None:
            absent = absent & ops.no(st.filled(source))
            first = first or source
    if ops.any_of(absent):
        position = first.position if first else -1
        out.add(rule, position, first.field if first else "marking", "marking", absent, st.nothing, st.nothing)


def unreadable(rule: Rule, st: Statements, out: Collector) -> None:
    """A marking or size that is there and cannot be read."""
    for field in ("marking", "size"):
        source = st.source_of(field)
        if source is None:
            continue
        where = st.filled(source) & (st.text_fact(field, "readable") != 1.0)
        if st.ops.any_of(where):
            out.add(rule, source.position, field, "marking", where, st.nothing, st.nothing, detail=("reason", field))


def nonstandard(rule: Rule, st: Statements, out: Collector) -> None:
    """A marking or size that is readable but written in no standard form."""
    for field in ("marking", "size"):
        source = st.source_of(field)
        if source is None:
            continue
        where = st.text_fact(field, "nonstandard") == 1.0
        if st.ops.any_of(where):
            out.add(rule, source.position, field, "marking", where, st.nothing, st.nothing)


def differing(st: Statements, text: TextMarking, codes: Any) -> tuple[Any, Any, Any, Any]:
    """(size differs, service differs, rim differs, promises more) between a text and the marking rows `codes`."""
    ops = st.ops
    size = rim = more = st.never
    for name, tolerance in SIZE_PARTS:
        a, b = st.marking_fact(name, text.codes), st.marking_fact(name, codes)
        apart = ops.magnitude(a - b) > tolerance
        size = size | apart
        if name.startswith("rim"):
            rim = rim | apart
    service = st.never
    for name, _ in SERVICE_PARTS:
        a, b = st.marking_fact(name, text.codes), st.marking_fact(name, codes)
        other = st.marking_fact(name + "_alt", codes)
        apart = ops.known(a) & ops.known(b) & (a != b) & (a != other)
        service = service | apart
        more = more | (apart & (a > b))
    return size, service, rim, more


def contradicted(rule: Rule, st: Statements, out: Collector) -> None:
    """A text that states another size or service description than the governing marking."""
    ops = st.ops
    for text in st.governing.texts:
        if st.repeats_governing(text):
            continue
        size, service, rim, more = differing(st, text, st.governing.codes)
        where = size | service
        if ops.any_of(where):
            out.add(
                rule,
                text.source,
                text.report,
                "marking",
                where,
                st.nothing,
                st.nothing,
                graded_up=rim | more,
                detail=("text", text),
            )


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
            weighty = source.field.startswith(_WEIGHTY) or source.field == "service_description"
            grade = rule.grade if weighty else "minor"
            out.add(
                rule,
                source.position,
                source.field,
                source.field,
                where,
                st.nothing,
                st.nothing,
                grade=grade,
                detail=("reason", source.field),
            )


def zr_symbol_conflict(rule: Rule, st: Statements, out: Collector) -> None:
    """ZR means above 240 km/h; a speed symbol of 240 km/h or less beside it is a contradiction."""
    add_on_marking(rule, st, out, st.per_marking(_is_slow_zr), "speed_symbol")


def _is_slow_zr(ops: Any, fact: Callable[[str], Any]) -> Any:
    return (fact("zr") == 1.0) & (fact("speed_kmh") <= 240.0) & ops.missing(fact("speed_floor_kmh"))


def add_on_marking(rule: Rule, st: Statements, out: Collector, where: Any, about: str, **more: Any) -> None:
    """A hit on whichever cell the governing service description came from."""
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
                here = where & stands_in
            else:
                here = here & ops.no(stands_in)
        if ops.any_of(here):
            out.add(rule, source.position, source.field, "marking", here, st.nothing, st.nothing, **more)


CHECKS = {
    "marking_missing": missing,
    "marking_unreadable": unreadable,
    "marking_nonstandard": nonstandard,
    "marking_contradicted": contradicted,
    "value_unreadable": value_unreadable,
    "zr_symbol_conflict": zr_symbol_conflict,
}
