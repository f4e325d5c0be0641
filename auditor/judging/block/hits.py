"""From the hits of a block to its findings: settled by votes, one per wrong cell, worded once per distinct text.

The array twin of `auditor.judging.single.hits`; a property test holds the two equal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.judging.block.member_sets import MemberSets
from auditor.judging.block.statements import BlockStatements
from auditor.judging.causes import is_slip, likely_cause
from auditor.judging.evidence import Evidence, evidence_of
from auditor.judging.failures import OUTVOTED, Basis, Failure
from auditor.judging.statements import TEXTS
from auditor.judging.votes import Outvoted, cell_of_marking, outvoted_markings
from auditor.rulebook.finding import GRADES
from auditor.rulebook.rule import Rule
from auditor.rulebook.subjects import GROUPS
from auditor.trade.codes import is_code

Rows = npt.NDArray[np.int64]
NO_GRADE = len(GRADES)
_NAN_BITS = np.float64("nan").view(np.int64)


class TooManyFindingsError(Exception):
    """Some records have more findings than should be worded at once; asked for by whoever can take fewer records."""

    def __init__(self, count: int) -> None:
        super().__init__(count)
        self.count = count


@dataclass(slots=True)
class Hits:
    """One failed rule on one source, for the records in `rows` (rising)."""

    rule: Rule
    source: int
    report: str
    about: str
    rows: Rows
    stated: npt.NDArray[np.float64]
    derived: npt.NDArray[np.float64]
    rank: npt.NDArray[np.int8]
    basis: Basis
    partner: int
    occurrence: int

    def only(self, keep: npt.NDArray[np.bool_]) -> Hits:
        """The same for some of its records."""
        return Hits(
            self.rule,
            self.source,
            self.report,
            self.about,
            self.rows[keep],
            self.stated[keep],
            self.derived[keep],
            self.rank[keep],
            self.basis,
            self.partner,
            self.occurrence,
        )


@dataclass(slots=True)
class BlockCollector:
    """Collects the hits of a block."""

    hits: list[Hits] = field(default_factory=list)
    could_not_tell_rules: dict[str, int] = field(default_factory=dict)

    def add(self, failure: Failure) -> None:
        """Takes a failure for the records that it is about."""
        rows = np.flatnonzero(failure.where)
        if len(rows) == 0:
            return
        rule, graded_up = failure.rule, failure.graded_up
        rank = np.full(len(rows), GRADES.index(failure.grade), dtype=np.int8)
        if graded_up is not None and rule.grade_when_higher:
            higher = GRADES.index(rule.grade_when_higher)
            rank[graded_up[rows] if isinstance(graded_up, np.ndarray) else np.full(len(rows), bool(graded_up))] = higher
        self.hits.append(
            Hits(
                rule,
                failure.source,
                failure.report,
                failure.about,
                rows,
                failure.stated[rows],
                failure.derived[rows],
                rank,
                failure.basis,
                failure.partner,
                failure.occurrence,
            )
        )

    def could_not_tell(self, rule: Rule, where: Any) -> None:
        count = int(np.count_nonzero(where))
        if count:
            self.could_not_tell_rules[rule.id] = self.could_not_tell_rules.get(rule.id, 0) + count


def settled_by_votes(st: BlockStatements, hits: list[Hits]) -> list[Hits]:
    """Lets the votes decide: where a marking is outvoted, one hit on it replaces those that go by it."""
    by_marking = [hit for hit in hits if hit.rule.goes_by_marking]
    contradicted = st.book.taker("outvoted-marking")
    if not by_marking or contradicted is None:
        return hits
    judged = np.zeros(st.count, dtype=np.bool_)
    for hit in by_marking:
        judged[hit.rows] = True
    rows = np.flatnonzero(judged)
    part = st.at(rows)
    outvoted = outvoted_markings(part)
    if not outvoted:
        return hits
    halves = {"service": part.never, "size": part.never}
    for one in outvoted:
        half = one.characteristic.half
        halves[half] = halves[half] | one.where
    kept, graded_up = [], np.zeros(len(rows), dtype=np.bool_)
    for hit in hits:
        if not hit.rule.goes_by_marking:
            kept.append(hit)
            continue
        position = np.searchsorted(rows, hit.rows)
        gone = _silenced(st, hit, halves, position)
        graded_up[position[gone & (hit.rank == 0)]] = True
        if gone.any():
            hit = hit.only(~gone)
        if len(hit.rows):
            kept.append(hit)
    kept.extend(_on_outvoted_markings(part, rows, outvoted, graded_up, contradicted))
    return kept


def _silenced(st: BlockStatements, hit: Hits, halves: dict[str, Any], position: Rows) -> npt.NDArray[np.bool_]:
    """Where an outvoted marking silences a hit; see `auditor.judging.single.hits`."""
    any_half: npt.NDArray[np.bool_] = (halves["service"] | halves["size"])[position]
    characteristic = st.book.characteristic_of.get(hit.about)
    if characteristic is None or not any_half.any():
        return any_half
    own_half: npt.NDArray[np.bool_] = halves[characteristic.half][position]
    other = any_half & ~own_half
    if other.any():
        chosen = np.flatnonzero(other)
        part = st.at(hit.rows[chosen])
        slips = is_slip(part, likely_cause(part, hit.about, hit.stated[chosen], hit.derived[chosen]))
        other[chosen[slips]] = False
    return own_half | other


def _on_outvoted_markings(
    part: BlockStatements,
    rows: Rows,
    outvoted: Sequence[Outvoted],
    graded_up: npt.NDArray[np.bool_],
    rule: Rule,
) -> list[Hits]:
    collector = BlockCollector()
    for one in outvoted:
        positions = cell_of_marking(part, one.characteristic)
        higher = graded_up | one.is_graded_up(part)
        for source in part.sources:
            where = one.where & (positions == source.position)
            collector.add(
                Failure(
                    rule,
                    source.position,
                    source.field,
                    "marking",
                    where,
                    one.marked,
                    one.agreed,
                    graded_up=higher,
                    basis=Basis(OUTVOTED, one.characteristic.name),
                )
            )
    for hit in collector.hits:
        hit.rows = rows[hit.rows]
    return collector.hits


@dataclass(frozen=True, slots=True)
class Winners:
    """The findings of a block, one per wrong cell: record, place among the hits, values, other rules on the cell."""

    rows: Rows
    hit: npt.NDArray[np.int64]
    stated: npt.NDArray[np.float64]
    derived: npt.NDArray[np.float64]
    rank: npt.NDArray[np.int8]
    also: MemberSets  # by rule order

    @property
    def directions(self) -> npt.NDArray[np.int8]:
        """1 where more is stated than derived, -1 where less, 0 where neither can be said."""
        return np.nan_to_num(np.sign(self.stated - self.derived)).astype(np.int8)

    def also_by(self, rule: Rule) -> int:
        """For how many findings another rule fails on the cell too."""
        return int(np.count_nonzero(self.also.holding(rule.order)))

    def in_order(self, order: Rows) -> Winners:
        """The same findings in another order."""
        return Winners(
            self.rows[order],
            self.hit[order],
            self.stated[order],
            self.derived[order],
            self.rank[order],
            self.also.at(order),
        )


def one_per_cell(hits: list[Hits]) -> Winners:
    """One hit per cell: highest grade, then rules against the marking before units before plausibility."""
    hits_of = np.repeat(np.arange(len(hits)), [len(h.rows) for h in hits])
    rows = np.concatenate([h.rows for h in hits])
    rank = np.concatenate([h.rank for h in hits])
    reports = sorted({h.report for h in hits})
    cell = np.array([_cell(h, reports) for h in hits], dtype=np.int64)[hits_of]
    group = np.array([GROUPS.index(h.rule.group) for h in hits], dtype=np.int64)[hits_of]
    order = np.array([h.rule.order for h in hits], dtype=np.int64)[hits_of]
    cells = rows * _WIDE + cell
    kept = np.arange(len(rows))
    if (group == 1).any():
        against = np.unique(cells[group == 0])
        partner = rows * _WIDE + np.array([h.partner for h in hits], dtype=np.int64)[hits_of]
        kept = np.flatnonzero((group != 1) | ~(np.isin(cells, against) | np.isin(partner, against)))
    # The best of each cell first; ties keep the order in which the rules ran.
    position = (rank.astype(np.int64) * len(GROUPS) + group) * _WIDE + order
    sequence = kept[np.lexsort((position[kept], cells[kept]))]
    cell_of = cells[sequence]
    first = np.flatnonzero(np.concatenate([[True], cell_of[1:] != cell_of[:-1]])) if len(sequence) else sequence
    rules = MemberSets.single(order, max(h.rule.order for h in hits) + 1)
    winners = sequence[first]
    also = rules.at(sequence).united(first) - rules.at(winners)
    report = np.array([reports.index(h.report) for h in hits], dtype=np.int64)[hits_of]
    final = np.lexsort((cell[winners], report[winners], order[winners], rows[winners]))
    winners, also = winners[final], also.at(final)
    stated = np.concatenate([h.stated for h in hits])
    derived = np.concatenate([h.derived for h in hits])
    return Winners(rows[winners], hits_of[winners], stated[winners], derived[winners], rank[winners], also)


_WIDE = 1 << 20  # more than there are cells in a record, or rules
_SOURCES = 1 << 19  # more than there are columns in a feed


def _cell(hit: Hits, reports: Sequence[str]) -> int:
    return hit.source if hit.source >= 0 else _SOURCES + reports.index(hit.report)


@dataclass(frozen=True, slots=True)
class Sides:
    """For each finding: which statements agree with the marking and which differ."""

    names: tuple[str, ...]
    characteristics: tuple[str, ...]
    agrees: MemberSets
    differs: MemberSets

    def speaking_about(self, characteristics: Sequence[frozenset[str]]) -> MemberSets:
        """For each set of characteristics the statements that speak about one of them."""
        own = tuple(enumerate(self.characteristics))
        numbers = [[place for place, name in own if name in wanted] for wanted in characteristics]
        return MemberSets.of(numbers, len(self.names))

    def names_of(self, bits: int) -> tuple[str, ...]:
        """The statements behind the bits of a set, each named once."""
        return tuple(dict.fromkeys(name for place, name in enumerate(self.names) if bits >> place & 1))


def sides(part: BlockStatements) -> Sides:
    """Asks all statements about the records of findings.

    All of them: how many there are hangs on what other records' cells say, and so on which blocks were read before.
    """
    found: list[Evidence] = part.cached(("evidence",), lambda: evidence_of(part))
    agrees, differs = MemberSets.empty(len(found), part.count), MemberSets.empty(len(found), part.count)
    for number, one in enumerate(found):
        agrees.put(number, one.agrees)
        differs.put(number, one.differs)
    return Sides(tuple(one.name for one in found), tuple(one.characteristic for one in found), agrees, differs)


def float_bits(values: npt.NDArray[np.float64]) -> npt.NDArray[np.int64]:
    """Numbers as integers that are equal where the numbers are; all NaNs are one."""
    return np.where(values == values, values.view(np.int64), _NAN_BITS)


def deviations(hits: Sequence[Hits], winners: Winners) -> pa.Array:
    """(stated - derived) / derived where both are numbers, else null."""
    numeric = np.array([not is_code(hit.about) and hit.about != "marking" for hit in hits])[winners.hit]
    with np.errstate(divide="ignore", invalid="ignore"):
        values = (winners.stated - winners.derived) / winners.derived
    return pa.array(values, mask=~(numeric & np.isfinite(values)))


def is_text(report: str) -> bool:
    """Whether a finding names a text, so that its stated value is the claim's own words."""
    return report in TEXTS
