"""A decision as somebody asks for it, checked as far as that can be done without the ledger."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

DECISIONS = ("accept", "ask", "wrong")
LETS_THROUGH = ("accept", "wrong")  # what no longer holds its listing


@dataclass(frozen=True, slots=True)
class AskedDecision:
    """One row of a workbook, one entry of the page's file, or what a command says."""

    place: str  # where it stands, for sentences
    key: str
    decision: str
    because: str = ""
    until: str = ""
    by: str = ""
    night: str | None = None  # of the report it was read from; None: the last one
    source: str = ""  # the file
    stated: str | None = None  # as the row says; None where nobody said it
    marking: str | None = None
    sku: str | None = None


@dataclass(frozen=True, slots=True)
class DecisionLimits:
    """The policy's limits of decisions."""

    critical_days: int


def plain_faults(asked: AskedDecision) -> str | None:
    """What is wrong with a decision whatever the ledger holds, as half a sentence."""
    if asked.decision not in DECISIONS:
        return f"{asked.decision!r} is no decision; there are {', '.join(DECISIONS)}"
    if not asked.key:
        return "its key is missing"
    if asked.until and date_of(asked.until) is None:
        return f"its end {asked.until!r} is no date; write it as 2026-03-31"
    if asked.night is not None and date_of(asked.night) is None:
        return f"its night {asked.night!r} is no date"
    return None


def end_faults(asked: AskedDecision, worst_grade: int, night: str, limits: DecisionLimits) -> str | None:
    """What a decision lacks, or what is wrong with its end, on a finding of that grade (0 is critical)."""
    if asked.until and asked.until < night:
        return f"its end {asked.until} is past on the night {night}"
    if worst_grade > 0 or asked.decision not in LETS_THROUGH:
        return None
    named = (("a reason", asked.because), ("an end", asked.until), ("a name", asked.by))
    missing = [what for what, given in named if not given.strip()]
    if missing:
        return f"a critical finding needs {_listed(missing)} to be let through"
    last = (dt.date.fromisoformat(night) + dt.timedelta(days=limits.critical_days)).isoformat()
    if asked.until > last:
        return (
            f"its end {asked.until} is beyond {last}, {limits.critical_days} days from now, the most for a critical one"
        )
    return None


def date_of(text: str) -> dt.date | None:
    """An ISO date, nothing else."""
    try:
        found = dt.date.fromisoformat(text)
    except ValueError:
        return None
    return found if found.isoformat() == text else None


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
