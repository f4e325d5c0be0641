"""The failed rules of one listing: collected, settled by votes, and brought down to one for each wrong cell."""

from __future__ import annotations

from dataclasses import dataclass, field

from auditor.judging.failures import OUTVOTED, Basis, Failure
from auditor.judging.single.statements import ListingStatements
from auditor.rulebook.finding import GRADES
from auditor.rulebook.rule import Rule
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
    rank: int  # of its grade
    basis: Basis
    partner: int
    occurrence: int
    also: list[str] = field(default_factory=list)


class ScalarCollector:
    """Collects the hits of one listing."""

    def __init__(self) -> None:
        self.hits: list[Hit] = []
        self.could_not_tell_rules: dict[str, int] = {}

    def add(self, failure: Failure) -> None:
        """Takes a failure, if it is one of this listing."""
        if failure.where:
            rule = failure.rule
            grade = (failure.graded_up and rule.grade_when_higher) or failure.grade
            self.hits.append(
                Hit(
                    rule,
                    failure.source,
                    failure.report,
                    failure.about,
                    failure.stated,
                    failure.derived,
                    GRADES.index(grade),
                    failure.basis,
                    failure.partner,
                    failure.occurrence,
                )
            )

    def could_not_tell(self, rule: Rule, where: bool) -> None:
        """Counts a rule that cannot tell."""
        if where:
            self.could_not_tell_rules[rule.id] = 1


def settled_by_votes(st: ListingStatements, hits: list[Hit]) -> list[Hit]:
    """Lets the votes decide: where the marking is outvoted, one hit on it replaces those that go by it."""
    if not any(hit.rule.goes_by_marking for hit in hits):
        return hits
    contradicted = st.book.taker("outvoted-marking")
    if contradicted is None:
        return hits
    # Start-up: a listing without findings needs no votes.
    from auditor.judging.votes import cell_of_marking, outvoted_markings

    outvoted = outvoted_markings(st)
    if not outvoted:
        return hits
    halves = {one.characteristic.half for one in outvoted}
    silenced = [hit for hit in hits if _is_silenced(st, hit, halves)]
    kept = [hit for hit in hits if not any(hit is gone for gone in silenced)]
    graded_up = any(hit.rank == 0 for hit in silenced)
    collector = ScalarCollector()
    for one in outvoted:
        position = int(cell_of_marking(st, one.characteristic))
        collector.add(
            Failure(
                contradicted,
                position,
                st.sources[position].field,
                "marking",
                True,
                one.marked,
                one.agreed,
                graded_up=graded_up or one.is_graded_up(st),
                basis=Basis(OUTVOTED, one.characteristic.name),
            )
        )
    return kept + collector.hits


def _is_silenced(st: ListingStatements, hit: Hit, halves: set[str]) -> bool:
    """Whether an outvoted marking silences a hit.

    The half that is not outvoted may be wrong with it (a marking copied from another tire); a value there that a
    slip of its own explains is a mistake of its own.
    """
    # Start-up: a listing without findings needs no causes.
    from auditor.judging.causes import is_slip, likely_cause

    if not hit.rule.goes_by_marking:
        return False
    characteristic = st.book.characteristic_of.get(hit.about)
    if characteristic is None or characteristic.half in halves:
        return True
    return not is_slip(st, likely_cause(st, hit.about, hit.stated, hit.derived))


def one_per_cell(hits: list[Hit]) -> list[Hit]:
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
