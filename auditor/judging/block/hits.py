"""From the hits of a block to its findings: votes weighed, one finding per wrong cell, worded once per distinct text.

The array twin of `auditor.judging.single.hits`; a property test holds the two equal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.judging import votes
from auditor.judging.block.member_sets import MemberSets
from auditor.judging.block.statements import BlockStatements
from auditor.judging.causes import SLIPS, likely_cause
from auditor.judging.statements import TEXTS
from auditor.rulebook.book import Rule
from auditor.rulebook.finding import CAUSES, GRADES
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
    detail: Any
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
            self.detail,
            self.partner,
            self.occurrence,
        )


@dataclass(slots=True)
class BlockCollector:
    """Collects the hits of a block."""

    hits: list[Hits] = field(default_factory=list)
    could_not_tell_rules: dict[str, int] = field(default_factory=dict)

    def add(
        self,
        rule: Rule,
        source: int,
        report: str,
        about: str,
        where: Any,
        stated: Any,
        derived: Any,
        *,
        graded_up: Any = None,
        grade: str | None = None,
        detail: Any = "",
        partner: int = -1,
        occurrence: int = 0,
    ) -> None:
        rows = np.flatnonzero(where)
        if len(rows) == 0:
            return
        rank = np.full(len(rows), GRADES.index(grade or rule.grade), dtype=np.int8)
        if graded_up is not None and rule.grade_when_higher:
            higher = GRADES.index(rule.grade_when_higher)
            rank[graded_up[rows] if isinstance(graded_up, np.ndarray) else np.full(len(rows), bool(graded_up))] = higher
        self.hits.append(
            Hits(rule, source, report, about, rows, stated[rows], derived[rows], rank, detail, partner, occurrence)
        )

    def could_not_tell(self, rule: Rule, where: Any) -> None:
        count = int(np.count_nonzero(where))
        if count:
            self.could_not_tell_rules[rule.id] = self.could_not_tell_rules.get(rule.id, 0) + count


def weigh(st: BlockStatements, hits: list[Hits]) -> list[Hits]:
    """Lets the votes decide: where a marking is outvoted, one hit on it replaces those that go by it."""
    by_marking = [hit for hit in hits if hit.rule.id in votes.GO_BY_MARKING]
    contradicted = next((rule for rule in st.book.rules if rule.id == "marking-contradicted"), None)
    if not by_marking or contradicted is None:
        return hits
    rows = np.unique(np.concatenate([hit.rows for hit in by_marking]))
    part = st.at(rows)
    verdicts = votes.votes_against(part)
    if not verdicts:
        return hits
    halves = {True: part.never, False: part.never}
    for verdict in verdicts:
        half = votes.is_service_subject(verdict.subject)
        halves[half] = halves[half] | verdict.outvoted
    kept, graded_up = [], np.zeros(len(rows), dtype=np.bool_)
    for hit in hits:
        if hit.rule.id not in votes.GO_BY_MARKING:
            kept.append(hit)
            continue
        position = np.searchsorted(rows, hit.rows)
        gone = _silenced(st, hit, halves, position)
        graded_up[position[gone & (hit.rank == 0)]] = True
        if gone.any():
            hit = hit.only(~gone)
        if len(hit.rows):
            kept.append(hit)
    kept.extend(_outvoted(part, rows, verdicts, graded_up, contradicted))
    return kept


def _silenced(st: BlockStatements, hit: Hits, halves: dict[bool, Any], position: Rows) -> npt.NDArray[np.bool_]:
    """Where an outvoted marking silences a hit; see `auditor.judging.single.hits`."""
    either: npt.NDArray[np.bool_] = (halves[True] | halves[False])[position]
    subject = votes.SUBJECT_OF.get(hit.about)
    if subject is None or not either.any():
        return either
    own_half: npt.NDArray[np.bool_] = halves[votes.is_service_subject(subject)][position]
    other = either & ~own_half
    if other.any():
        chosen = np.flatnonzero(other)
        cause = likely_cause(st.at(hit.rows[chosen]), hit.about, hit.stated[chosen], hit.derived[chosen])
        slips = np.isin(cause, [float(CAUSES.index(name)) for name in SLIPS])
        other[chosen[slips]] = False
    return own_half | other


def _outvoted(
    part: BlockStatements,
    rows: Rows,
    verdicts: Sequence[votes.Verdict],
    graded_up: npt.NDArray[np.bool_],
    rule: Rule,
) -> list[Hits]:
    hits: list[Hits] = []
    for verdict in verdicts:
        service = votes.is_service_subject(verdict.subject)
        positions = part.governing.service_source if service else part.governing.size_source
        higher = graded_up | (verdict.subject == "rim")
        if service:
            higher = higher | (verdict.agreed > verdict.marked)
        for source in part.sources:
            collector = BlockCollector()
            collector.add(
                rule,
                source.position,
                source.field,
                "marking",
                verdict.outvoted & (positions == source.position),
                verdict.marked,
                verdict.agreed,
                graded_up=higher,
                detail=("outvoted", verdict.subject),
            )
            for hit in collector.hits:
                hit.rows = rows[hit.rows]
                hits.append(hit)
    return hits


@dataclass(frozen=True, slots=True)
class Winners:
    """The findings of a block, one per wrong cell: record, place among the hits, values, other rules on the cell."""

    rows: Rows
    hit: npt.NDArray[np.int64]
    stated: npt.NDArray[np.float64]
    derived: npt.NDArray[np.float64]
    rank: npt.NDArray[np.int8]
    also: MemberSets  # by rule order

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


def resolve(hits: list[Hits]) -> Winners:
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
    """For each finding: which witnesses agree with the marking and which differ."""

    names: tuple[str, ...]
    subjects: tuple[str, ...]
    agrees: MemberSets
    differs: MemberSets

    def speaking_about(self, subjects: Sequence[frozenset[str]]) -> MemberSets:
        """For each set of subjects the witnesses that speak about one of them."""
        numbers = [[place for place, own in enumerate(self.subjects) if own in wanted] for wanted in subjects]
        return MemberSets.of(numbers, len(self.names))

    def names_of(self, bits: int) -> tuple[str, ...]:
        """The witnesses behind the bits of a set, each named once."""
        return tuple(dict.fromkeys(name for place, name in enumerate(self.names) if bits >> place & 1))


def sides(part: BlockStatements) -> Sides:
    """Asks all witnesses about the records of findings.

    All of them: how many there are hangs on what other records' cells say, and so on which blocks were read before.
    """
    found = votes.witnesses(part)
    agrees, differs = MemberSets.empty(len(found), part.count), MemberSets.empty(len(found), part.count)
    for number, witness in enumerate(found):
        agrees.put(number, witness.agrees)
        differs.put(number, witness.differs)
    return Sides(tuple(w.name for w in found), tuple(w.subject for w in found), agrees, differs)


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
