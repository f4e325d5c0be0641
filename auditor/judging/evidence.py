"""The evidence of findings: every statement of a listing that bears on a characteristic, beside its marking."""

from __future__ import annotations

from typing import Any, NamedTuple

from auditor.judging.borne_out import borne_out_by
from auditor.judging.comparator import judge
from auditor.judging.statements import Slot, Statements


class Evidence(NamedTuple):
    """One statement that bears on a characteristic, and how it stands to the marking."""

    name: str  # of the field that states it
    source: int  # the place of its cell among the sources
    characteristic: str
    agrees: Any
    differs: Any


def evidence_on(st: Statements, wanted: frozenset[str]) -> list[Evidence]:
    """The evidence on some characteristics; of many listings all of it is made at once, since all will be asked for."""
    if not st.alone:
        every: list[Evidence] = st.cached(("evidence",), lambda: evidence_of(st))
        return [one for one in every if one.characteristic in wanted]
    found: list[Evidence] = st.cached(("evidence", wanted), lambda: evidence_of(st, wanted))
    return found


def evidence_of(st: Statements, wanted: frozenset[str] | None = None) -> list[Evidence]:
    """Every statement that bears on a characteristic of the marking, or on some of them."""
    ops = st.ops
    found = []
    characteristics = [one for one in st.book.characteristics if wanted is None or one.name in wanted]
    for characteristic in characteristics:
        for stated in characteristic.statements:
            for slot in st.slots.get(stated.field, ()) if stated.fact else ():
                how = judge(st, slot, stated.fact, stated.tolerance, stated.allowance)
                free = _is_own_statement(slot, st)
                differs = (how.above | how.below) & free
                agrees = how.known & free & ops.no(differs)
                found.append(Evidence(slot.report, slot.source, characteristic.name, agrees, differs))
        for slot, codes, where in borne_out_by(st, characteristic.borne_out_by) if characteristic.borne_out_by else ():
            marked, said = st.fact(characteristic.text_fact), st.marking_fact(characteristic.text_fact, codes)
            differs = where & (marked != said) & ops.known(said)
            found.append(Evidence(slot.report, slot.source, characteristic.name, st.never, differs))
    for text in st.governing.texts:
        for characteristic in characteristics:
            fact = characteristic.text_fact
            own, marked = st.marking_fact(fact, text.codes), st.fact(fact)
            known = ops.known(own) & ops.known(marked)
            agrees, differs = known & (own == marked), known & (own != marked)
            found.append(Evidence(text.report, text.source, characteristic.name, agrees, differs))
    return found


def _is_own_statement(slot: Slot, st: Statements) -> Any:
    """Where a split field is a statement of its own, and not used in place of a service description."""
    return st.ops.no(st.never if slot.is_claim else st.stands_in(slot.field) | st.never)
