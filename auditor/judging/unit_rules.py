"""Unit rules: two fields of a listing that state one quantity, held against each other.

Where the marking settles the quantity, comparison rules judge each of the two; here it does not, and the odd one out
is found among what else the listing says.
"""

from __future__ import annotations

from typing import Any

from auditor.judging.rule_terms import Collector, band, scope, unknown
from auditor.judging.statements import Slot, Statements
from auditor.rulebook.book import Rule
from auditor.trade.units import factor_between, unit_of


def unit_rule(rule: Rule, st: Statements, out: Collector) -> None:
    """Runs one rule that holds two fields of a listing against each other, where the marking does not settle it."""
    stated_pairs = [pair for pair in rule.pairs if pair.stated in st.slots and pair.other in st.slots]
    if not stated_pairs:
        return
    # Start-up: only two units that disagree need to know which of them is odd.
    from auditor.judging.odd_unit import odd_one

    ops = st.ops
    allowed = scope(rule, st)
    for pair in stated_pairs:
        for slot in st.own(pair.stated):
            for other in st.own(pair.other):
                where, in_other, in_own = _units_apart(rule, st, slot, other)
                if allowed is not None:
                    where = where & allowed
                if not ops.any_of(where):
                    continue
                own_is_odd = odd_one(st, slot, other, in_own, in_other)
                stated, in_background = st.value(slot), st.value(other)
                for here, there, odd, value, should in (
                    (slot, other, where & own_is_odd, stated, in_own),
                    (other, slot, where & ops.no(own_is_odd), in_background, in_other),
                ):
                    if ops.any_of(odd):
                        out.add(
                            rule,
                            here.source,
                            here.report,
                            here.field,
                            odd,
                            value,
                            should,
                            partner=there.source,
                        )


def _units_apart(rule: Rule, st: Statements, slot: Slot, other: Slot) -> tuple[Any, Any, Any]:
    """(where the two disagree, the first in the unit of the second, the second in the unit of the first)."""
    ops = st.ops
    unsettled = _unsettled(rule, st, slot)
    if unsettled is not None and not ops.any_of(unsettled):
        return st.never, st.nothing, st.nothing
    stated, in_background = st.value(slot), st.value(other)
    factor = factor_between(slot.field, other.field)
    in_other, in_own = stated * factor, in_background / factor
    tolerance = st.book.tolerances.get(rule.tolerance, {})
    if "digits" in tolerance:
        share = 2.0 * float(tolerance["digits"])
        width = share * (st.half_step(slot) * factor + st.half_step(other)) + 1e-6
    elif rule.tolerance == "pressure_units":
        width = float(tolerance["psi"]) * factor_between("max_pressure_psi", other.field) + 1e-6
        if other.field != "max_pressure_psi":
            width = width + st.half_step(slot) * factor + st.half_step(other)
    else:
        width = ops.larger(band(st, rule.tolerance, unit_of(other.field), in_other), 0.0)
        width = width + st.half_step(other) + 1e-6
    apart = ops.magnitude(in_other - in_background) > width
    return apart if unsettled is None else apart & unsettled, in_other, in_own


def _unsettled(rule: Rule, st: Statements, slot: Slot) -> Any:
    """Where the marking does not settle which of two units is right; None where it never does."""
    if rule.subject == "load":
        return unknown(st, "load_dual_kg" if "dual" in slot.field else "load_single_kg")
    if slot.field.startswith("section_width"):
        return unknown(st, "section_width_mm")
    if rule.subject == "speed":
        return unknown(st, "speed_kmh") & unknown(st, "speed_floor_kmh")
    return None
