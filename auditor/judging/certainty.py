"""Whether what follows for a wrong cell may be put into it: only where a wrong marking could hurt nobody by it.

That is where it lowers what the listing promises, or where a second statement, independent of the marking, already says
the same.  A marking that cannot be, or that holds what no table lists, makes nothing certain.
Written over a vocabulary; which fields may only be lowered, or only be agreed on, stands in the rule book.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from auditor.judging.comparator import judge
from auditor.judging.evidence import evidence_on
from auditor.judging.statements import Statements
from auditor.judging.suspicion import suspicion
from auditor.rulebook.characteristics import StatedBy
from auditor.rulebook.rule import Rule

LOWER, AGREED = "lower", "agreed"  # when something is certain enough to be put into a cell
_UNKNOWN = ("load_index_unlisted", "speed_symbol_unlisted", "load_range_unlisted", "partly_unread", "service_unread")
Pick = Callable[[Any], Any]  # of an answer for all listings, that for the listings asked about


class OtherPart(NamedTuple):
    """Another fact of a cell: what it should be, missing where it is right, and where that is not certain."""

    field: str
    right: Any
    unsure: Any


def is_certain(st: Statements, rule: Rule, cell: tuple[int, str], values: tuple[Any, Any], pick: Pick) -> Any:
    """Where what a rule derives may be put into a cell (its source, the field it is about) for what it states.

    `values` are what is stated and derived for the listings that `pick` picks.
    """
    source, about = cell
    ops, none = st.ops, pick(st.never)
    if not rule.is_certain(about):
        return none
    characteristic = st.book.characteristic_of.get(about)
    when = rule.certain_where or (characteristic.certain_where if characteristic else "")
    certain = ops.no(none)
    if when:
        stated, derived = values
        certain = (derived < stated) if when == LOWER else none
        if characteristic is not None:
            certain = certain | pick(_said_elsewhere(st, characteristic.name, source))
    return certain & ops.no(pick(doubtful(st)))


def doubtful(st: Statements) -> Any:
    """Where the marking is none to go by: it cannot be, a second description may be meant, or parts made its size."""
    return st.cached(("doubtful",), lambda: _doubtful(st))


def _doubtful(st: Statements) -> Any:
    ops, suspect = st.ops, suspicion(st)
    found = st.never | st.governing.size_stands_in | ops.known(st.fact("load_index_alt"))
    if suspect is not None:
        for mask in suspect:
            found = found | mask
    for name in _UNKNOWN:
        found = found | (st.fact(name) == 1.0)
    return found


def _said_elsewhere(st: Statements, characteristic: str, source: int) -> Any:
    """Where another cell or text agrees with the marking."""
    said = st.never
    for one in evidence_on(st, frozenset({characteristic})):
        if one.source != source:
            said = said | one.agrees
    return said


def other_parts(st: Statements, cell: tuple[int, str], pick: Pick) -> list[OtherPart]:
    """What else a cell states, beside the field that a finding is about."""
    source, about = cell
    ops, parts = st.ops, []
    for field in sorted({name for name, slots in st.slots.items() if any(one.source == source for one in slots)}):
        stated_by = None if field == about else _stated_by(st, field)
        if stated_by is None:
            continue
        for slot in st.own(field):
            if slot.source != source:
                continue
            how = judge(st, slot, stated_by.fact, stated_by.tolerance, stated_by.allowance)
            wrong = how.above | how.below
            if not ops.any_of(wrong):
                continue
            characteristic = st.book.characteristic_of[field]
            certain = (how.derived < how.stated) if characteristic.certain_where == LOWER else st.never
            if not characteristic.certain_where:
                certain = ops.no(st.never)
            certain = certain | _said_elsewhere(st, characteristic.name, source)
            right = ops.where(wrong, how.derived, st.nothing)
            parts.append(OtherPart(field, pick(right), pick(wrong & ops.no(certain))))
    return parts


def _stated_by(st: Statements, field: str) -> StatedBy | None:
    characteristic = st.book.characteristic_of.get(field)
    if characteristic is None:
        return None
    return next((one for one in characteristic.statements if one.field == field and one.fact), None)
