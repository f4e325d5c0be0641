"""Checks of the identifiers of one listing."""

from __future__ import annotations

from auditor.book import Rule
from auditor.compare import Collector
from auditor.statements import Statements


def gtin_check_digit(rule: Rule, st: Statements, out: Collector) -> None:
    """A GTIN of 8, 12, 13 or 14 digits whose last digit does not fit the others (GS1 General Specifications)."""
    source = st.source_of("gtin")
    if source is None:
        return
    where = st.gtin_fault(source)
    if st.ops.any_of(where):
        out.add(rule, source.place, "gtin", "gtin", where, st.nothing, st.nothing)


CHECKS = {"gtin_check_digit": gtin_check_digit}
