"""Unit rules: two fields of a listing that state one quantity, held against each other.

Where the marking settles the quantity, comparison rules judge each of the two; here it does not, and the odd one out
is found among what else the listing says.
"""

from __future__ import annotations

from typing import Any

from auditor.judging.failures import Collector, Failure
from auditor.judging.rule_terms import fact_missing, in_force, tolerance_width
from auditor.judging.statements import Slot, Statements
from auditor.rulebook.rule import Pair, Rule
from auditor.trade.units import factor_between, unit_of

_EXACT = 1e-6  # what conversions lose


def unit_rule(rule: Rule, st: Statements, out: Collector) -> None:
    """Runs one rule that holds two fields of a listing against each other, where the marking does not settle it."""
    stated_pairs = [pair for pair in rule.pairs if pair.stated in st.slots and pair.other in st.slots]
    if not stated_pairs:
        return
    ops = st.ops
    allowed = in_force(rule, st)
    for pair in stated_pairs:
        for slot in st.own(pair.stated):
            for other in st.own(pair.other):
                where, in_other, in_own = _units_apart(rule, pair, st, slot, other)
                if allowed is not None:
                    where = where & allowed
                if not ops.any_of(where):
                    continue
                # Start-up: only two units that disagree need to know which of them is odd.
                from auditor.judging.odd_unit import first_is_odd, marked_beside

                own_is_odd = first_is_odd(rule, st, (slot, in_own), (other, in_other))
                for here, there, odd, should in (
                    (slot, other, where & own_is_odd, in_own),
                    (other, slot, where & ops.no(own_is_odd), in_other),
                ):
                    if ops.any_of(odd):
                        should = ops.first_known(marked_beside(rule, st, there, here), should)
                        out.add(Failure.of(rule, here, odd, st.value(here), should, partner=there.source))


def _units_apart(rule: Rule, pair: Pair, st: Statements, slot: Slot, other: Slot) -> tuple[Any, Any, Any]:
    """(where the two disagree, the first in the unit of the second, the second in the unit of the first)."""
    ops = st.ops
    unsettled = _unsettled(pair, st)
    if unsettled is not None and not ops.any_of(unsettled):
        return st.never, st.nothing, st.nothing
    stated, of_other = st.value(slot), st.value(other)
    factor = factor_between(slot.field, other.field)
    in_other, in_own = stated * factor, of_other / factor
    width = _roundings(rule, st, slot, other, in_other)
    apart = ops.magnitude(in_other - of_other) > width
    return apart if unsettled is None else apart & unsettled, in_other, in_own


def _roundings(rule: Rule, st: Statements, slot: Slot, other: Slot, in_other: Any) -> Any:
    """How far two values may lie apart, in the unit of the second."""
    factor, unit = factor_between(slot.field, other.field), unit_of(other.field)
    tolerance = st.book.tolerances.get(rule.tolerance, {})
    if "digits" in tolerance:
        share = 2.0 * float(tolerance["digits"])
        return share * (st.half_step(slot) * factor + st.half_step(other)) + _EXACT
    amounts = [name for name in tolerance if unit_of("x_" + name)]
    if len(amounts) == 1:  # one amount for all units of the quantity
        width = float(tolerance[amounts[0]]) * factor_between("x_" + amounts[0], other.field) + _EXACT
        return width if amounts[0] == unit else width + st.half_step(slot) * factor + st.half_step(other)
    width = st.ops.larger(tolerance_width(st, rule.tolerance, unit, in_other), 0.0)
    return width + st.half_step(other) + _EXACT


def _unsettled(pair: Pair, st: Statements) -> Any:
    """Where the marking does not settle which of two units is right; None where it never does."""
    unsettled = None
    for fact in pair.settled_by:
        missing = fact_missing(st, fact)
        unsettled = missing if unsettled is None else unsettled & missing
    return unsettled
