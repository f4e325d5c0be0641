"""Findings held against the answers: what was found, by which rule, on which field, with which cause."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from tests.catalog.cases import Expect
from tests.catalog.layout import Answer, Laid

Finding = Mapping[str, object]
ALARMS = ("critical", "major")


@dataclass(slots=True)
class Tally:
    """Counts for one kind of mistake.  `caused` and `asked` count only the answers that ask for a cause."""

    wanted: int = 0
    found: int = 0
    named: int = 0
    ruled: int = 0
    graded: int = 0
    valued: int = 0
    valued_of: int = 0
    caused: int = 0
    asked: int = 0
    stray: int = 0

    def add(self, other: Tally) -> None:
        """Add another tally to this one."""
        for name in Tally.__dataclass_fields__:
            setattr(self, name, getattr(self, name) + getattr(other, name))


@dataclass(slots=True)
class Verdict:
    """All counts, and the exact places where an answer was missed or a right listing accused."""

    kinds: dict[str, Tally] = field(default_factory=lambda: defaultdict(Tally))
    right: int = 0
    alarms: list[tuple[int, Finding]] = field(default_factory=list)  # above minor, on right listings
    whispers: list[tuple[int, Finding]] = field(default_factory=list)  # minor, on right listings, not allowed for
    misses: list[tuple[Answer, str, list[Finding]]] = field(default_factory=list)
    strays: list[tuple[int, str, Finding]] = field(default_factory=list)

    @property
    def total(self) -> Tally:
        """All kinds together."""
        out = Tally()
        for tally in self.kinds.values():
            out.add(tally)
        return out


def same_value(wanted: float | str, got: object) -> bool:
    """Whether the derived text of a finding gives the wanted value: numbers within 1.5 %, words contained."""
    text = str(got or "").replace(",", "")
    if isinstance(wanted, str) and not re.fullmatch(r"[\d.]+", wanted):
        return wanted.lower() in text.lower()
    numbers = [float(word) for word in re.findall(r"\d+(?:\.\d+)?", text)]
    return any(abs(number - float(wanted)) <= max(0.015 * float(wanted), 0.06) for number in numbers)


def meets(expect: Expect, finding: Finding) -> bool:
    """Whether a finding speaks of the expected mistake at all."""
    return finding["field"] in expect.fields or finding["rule"] in expect.rules


def best(expect: Expect, findings: Iterable[Finding]) -> Finding | None:
    """The finding that answers best, None when none speaks of the mistake."""
    meeting = [finding for finding in findings if meets(expect, finding)]
    return max(
        meeting,
        key=lambda finding: 2 * (finding["field"] in expect.fields) + (finding["rule"] in expect.rules),
        default=None,
    )


def judge(laid: Laid, findings: Iterable[Finding]) -> Verdict:
    """Hold the findings of one feed against its answers."""
    by_record: dict[int, list[Finding]] = defaultdict(list)
    for finding in findings:
        by_record[int(finding["record"] or 0)].append(finding)  # type: ignore[call-overload]
    out = Verdict(right=len(laid.listings) - len(laid.kinds))
    answered: dict[int, list[Answer]] = defaultdict(list)
    for answer in laid.answers:
        answered[answer.record].append(answer)
        _judge_answer(out, answer, by_record[answer.record])
    for record, there in sorted(by_record.items()):
        allowed = laid.may.get(record, frozenset())
        for finding in there:
            if record not in laid.kinds:
                _judge_right(out, record, finding, allowed)
            elif (
                finding["grade"] in ALARMS
                and finding["rule"] not in allowed
                and not any(meets(answer.expect, finding) for answer in answered[record])
            ):
                out.kinds[laid.kinds[record]].stray += 1
                out.strays.append((record, laid.kinds[record], finding))
    return out


def _judge_right(out: Verdict, record: int, finding: Finding, allowed: frozenset[str]) -> None:
    if finding["grade"] in ALARMS:
        out.alarms.append((record, finding))
    elif finding["rule"] not in allowed:
        out.whispers.append((record, finding))


def _judge_answer(out: Verdict, answer: Answer, there: list[Finding]) -> None:
    tally, expect = out.kinds[answer.kind], answer.expect
    tally.wanted += 1
    finding = best(expect, there)
    lacks = []
    if finding is None:
        out.misses.append((answer, "not found", there))
        tally.asked += bool(expect.causes)
        tally.valued_of += expect.derived is not None
        return
    tally.found += 1
    checks = {
        "named": finding["field"] in expect.fields,
        "ruled": finding["rule"] in expect.rules,
        "graded": finding["grade"] in expect.grades,
    }
    if expect.causes:
        tally.asked += 1
        checks["caused"] = finding["likely_cause"] in expect.causes
    if expect.derived is not None:
        tally.valued_of += 1
        checks["valued"] = same_value(expect.derived, finding["derived"])
    for name, holds in checks.items():
        setattr(tally, name, getattr(tally, name) + holds)
        if not holds:
            lacks.append(name)
    if lacks:
        out.misses.append((answer, "not " + ", not ".join(lacks), there))
