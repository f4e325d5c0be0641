"""Checks of season and snow marks."""

from __future__ import annotations

from auditor.judging.failures import Collector, Failure
from auditor.judging.statements import Statements
from auditor.rulebook.rule import Rule
from auditor.trade.codes import SUMMER, WINTER


def snow_mark_contradicted(rule: Rule, st: Statements, out: Collector) -> None:
    """One statement says the tire bears a snow mark, another says it does not."""
    ops = st.ops
    for field in rule.fields:
        marked = st.fact(field) == 1.0
        cell = st.first(field)
        for slot in st.own(field):
            value = st.value(slot)
            where = marked & (value == 0.0)
            if ops.any_of(where):
                out.add(Failure.of(rule, slot, where, value, ops.constant(1.0, value)))
        for slot in st.claims(field):
            value = st.value(slot)
            truth = ops.where(marked, 1.0, cell)
            where = ops.known(value) & ops.known(truth) & (value != truth)
            if ops.any_of(where):
                out.add(Failure.of(rule, slot, where, value, truth))
    snow = (st.fact("severe_snow") == 1.0) | (st.first("severe_snow") == 1.0)
    for slot in st.own("season"):
        value = st.value(slot)
        where = snow & (value == SUMMER)
        if ops.any_of(where):
            out.add(Failure.of(rule, slot, where, value, st.nothing))


def winter_without_snow_mark(rule: Rule, st: Statements, out: Collector) -> None:
    """A winter tire without the three-peak mountain snowflake no longer counts as one in Germany (StVZO 36)."""
    ops = st.ops
    unmarked = st.fact("severe_snow") != 1.0
    for slot in st.claims("severe_snow"):
        unmarked = unmarked & (st.value(slot) != 1.0)
    without = (st.first("severe_snow") == 0.0) & unmarked
    source = st.source_of("severe_snow")
    if source is not None:
        # Where the field is there and left empty, M+S alone is all that the listing claims.
        only_mud = (st.first("mud_and_snow") == 1.0) | (st.fact("mud_and_snow") == 1.0)
        without = without | (ops.no(st.filled(source)) & only_mud & unmarked)
    for slot in st.own("season"):
        value = st.value(slot)
        where = without & (value == WINTER)
        if ops.any_of(where):
            out.add(Failure.of(rule, slot, where, value, st.nothing))


CHECKS = {
    "snow_mark_contradicted": snow_mark_contradicted,
    "winter_without_snow_mark": winter_without_snow_mark,
}
