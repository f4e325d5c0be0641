"""The finding on one listing, as programs get it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from auditor.programs.plain_json import compact_json
from auditor.rulebook.finding import Cause, Grade


@dataclass(frozen=True, slots=True)
class ListingFinding:
    """One finding of one listing: one wrong cell, or one text that is not true of the tire.

    * `key`: 24 hexadecimal digits, a hash of supplier, listing, rule, field and stated text: the same mistake has the
      same key tomorrow, and from a feed, a frame or a call.
    * `rule`: the rule's id; `auditor book RULE` tells what it compares, by which tolerance and which source.
    * `grade`: critical (could hurt someone if believed), major (wrong facts) or minor (rounding, form).
    * `field`, `column`: the listing field called into question, and the header under which it came; "" where none did.
    * `stated`: the raw text of the whole cell, or the claim in a text's own words.
    * `derived`: what it should be, in the unit of `field`, from the marking by the published tables; "" where nothing
      follows.
    * `deviation`: (stated - derived) / derived as a fraction, 0.1 for ten percent too high; None where they are no
      numbers.
    * `marking`: the marking as read, in canonical form; "" where none could be read.
    * `evidence`: which other statements of the listing agree with the marking, and which do not.
    * `likely_cause`: how the value probably came about; "unclear" where nothing known explains it.
    * `suggestion`: the text to put into the cell, in its own style; "" unless it is certain and harmless.
    * `message`: all that in one sentence.
    """

    key: str
    rule: str
    grade: Grade
    field: str
    column: str
    stated: str
    derived: str
    deviation: float | None
    marking: str
    evidence: str
    likely_cause: Cause
    suggestion: str
    message: str

    def as_json(self) -> dict[str, Any]:
        """The finding as plain data; empty texts stay empty, a missing deviation is None."""
        return {name: getattr(self, name) for name in IN_JSON}

    def to_json(self) -> str:
        """The same as JSON text, as it stands in a verdict."""
        return compact_json(self.as_json())


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
