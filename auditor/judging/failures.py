"""A rule that fails on a cell, as rules hand it on: facts alone, which `auditor.wording` puts into words."""

from __future__ import annotations

from typing import Any, NamedTuple, Protocol

from auditor.judging.statements import Slot
from auditor.rulebook.rule import Rule

# What a failure can rest on beside the values of the listing; what a value looks like is named by `looks_like`.
VALUES, REASON, OTHER_TEXT, OUTVOTED = "", "reason", "other-text", "outvoted"


class Basis(NamedTuple):
    """What a failure rests on: values, why a cell cannot be read, another text of the marking, or votes.

    `about` is the field of the unreadable cell, or the characteristic on which the marking is outvoted.
    """

    kind: str = VALUES
    about: str = ""


ON_VALUES = Basis()


def looks_like(what: str) -> Basis:
    """The basis of a value that would be right as something else: in another unit, or in another cell."""
    return Basis(f"like-{what}")


class Failure(NamedTuple):
    """A rule that fails on one cell, for the listings where `where` is true."""

    rule: Rule
    source: int  # position of the cell among the sources; -1 where there is none
    report: str  # the field that the finding names
    about: str  # the field that the value speaks about
    where: Any
    stated: Any
    derived: Any
    graded_up: Any = None  # where the grade is the rule's higher one
    slight: bool = False  # the grade is the one that the rule gives to slight failures
    basis: Basis = ON_VALUES
    partner: int = -1  # the other cell of a unit rule
    occurrence: int = 0  # position of a claim among those of its field

    @classmethod
    def of(cls, rule: Rule, slot: Slot, where: Any, stated: Any, derived: Any, **more: Any) -> Failure:
        """A failure of what a slot states."""
        return cls(rule, slot.source, slot.report, slot.field, where, stated, derived, **more)

    @property
    def grade(self) -> str:
        """The grade where it is not the higher one."""
        return self.rule.grade_when_slight or self.rule.grade if self.slight else self.rule.grade


class Collector(Protocol):
    """Takes the failures of rules; one implementation for scalars, one for arrays."""

    def add(self, failure: Failure) -> None:
        """Records a failure."""

    def could_not_tell(self, rule: Rule, where: Any) -> None:
        """Counts the listings for which a rule cannot tell."""


class ScopedCollector:
    """Passes on what a rule finds where it is in force."""

    def __init__(self, collector: Collector, allowed: Any) -> None:
        self._collector = collector
        self._allowed = allowed

    def add(self, failure: Failure) -> None:
        """Records a failure where the rule is in force."""
        self._collector.add(failure._replace(where=failure.where & self._allowed))

    def could_not_tell(self, rule: Rule, where: Any) -> None:
        """Counts the listings for which the rule is in force and cannot tell."""
        self._collector.could_not_tell(rule, where & self._allowed)
