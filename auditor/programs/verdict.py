"""The verdict on one listing, as a typed value and as the JSON that `rules/schemas/verdict.json` describes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from auditor.programs.one_listing import ListingFinding as Finding
from auditor.programs.one_listing import Outcome
from auditor.rulebook.finding import GRADES
from auditor.version import __version__

if TYPE_CHECKING:
    from auditor.marking import Marking

__all__ = ["IN_JSON", "Finding", "Verdict", "verdict_of"]

IN_JSON = (
    "rule",
    "grade",
    "field",
    "column",
    "stated",
    "derived",
    "deviation",
    "marking",
    "evidence",
    "likely_cause",
    "suggestion",
    "message",
    "key",
)


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a listing may be published, and why.

    `verdict` is "release" or "hold".  `marking` is the marking as read in canonical form, None where none could be
    read.  `findings` come in rule order, then by field.  `suggestions` maps a field to the text that should stand
    in it, only where that is certain.  `could_not_tell` names the rules for which input was missing or unreadable.
    """

    verdict: str
    marking: str | None
    findings: tuple[Finding, ...]
    suggestions: Mapping[str, str]
    could_not_tell: tuple[str, ...]

    @property
    def released(self) -> bool:
        """Whether the listing may be published as it is."""
        return self.verdict == "release"

    @property
    def decoded(self) -> Marking | None:
        """The marking taken apart, or None where none could be read."""
        # Start-up: few callers ask a verdict for the decoded marking.
        from auditor.marking import Marking, decode

        found = decode(self.marking) if self.marking else None
        return found if isinstance(found, Marking) else None

    def as_json(self) -> dict[str, Any]:
        """The verdict as plain data, in the shape of the `verdict` schema."""
        return {
            "verdict": self.verdict,
            "marking": self.marking,
            "findings": [finding_json(finding) for finding in self.findings],
            "suggestions": dict(self.suggestions),
            "could_not_tell": list(self.could_not_tell),
            "program": __version__,
        }


def verdict_of(outcome: Outcome, held_grades: tuple[str, ...] = GRADES[:2]) -> Verdict:
    """The verdict that follows from the findings on a listing: held from the policy's grade on."""
    findings = outcome.findings
    held = any(finding.grade in held_grades for finding in findings)
    suggestions = {finding.field: finding.suggestion for finding in findings if finding.suggestion}
    return Verdict(
        "hold" if held else "release", outcome.marking or None, findings, suggestions, outcome.could_not_tell
    )


def finding_json(finding: Finding) -> dict[str, Any]:
    """A finding as plain data; empty texts stay empty, a missing deviation is null."""
    return {name: getattr(finding, name) for name in IN_JSON}
