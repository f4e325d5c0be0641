"""Whether the marking itself is the odd one out, by the votes of what else the listing states.

What is voted on, and what counts as one vote, stands in `rules/characteristics.toml`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from auditor.judging.failures import OTHER_TEXT, OUTVOTED, Basis
from auditor.judging.rule_terms import tolerance_of, tolerance_share
from auditor.judging.statements import TEXTS, Slot, Statements
from auditor.rulebook.book import RuleBook
from auditor.rulebook.characteristics import Characteristic
from auditor.trade.facts import SECOND_DESCRIPTION
from auditor.trade.units import unit_of

Agreement = Callable[[Any, Any], Any]  # where a value agrees with another one


class Outvoted(NamedTuple):
    """Where the marking is outvoted on one characteristic: what it says, and what the votes agree on."""

    characteristic: Characteristic
    where: Any
    marked: Any
    agreed: Any

    def is_graded_up(self, st: Statements) -> Any:
        """Where an outvoted marking is worse than a wrong one: the votes promise more, or it names another rim."""
        if self.characteristic.graded_up == "always":
            return st.ops.no(st.never)
        return self.agreed > self.marked if self.characteristic.graded_up == "higher" else st.never


def outvoted_markings(st: Statements) -> list[Outvoted]:
    """Every characteristic on which at least two independent votes stand against the marking."""
    found = []
    for characteristic in st.book.characteristics:
        statements = _independent_statements(st, characteristic)
        if len(statements) < 2:
            continue
        marked, agree = _marked(st, characteristic), _agreement(st, characteristic)
        votes = [_one_vote(st, values, marked, agree) for values in statements]
        outvoted = _count(st, characteristic, marked, votes, agree)
        outvoted = _spare_second_description(st, outvoted, votes, agree)
        if st.ops.any_of(outvoted.where):
            found.append(outvoted)
    return found


def _marked(st: Statements, characteristic: Characteristic) -> Any:
    """What the marking says; where it knows no ceiling, its floor."""
    value = st.fact(characteristic.fact)
    return st.ops.first_known(value, st.fact(characteristic.floor)) if characteristic.floor else value


def _agreement(st: Statements, characteristic: Characteristic) -> Agreement:
    """When two values of a characteristic agree."""
    ops, unit = st.ops, unit_of(characteristic.fact)
    amount = tolerance_of(st, characteristic.tolerance, unit)
    share: Any = tolerance_share(st, characteristic.allowance) if characteristic.allowance else None
    floor = st.fact(characteristic.floor) if characteristic.floor else None

    def agree(a: Any, b: Any) -> Any:
        near = ops.magnitude(a - b) <= (amount if share is None else ops.larger(b * share, amount))
        return near if floor is None else near | ((b == floor) & (a >= b - amount))

    return agree


def _independent_statements(st: Statements, characteristic: Characteristic) -> list[list[Any]]:
    """What a listing states of one characteristic, by what counts as one vote."""
    cells: list[Any] = []
    split: list[Any] = []
    texts: list[Any] = []
    tabled = {stated.field for stated in characteristic.statements if stated.table}
    for stated in characteristic.statements:
        table = _table(st, stated.table) if stated.table else None
        for slot in st.slots.get(stated.field, ()):
            value = _vote_of(st, slot, table, stated.factor)
            if slot.is_claim:
                texts.append(value)
            else:  # a cell such as "V (240 km/h)" is one vote, whatever it says beside its own field
                (split if st.sources[slot.source].field in tabled else cells).append(value)
    texts += _text_values(st, characteristic.fact, TEXTS)
    others = ("size", "service_description") if characteristic.of_service else ("size",)
    fields = _text_values(st, characteristic.fact, others)
    return [values for values in (cells, split, texts, fields) if values]


def _vote_of(st: Statements, slot: Slot, table: tuple[float, ...] | None, factor: float | None) -> Any:
    """A stated value in the unit of what is voted on; codes that their table does not hold are no votes."""
    ops, value = st.ops, st.value(slot)
    if not slot.is_claim:
        value = ops.where(st.stands_in(slot.field), st.nothing, value)
    if table is not None:
        return ops.look_up(table, value)
    return ops.where(value < 0, st.nothing, value) if factor is None else value * factor


def _table(st: Statements, name: str) -> tuple[float, ...]:
    values = getattr(st.book.tables, name)
    return tuple(values.values()) if isinstance(values, dict) else values


def _text_values(st: Statements, fact: str, reports: tuple[str, ...]) -> list[Any]:
    return [st.marking_fact(fact, text.codes) for text in st.governing.texts if text.report in reports]


def _one_vote(st: Statements, values: list[Any], marked: Any, agree: Agreement) -> Any:
    """Joins statements that are no independent votes: the one that sides with the marking, else what they agree on."""
    ops = st.ops
    vote = values[0]
    for value in values[1:]:
        apart = ops.known(vote) & ops.known(value) & ops.no(agree(vote, value))
        for_marking = agree(value, marked)
        joined = ops.first_known(vote, value)
        vote = ops.where(apart & for_marking, value, ops.where(apart & ops.no(agree(vote, marked)), st.nothing, joined))
    return vote


def _count(st: Statements, characteristic: Characteristic, marked: Any, votes: list[Any], agree: Agreement) -> Outvoted:
    ops = st.ops
    none_for = ops.known(marked)
    for vote in votes:
        none_for = none_for & ops.no(agree(vote, marked))
    pair, agreed = st.never, st.nothing
    for position, vote in enumerate(votes):
        for other in votes[position + 1 :]:
            together = agree(vote, other)
            agreed = ops.where(together & ops.no(pair), vote, agreed)
            pair = pair | together
    return Outvoted(characteristic, none_for & pair, marked, agreed)


def _spare_second_description(st: Statements, outvoted: Outvoted, votes: list[Any], agree: Agreement) -> Outvoted:
    """A vote that fits the marking's second service description is a vote for the marking."""
    ops, fact = st.ops, outvoted.characteristic.fact
    if fact not in SECOND_DESCRIPTION or not ops.any_of(outvoted.where):
        return outvoted
    second, where = st.fact(SECOND_DESCRIPTION[fact]), outvoted.where
    for vote in votes:
        where = where & ops.no(agree(vote, second))
    return outvoted._replace(where=where)


def cause_field(book: RuleBook, about: str, basis: Basis) -> str:
    """The field whose value explains a failure: what it is about, or what the marking is outvoted on."""
    if basis.kind != OUTVOTED:
        return about
    return next(one.statements[0].field for one in book.characteristics if one.name == basis.about)


def characteristics_in_evidence(book: RuleBook, about: str, basis: Basis) -> frozenset[str]:
    """The characteristics whose statements belong into a finding's evidence."""
    if basis.kind == OUTVOTED:
        return frozenset({basis.about})
    if basis.kind == OTHER_TEXT:
        return frozenset(one.name for one in book.characteristics if one.told_by_every_marking)
    characteristic = book.characteristic_of.get(about)
    return frozenset({characteristic.name}) if characteristic else frozenset()
