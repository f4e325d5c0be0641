"""Audits tire listings: re-derives load, speed and dimensions from the marking and names what disagrees.

Four calls do the work of the main commands:

* `audit_listing(listing)` gives a `Verdict` on one listing, in well under a millisecond once warm,
* `audit(data)` audits a DataFrame, an Arrow table or feed files and gives an `AuditResult`,
* `decode(text)` reads a marking,
* `substitute(old, new)` says whether one tire may stand in for another: the same or higher, point by point.

>>> import auditor
>>> verdict = auditor.audit_listing({"marking": "225/65R17 102H", "max_load_kg": 950})
>>> verdict.verdict
'hold'
>>> [(finding.rule, finding.field, finding.derived) for finding in verdict.findings]
[('load-overstated', 'max_load_kg', '850')]
>>> auditor.decode("225/65R17 102H").service.load_index
102

Errors raised on purpose are `AuditorError`: `UsageError` (a call or field is wrong), `RuleBookError` (a rule,
policy or map file is wrong), `FeedError` (a feed could not be read), `OutputError` (output could not be written).
Every function may be called from several threads at once.  Importing the package loads nothing else; each name
is loaded when it is first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from auditor.errors import (
        AuditorError,
        FeedError,
        FieldError,
        OutputError,
        RuleBookError,
        UnreadColumnWarning,
        UsageError,
    )
    from auditor.marking import Marking, Unreadable, decode
    from auditor.programs.api import audit_listing
    from auditor.programs.batches import verdict_batches
    from auditor.programs.books import load_book
    from auditor.programs.frames import AuditKeywords, AuditResult, UnreadColumn, audit
    from auditor.programs.many import audit_listings
    from auditor.programs.substitution import Substitution, substitute
    from auditor.programs.verdict import Finding, Verdict
    from auditor.rulebook.book import RuleBook
    from auditor.version import __version__

__all__ = [
    "AuditKeywords",
    "AuditResult",
    "AuditorError",
    "FeedError",
    "FieldError",
    "Finding",
    "Marking",
    "OutputError",
    "RuleBook",
    "RuleBookError",
    "Substitution",
    "UnreadColumn",
    "UnreadColumnWarning",
    "Unreadable",
    "UsageError",
    "Verdict",
    "__version__",
    "audit",
    "audit_listing",
    "audit_listings",
    "decode",
    "load_book",
    "substitute",
    "verdict_batches",
]

_HOMES = {
    "AuditKeywords": "auditor.programs.frames",
    "AuditResult": "auditor.programs.frames",
    "AuditorError": "auditor.errors",
    "FeedError": "auditor.errors",
    "FieldError": "auditor.errors",
    "Finding": "auditor.programs.verdict",
    "Marking": "auditor.marking",
    "OutputError": "auditor.errors",
    "RuleBook": "auditor.rulebook.book",
    "RuleBookError": "auditor.errors",
    "Substitution": "auditor.programs.substitution",
    "UnreadColumn": "auditor.programs.frames",
    "UnreadColumnWarning": "auditor.errors",
    "Unreadable": "auditor.marking",
    "UsageError": "auditor.errors",
    "Verdict": "auditor.programs.verdict",
    "__version__": "auditor.version",
    "audit": "auditor.programs.frames",
    "audit_listing": "auditor.programs.api",
    "audit_listings": "auditor.programs.many",
    "decode": "auditor.marking",
    "load_book": "auditor.programs.books",
    "substitute": "auditor.programs.substitution",
    "verdict_batches": "auditor.programs.batches",
}


def __getattr__(name: str) -> object:
    """Loads a public name when it is first used, so that `import auditor` costs next to nothing."""
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    value: object = getattr(import_module(home), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
