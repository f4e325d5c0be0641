"""Decisions of the staff: taken whole or refused with a sentence, on a finding or on all that a group stood for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from auditor.ledger.asked import LETS_THROUGH, AskedDecision, DecisionLimits, end_faults, plain_faults
from auditor.ledger.database import Database, first


@dataclass(slots=True)
class TakenDecisions:
    """What became of the decisions that were asked for."""

    taken: int = 0  # decisions
    findings: int = 0  # that they are about
    refused: list[str] = field(default_factory=list)  # a sentence each
    replaced: list[str] = field(default_factory=list)  # a sentence for each decision that gave way to a later one


@dataclass(frozen=True, slots=True)
class _Target:
    """The findings that a decision is about: they stood on the night of the report, and stand now."""

    where: str  # of ledger_findings
    values: tuple[str, ...]
    column: bool  # a finding about a whole column
    group: bool  # a repeated mistake


def take_decisions(
    database: Database, asked: Sequence[AskedDecision], night: str, limits: DecisionLimits
) -> TakenDecisions:
    """Takes decisions into the ledger, on the night it is now, within the transaction that is open."""
    result = TakenDecisions()
    doubtful = _contradicting(asked)
    for one in asked:
        fault = doubtful.get((one.source, one.key)) or _take(database, one, night, limits, result)
        if fault is not None:
            result.refused.append(f"{one.place}: {fault}.")
    return result


def _contradicting(asked: Sequence[AskedDecision]) -> dict[tuple[str, str], str]:
    """Keys that one file decides in two ways: nobody knows which of the two is meant."""
    seen: dict[tuple[str, str], AskedDecision] = {}
    doubtful = {}
    for one in asked:
        other = seen.setdefault((one.source, one.key), one)
        if _what(other) != _what(one):
            doubtful[(one.source, one.key)] = f"the same finding is decided in two ways ({other.place}, {one.place})"
    return doubtful


def _what(one: AskedDecision) -> tuple[str, ...]:
    return one.decision, one.because, one.until, one.by


def _take(
    database: Database, one: AskedDecision, night: str, limits: DecisionLimits, result: TakenDecisions
) -> str | None:
    """Takes one decision, or gives the reason why not as half a sentence."""
    fault = plain_faults(one)
    if fault is not None:
        return fault
    read_on = one.night or night
    target = _target(database, one.key, read_on)
    if isinstance(target, str):
        return target
    if _is_in_force_already(database, one, target):
        return None
    if not (target.column or target.group):
        fault = _edited(database, one, read_on)
        if fault is not None:
            return fault
    worst = first(database, f"SELECT min(grade) FROM ledger_findings WHERE {target.where}", *target.values)
    grade = int(worst[0]) if worst and worst[0] is not None else 0
    if target.column and grade == 0 and one.decision in LETS_THROUGH:
        return "a critical finding about a whole column can be asked about, not accepted as a whole"
    fault = end_faults(one, grade, night, limits) or _older(database, one, target, read_on)
    if fault is not None:
        return fault
    _name_replaced(database, one, target, result)
    result.findings += _write(database, one, target, night, read_on)
    result.taken += 1
    return None


def _target(database: Database, key: str, read_on: str) -> _Target | str:
    """The findings that a key is for; a half sentence where there are none."""
    then = "since <= ? AND (until = '' OR until > ?)"
    for name, column, group in (("key", False, False), ("in_column", True, False), ("in_group", False, True)):
        members = f"SELECT key FROM ledger_findings WHERE {name} = ? AND {name} <> '' AND {then}"
        there = f"key IN ({members})"
        if first(database, f"SELECT 1 FROM ledger_findings WHERE {there}", key, read_on, read_on) is None:
            continue
        where = f"until = '' AND {there}"
        if first(database, f"SELECT 1 FROM ledger_findings WHERE {where}", key, read_on, read_on) is None:
            gone = first(
                database,
                f"SELECT max(until) FROM ledger_findings WHERE {there}",
                key,
                read_on,
                read_on,
            )
            return f"its finding is gone since {gone[0] if gone else read_on}"
        return _Target(where, (key, read_on, read_on), column, group)
    known = first(database, "SELECT min(since) FROM ledger_findings WHERE key = ?", key)
    if known is not None and known[0] is not None:
        return f"the ledger knows its finding, but not on the night {read_on}"
    return f"the ledger knows no finding with the key {key}; is it of another ledger, or was the key edited?"


def _edited(database: Database, one: AskedDecision, read_on: str) -> str | None:
    """Whether the row is about what its key says, and whether that is still so."""
    then = first(
        database,
        "SELECT stated, marking FROM ledger_findings WHERE key = ? AND since <= ? AND (until = '' OR until > ?)",
        one.key,
        read_on,
        read_on,
    )
    now = first(database, "SELECT marking FROM ledger_findings WHERE key = ? AND until = ''", one.key)
    assert then is not None and now is not None
    for what, given, known in (("value", one.stated, then[0]), ("marking", one.marking, then[1])):
        if given is not None and _plain(given) != _plain(known):
            return f"its key is that of another finding: its {what} is {given!r}, the ledger has {known!r}"
    if now[0] != then[1]:
        return f"the marking changed since then, from {then[1]!r} to {now[0]!r}"
    return None


def _plain(text: str) -> str:
    """A text without what a spreadsheet program may do to it: blanks, an apostrophe before a formula, a cut."""
    return " ".join(text.removeprefix("'").split())[:200].rstrip("…")


def _is_in_force_already(database: Database, one: AskedDecision, target: _Target) -> bool:
    """Whether the very same was said before: a workbook that carries what is in force is no decision."""
    members = first(database, f"SELECT count(*) FROM ledger_findings WHERE {target.where}", *target.values)
    same = first(
        database,
        "SELECT count(*) FROM ledger_decisions WHERE ended = '' AND decision = ? AND because = ? AND until = ?"
        f" AND said_by = ? AND key IN (SELECT key FROM ledger_findings WHERE {target.where})",
        one.decision,
        one.because.strip(),
        one.until,
        one.by.strip(),
        *target.values,
    )
    return members is not None and members == same


def _older(database: Database, one: AskedDecision, target: _Target, read_on: str) -> str | None:
    later = first(
        database,
        "SELECT night, source FROM ledger_decisions WHERE ended = '' AND night > ?"
        f" AND key IN (SELECT key FROM ledger_findings WHERE {target.where}) ORDER BY night DESC",
        read_on,
        *target.values,
    )
    if later is None:
        return None
    source = f" ({later[1]})" if later[1] else ""
    return f"it was read from the night {read_on}, and a decision of the night {later[0]}{source} is in force"


def _name_replaced(database: Database, one: AskedDecision, target: _Target, result: TakenDecisions) -> None:
    for decision, said_by, source, count in database.rows(
        "SELECT decision, said_by, source, count(*) FROM ledger_decisions WHERE ended = ''"
        f" AND key IN (SELECT key FROM ledger_findings WHERE {target.where})"
        " GROUP BY decision, said_by, source ORDER BY decision, said_by, source",
        *target.values,
    ):
        whose = f" by {said_by}" if said_by else ""
        read_from = f", {source}" if source else ""
        of = f" of {count:,} findings" if count > 1 else ""
        result.replaced.append(f"{one.place}: replaces the earlier decision {decision!r}{whose}{read_from}{of}.")


def _write(database: Database, one: AskedDecision, target: _Target, night: str, read_on: str) -> int:
    among = f"key IN (SELECT key FROM ledger_findings WHERE {target.where})"
    highest = first(database, "SELECT coalesce(max(number), 0) FROM ledger_decisions")
    database.run(
        f"UPDATE ledger_decisions SET ended = ?, ended_why = 'replaced' WHERE ended = '' AND {among}",
        night,
        *target.values,
    )
    return database.run(
        "INSERT INTO ledger_decisions (key, number, decision, because, until, said_by, marking, grade, night, taken,"
        " source, ended, ended_why, listing_cells) SELECT key, ?, ?, ?, ?, ?, marking, grade, ?, ?, ?, '', '', ''"
        f" FROM ledger_findings WHERE {target.where}",
        (highest[0] if highest else 0) + 1,
        one.decision,
        one.because.strip(),
        one.until,
        one.by.strip(),
        read_on,
        night,
        one.source,
        *target.values,
    )
