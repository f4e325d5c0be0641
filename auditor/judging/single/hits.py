"""The failed rules of one listing: collected, weighed by votes, and brought down to one for each wrong cell."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from auditor.judging.single.statements import ListingStatements
from auditor.rulebook.book import Rule
from auditor.rulebook.finding import CAUSES, GRADES
from auditor.rulebook.subjects import GROUPS


@dataclass(slots=True)
class Hit:
    """One failed rule on one cell of one listing."""

    rule: Rule
    source: int
    report: str
    about: str
    stated: float
    derived: float
    rank: int
    detail: Any
    partner: int
    occurrence: int
    also: list[str] = field(default_factory=list)


@dataclass(slots=True)
class ScalarCollector:
    """Collects the hits of one listing."""

    hits: list[Hit] = field(default_factory=list)
    could_not_tell_rules: dict[str, int] = field(default_factory=dict)

    def add(
        self,
        rule: Rule,
        source: int,
        report: str,
        about: str,
        where: bool,
        stated: float,
        derived: float,
        *,
        graded_up: bool | None = None,
        grade: str | None = None,
        detail: Any = "",
        partner: int = -1,
        occurrence: int = 0,
    ) -> None:
        if where:
            name = rule.grade_when_higher if graded_up and rule.grade_when_higher else grade or rule.grade
            self.hits.append(
                Hit(rule, source, report, about, stated, derived, GRADES.index(name), detail, partner, occurrence)
            )

    def could_not_tell(self, rule: Rule, where: bool) -> None:
        if where:
            self.could_not_tell_rules[rule.id] = 1


def weigh(st: ListingStatements, hits: list[Hit]) -> list[Hit]:
    """Lets the votes decide: where the marking is outvoted, one hit on it replaces those that go by it."""
    if not hits:
        return hits
    # Start-up: a listing without findings needs no votes.
    from auditor.judging import votes

    if not any(hit.rule.id in votes.GO_BY_MARKING for hit in hits):
        return hits
    contradicted = next((rule for rule in st.book.rules if rule.id == "marking-contradicted"), None)
    verdicts = votes.votes_against(st) if contradicted is not None else []
    if not verdicts or contradicted is None:
        return hits
    halves = {votes.is_service_subject(verdict.subject) for verdict in verdicts}
    silenced = [hit for hit in hits if _silenced(st, hit, halves)]
    kept = [hit for hit in hits if not any(hit is gone for gone in silenced)]
    graded_up = any(hit.rank == 0 for hit in silenced)
    for verdict in verdicts:
        service = votes.is_service_subject(verdict.subject)
        position = st.governing.service_source if service else st.governing.size_source
        higher = service and verdict.agreed > verdict.marked
        collector = ScalarCollector()
        source = st.sources[position]
        collector.add(
            contradicted,
            position,
            source.field,
            "marking",
            True,
            verdict.marked,
            verdict.agreed,
            graded_up=graded_up or higher or verdict.subject == "rim",
            detail=("outvoted", verdict.subject),
        )
        kept.extend(collector.hits)
    return kept


def _silenced(st: ListingStatements, hit: Hit, halves: set[bool]) -> bool:
    """Whether an outvoted marking silences a hit.

    The half that is not outvoted may be wrong with it (a marking copied from another tire); a value there that a
    slip of its own explains is a mistake of its own.
    """
    # Start-up: a listing without findings needs no votes.
    from auditor.judging import votes
    from auditor.judging.causes import SLIPS, likely_cause

    if hit.rule.id not in votes.GO_BY_MARKING:
        return False
    subject = votes.SUBJECT_OF.get(hit.about)
    if subject is None or votes.is_service_subject(subject) in halves:
        return True
    return CAUSES[int(likely_cause(st, hit.about, hit.stated, hit.derived))] not in SLIPS


def resolve(hits: list[Hit]) -> list[Hit]:
    """One hit per cell: highest grade, then rules against the marking before units before plausibility."""
    against = {hit.source for hit in hits if hit.rule.group == "marking"}
    by_cell: dict[tuple[int, str], list[Hit]] = {}
    for hit in hits:
        if hit.rule.group == "units" and (hit.partner in against or hit.source in against):
            continue
        by_cell.setdefault((hit.source, hit.report if hit.source < 0 else ""), []).append(hit)
    winners = []
    for cell in by_cell.values():
        cell.sort(key=lambda hit: (hit.rank, GROUPS.index(hit.rule.group), hit.rule.order))
        winner = cell[0]
        others = sorted({hit.rule.order: hit.rule.id for hit in cell if hit.rule.id != winner.rule.id}.items())
        winner.also = [rule_id for _, rule_id in others]
        winners.append(winner)
    return sorted(winners, key=lambda hit: (hit.rule.order, hit.report, hit.source))
