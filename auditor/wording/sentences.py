"""All wording of findings: derived values as text, messages, evidence, suggestions in the cell's own style.

Pure and scalar; the batch engine calls it once per distinct finding text.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NamedTuple

from auditor.judging.failures import REASON, Basis
from auditor.judging.statements import TEXTS
from auditor.marking.store import as_clause
from auditor.marking.words import MarkingWords
from auditor.rulebook.book import RuleBook
from auditor.rulebook.rule import Rule
from auditor.trade.facts import FACT_POSITION
from auditor.trade.tables import Tables
from auditor.trade.value_text import number_text, with_unit
from auditor.wording.cells import corrected
from auditor.wording.details import BARE, FACT, detail_of


class FindingParts(NamedTuple):
    """What a finding is worded from."""

    rule: Rule
    report: str
    about: str
    basis: Basis
    column: str
    stated_text: str
    derived: float
    words: MarkingWords
    facts: tuple[float, ...]
    reason: str  # why the cell could not be read
    other_field: str
    other_text: str
    agree: tuple[str, ...]
    differ: tuple[str, ...]
    also: tuple[str, ...]
    certain: bool  # what is derived may be put into the cell
    source_field: str  # of the cell
    others: Mapping[str, float]  # what else the cell states wrong: field -> right value


class FindingWords(NamedTuple):
    """The worded columns of a finding."""

    derived: str
    evidence: str
    suggestion: str
    message: str


def word(parts: FindingParts, book: RuleBook) -> FindingWords:
    """Words one finding."""
    rule, words = parts.rule, parts.words
    derived = number_text(parts.about, parts.derived, book.tables)
    floor = parts.facts[FACT_POSITION["speed_floor_kmh"]]
    shown = with_unit(parts.about, derived, parts.about.startswith("max_speed") and floor == floor)
    if rule.derives == "marking":
        derived = shown = words.canonical
    pieces = {
        "stated": quoted(parts.stated_text),
        "derived": shown,
        "field": parts.report,
        "column": parts.column,
        "other": parts.other_text,
        "detail": _detail(parts, book, derived, shown),
        "advice": rule.advice[0 if parts.certain else 1],
        **{name: getattr(words, _WORD_OF.get(name, name)) or default for name, default in PLACEHOLDER_DEFAULTS.items()},
    }
    suggestion = _suggestion(parts, derived, book.tables)
    return FindingWords(derived, _evidence(parts, book), suggestion, filled(rule.says, pieces))


def filled(says: str, pieces: Mapping[str, str]) -> str:
    """A rule's sentence with its places filled; what is unknown stays as it stands."""
    return _FIELD.sub(lambda match: pieces.get(match[1], match[0]), says)


def quoted(text: str) -> str:
    """A stated text as messages quote it."""
    return text if len(text) <= LONGEST_QUOTED else text[:LONGEST_QUOTED] + "..."


_WORD_OF = {"marking": "canonical"}
_FIELD = re.compile(r"\{([a-z_]+)\}")
LONGEST_QUOTED = 200  # characters of a cell that a message quotes
PLACEHOLDER_DEFAULTS = {
    "marking": "the marking",
    "size": "the size",
    "load_index": "(none)",
    "speed_symbol": "(none)",
    "load_range": "(none)",
    "rim": "(none)",
}


def message_parts(says: str) -> list[tuple[str, str]]:
    """A rule's sentence as (plain text, placeholder after it) pairs; the last placeholder is empty."""
    parts, at = [], 0
    for match in _FIELD.finditer(says):
        parts.append((says[at : match.start()], match[1]))
        at = match.end()
    parts.append((says[at:], ""))
    return parts


def _evidence(parts: FindingParts, book: RuleBook) -> str:
    before, after = evidence_ends(
        parts.rule,
        parts.agree,
        parts.differ,
        parts.also,
        parts.other_field or parts.report,
        consequence(book, parts.about),
    )
    return before + parts.words.canonical + after if parts.words.canonical else bare_evidence(before, after)


def consequence(book: RuleBook, about: str) -> str:
    """What may come of believing a wrong value of a field."""
    characteristic = book.characteristic_of.get(about)
    return characteristic.consequence if characteristic else ""


def evidence_ends(
    rule: Rule,
    agree: tuple[str, ...],
    differ: tuple[str, ...],
    also: tuple[str, ...],
    compared: str,
    consequence: str,
) -> tuple[str, str]:
    """What stands before and after the marking in the evidence of a finding."""
    tail = ""
    if also:
        tail += f"; also on this cell: {', '.join(also)}"
    if rule.grade == "critical" and consequence:
        tail += f"; consequence: {consequence}"
    if rule.demand is not None:
        return f"{compared} looked at by itself; marking ", tail
    agree = tuple(name for name in agree if name not in differ)  # a text that says both sides with none
    sides = [f"{verb} {', '.join(names)}" for verb, names in (("agree", agree), ("differ", differ)) if names]
    if sides:
        return "by ", ": " + "; ".join(sides) + tail
    return f"compared {compared} with ", tail


def bare_evidence(before: str, after: str) -> str:
    """The evidence where no marking could be read."""
    return (
        after.removeprefix(": ")
        if before == "by "
        else before.removesuffix(" with ").removesuffix("; marking ") + after
    )


def _detail(parts: FindingParts, book: RuleBook, derived: str, shown: str) -> str:
    """The clause that a sentence needs beyond values of the listing."""
    if parts.basis.kind == REASON:
        return as_clause(parts.reason)
    detail = detail_of(parts.rule, parts.about, parts.basis, book)
    if detail is None:
        return ""
    pieces: dict[str, Any] = {BARE: derived, "derived": shown, "stated": parts.stated_text, "differ": parts.differ}
    made_of = []
    for need in detail.needs:
        if need.startswith(FACT):
            made_of.append(parts.facts[FACT_POSITION[need.removeprefix(FACT)]])
        else:
            made_of.append(pieces[need] if need in pieces else getattr(parts.words, _WORD_OF.get(need, need)))
    return detail.make(*made_of)


def _suggestion(parts: FindingParts, derived: str, tables: Tables) -> str:
    """What to put into the cell, in the cell's own style; empty where nothing certain follows."""
    if parts.rule.derives == "marking":
        return derived
    may = parts.certain and may_suggest(parts.rule, parts.report, parts.about)
    if not derived or not may:
        return ""
    rights = {parts.about: parts.derived, **parts.others}
    return corrected(parts.stated_text, parts.source_field, parts.about, rights, tables)


def may_suggest(rule: Rule, report: str, about: str) -> bool:
    """Whether what follows from a rule may ever be put into a cell."""
    return rule.is_certain(about) and report not in TEXTS
