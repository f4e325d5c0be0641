"""The verdict on one listing, as a typed value and as the JSON that `rules/schemas/verdict.json` describes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from auditor.programs.listing_finding import IN_JSON
from auditor.programs.listing_finding import ListingFinding as Finding
from auditor.programs.one_listing import Outcome
from auditor.programs.plain_json import compact_json
from auditor.rulebook.finding import GRADES
from auditor.version import __version__

if TYPE_CHECKING:
    from auditor.marking import Marking

__all__ = ["IN_JSON", "Finding", "Verdict", "Word", "verdict_of"]

Word = Literal["release", "hold"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a listing may be published, and why.

    * `verdict`: "release", or "hold" where a finding has a grade from which the policy holds listings.
    * `marking`: the marking as read, in canonical form; None where none could be read.
    * `findings`: one for each wrong cell, in the order of the rule book, then by field.
    * `suggestions`: for a field the text that should stand in it, only where that is certain and harmless.
    * `could_not_tell`: the rules for which input was missing or unreadable, by their ids.
    """

    verdict: Word
    marking: str | None
    findings: tuple[Finding, ...]
    suggestions: Mapping[str, str]
    could_not_tell: tuple[str, ...]

    def __hash__(self) -> int:
        """Of what the suggestions follow from: a mapping has no hash of its own."""
        return hash((self.verdict, self.marking, self.findings, self.could_not_tell))

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
            "findings": [finding.as_json() for finding in self.findings],
            "suggestions": dict(self.suggestions),
            "could_not_tell": list(self.could_not_tell),
            "program": __version__,
        }

    def to_json(self) -> str:
        """The same as JSON text: byte for byte what the stream and the service answer, without their line end."""
        return compact_json(self.as_json())


def verdict_of(outcome: Outcome, held_grades: tuple[str, ...] = GRADES[:2]) -> Verdict:
    """The verdict that follows from the findings on a listing: held from the policy's grade on."""
    findings = outcome.findings
    held = any(finding.grade in held_grades for finding in findings)
    suggestions = {finding.field: finding.suggestion for finding in findings if finding.suggestion}
    return Verdict(
        "hold" if held else "release", outcome.marking or None, findings, suggestions, outcome.could_not_tell
    )
