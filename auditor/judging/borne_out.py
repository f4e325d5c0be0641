"""Sizes of texts that another statement bears out: a stated overall diameter that is theirs, and not the marking's.

A diameter says nothing of a width or rim by itself.  But where the marking and a text give two sizes, of which one has
the stated diameter, it is a vote of its own for that size.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from auditor.judging.rule_terms import tolerance_of
from auditor.judging.statements import Slot, Statements
from auditor.trade.units import factor_between

_LIMITS = ("diameter_min_mm", "diameter_max_mm")


class BorneOut(NamedTuple):
    """Where a stated diameter is that of the size in a text, whose rows of the marking store are `codes`."""

    slot: Slot
    codes: Any
    where: Any


def borne_out_by(st: Statements, fields: tuple[str, ...]) -> list[BorneOut]:
    """The texts that name a size of their own which a cell with one of the fields bears out against the marking."""
    found: list[BorneOut] = st.cached(("borne out", fields), lambda: _borne_out(st, fields))
    return found


def _borne_out(st: Statements, fields: tuple[str, ...]) -> list[BorneOut]:
    ops, beyond_mm, found = st.ops, tolerance_of(st, "diameter_beyond", "mm"), list[BorneOut]()
    low, high = map(st.fact, _LIMITS)
    texts = [text for text in st.governing.texts if text.report != "service_description"]
    for slot in [slot for field in fields for slot in st.own(field)] if texts else ():
        stated_mm = st.value(slot) * factor_between(slot.field, "x_mm")
        off = (stated_mm < low - beyond_mm) | (stated_mm > high + beyond_mm)
        if not ops.any_of(off):
            continue
        for text in texts:
            least, most = (st.marking_fact(name, text.codes) for name in _LIMITS)
            where = off & (stated_mm >= least) & (stated_mm <= most)
            if ops.any_of(where):
                found.append(BorneOut(slot, text.codes, where))
    return found
