"""Whether the marking itself is the odd one out, by the votes of what else the listing states.

What is voted on, and what counts as one vote, stands in `rules/characteristics.toml`.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any, NamedTuple

from auditor.judging.borne_out import BorneOut, borne_out_by
from auditor.judging.failures import OTHER_TEXT, OUTVOTED, Basis
from auditor.judging.rule_terms import tolerance_of, tolerance_share
from auditor.judging.statements import TEXTS, Slot, Statements, TextMarking
from auditor.rulebook.book import RuleBook
from auditor.rulebook.characteristics import Characteristic, StatedBy
from auditor.trade.facts import SECOND_DESCRIPTION
from auditor.trade.tables import Tables
from auditor.trade.units import unit_of

_Statement = TextMarking | tuple[Slot, StatedBy]
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
        borne_out = borne_out_by(st, characteristic.borne_out_by) if statements and characteristic.borne_out_by else []
        if len(statements) + bool(borne_out) < 2:
            continue
        marked, agree = _marked(st, characteristic), _agreement(st, characteristic)
        none_for, votes = st.ops.known(marked), list[Any]()
        for said in statements:
            if not st.ops.any_of(none_for):
                break
            values = [_value_of(st, characteristic, one) for one in said]
            votes.append(_one_vote(st, values, marked, agree))
            none_for = none_for & st.ops.no(agree(votes[-1], marked))
        if not st.ops.any_of(none_for):
            continue
        if borne_out:
            votes.append(_vote_for_texts(st, characteristic, borne_out))
        outvoted = _count(st, characteristic, marked, votes, agree, none_for)
        outvoted = _spare_second_description(st, outvoted, votes, agree)
        if st.ops.any_of(outvoted.where):
            found.append(outvoted)
    return found


# Cells of their own that a part of a marking put together from several cells comes from, by what is voted on.
_OWN_CELLS = {
    "speed_symbol": ("speed_symbol",),
    "load_index_dual": ("load_index_dual",),
    "section_width_mm": ("section_width_mm", "section_width_in"),
    "aspect_ratio": ("aspect_ratio",),
}


def cell_of_marking(st: Statements, characteristic: Characteristic) -> Any:
    """The position of the source that the marking has a characteristic from: a symbol may have a cell of its own."""
    ops, governing, fact = st.ops, st.governing, characteristic.text_fact
    own = governing.size_stands_in
    position = governing.service_source if characteristic.of_service else governing.size_source
    if characteristic.of_service:
        own = governing.symbol_stands_in if fact == "speed_symbol" else governing.index_stands_in
    for source in st.sources:
        if source.field in _OWN_CELLS.get(fact, ()):
            position = ops.where(own & st.filled(source), source.position, position)
    return position


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


def _independent_statements(st: Statements, characteristic: Characteristic) -> list[list[_Statement]]:
    """What a listing states of one characteristic, by what counts as one vote."""
    cells: list[_Statement] = []
    split: list[_Statement] = []
    texts: list[_Statement] = []
    for stated in characteristic.statements:
        for slot in st.slots.get(stated.field, ()):
            if slot.is_claim:
                texts.append((slot, stated))
            else:  # a cell such as "V (240 km/h)" is one vote, whatever it says beside its own field
                (split if st.sources[slot.source].field in characteristic.tabled else cells).append((slot, stated))
    others = ("size", "service_description") if characteristic.of_service else ("size",)
    texts += [text for text in st.governing.texts if text.report in TEXTS]
    fields: list[_Statement] = [text for text in st.governing.texts if text.report in others]
    return [said for said in (cells, split, texts, fields) if said]


def _value_of(st: Statements, characteristic: Characteristic, said: _Statement) -> Any:
    """A stated value in the unit of what is voted on; codes that their table does not hold are no votes."""
    if isinstance(said, TextMarking):
        return st.marking_fact(characteristic.fact, said.codes)
    slot, stated = said
    ops, value = st.ops, st.value(slot)
    if not slot.is_claim:
        value = ops.where(st.stands_in(slot.field), st.nothing, value)
    if stated.table:
        return ops.look_up(_table(st.book.tables, stated.table), value)
    return ops.where(value < 0, st.nothing, value) if stated.factor is None else value * stated.factor


@lru_cache(maxsize=64)
def _table(tables: Tables, name: str) -> tuple[float, ...]:
    values = getattr(tables, name)
    return tuple(values.values()) if isinstance(values, dict) else values


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


def _vote_for_texts(st: Statements, characteristic: Characteristic, borne_out: list[BorneOut]) -> Any:
    """What the sizes of texts say where a cell of another kind bears them out: its vote."""
    ops, vote = st.ops, st.nothing
    for one in borne_out:
        said = st.marking_fact(characteristic.fact, one.codes)
        vote = ops.first_known(vote, ops.where(one.where, said, st.nothing))
    return vote


def _count(
    st: Statements, characteristic: Characteristic, marked: Any, votes: list[Any], agree: Agreement, none_for: Any
) -> Outvoted:
    ops = st.ops
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
