"""What the ledger tells: its nights, how a supplier does, the story of one finding, and what was said to be wrong."""

from __future__ import annotations

import json
from collections.abc import Iterator
from difflib import get_close_matches
from itertools import pairwise
from typing import Any

from auditor.errors import UsageError
from auditor.ledger.database import Database, first
from auditor.ledger.deliveries import last_night
from auditor.rulebook.finding import GRADES

NIGHT_FIGURES = ("records", "held", "critical", "new", "standing", "accepted", "asked", "gone", "changed")
SUPPLIER_FIGURES = NIGHT_FIGURES[:-1]


def nights(database: Database) -> list[dict[str, Any]]:
    """Every night with its figures, the first one first; `changed` counts entries of changed deliveries."""
    columns = ("night", *NIGHT_FIGURES)
    rows = database.rows(f"SELECT {', '.join(columns)} FROM ledger_nights ORDER BY night")
    return [dict(zip(columns, row, strict=True)) for row in rows]


def suppliers(database: Database) -> list[str]:
    """The suppliers of all nights, by name."""
    return [name for (name,) in database.rows("SELECT DISTINCT supplier FROM ledger_suppliers ORDER BY supplier")]


def supplier_trend(database: Database, supplier: str) -> list[dict[str, Any]]:
    """One supplier's figures of every night; UsageError with the nearest name where there is no such supplier."""
    known = suppliers(database)
    found = [name for name in known if name.casefold() == supplier.casefold()]
    if not found:
        near = get_close_matches(supplier, known, n=1, cutoff=0.4)
        hint = f"did you mean {near[0]!r}?" if near else f"it knows {', '.join(known[:8]) or 'none'}."
        raise UsageError(f"The ledger knows no supplier {supplier!r}; {hint}")
    columns = ("night", *SUPPLIER_FIGURES)
    rows = database.rows(
        f"SELECT {', '.join(columns)} FROM ledger_suppliers WHERE supplier = ? ORDER BY night", found[0]
    )
    return [dict(zip(columns, row, strict=True)) for row in rows]


def trends(database: Database, most_nights: int) -> list[dict[str, Any]]:
    """Night, supplier, new and held of the last nights: what a picture is drawn of."""
    rows = database.rows(
        "SELECT night, supplier, new, held, records FROM ledger_suppliers WHERE night IN"
        " (SELECT night FROM ledger_nights ORDER BY night DESC LIMIT ?) ORDER BY night, supplier",
        most_nights,
    )
    return [dict(zip(("night", "supplier", "new", "held", "records"), row, strict=True)) for row in rows]


def story(database: Database, key: str) -> dict[str, Any]:
    """All that is known of one finding: its stays, what changed in them, and the decisions on it."""
    columns = ("since", "first_night", "until", "ended", "supplier", "listing", "rule", "grade", "field", "stated",
               "derived", "marking", "feed")  # fmt: skip
    rows = [
        dict(zip(columns, row, strict=True))
        for row in database.rows(f"SELECT {', '.join(columns)} FROM ledger_findings WHERE key = ? ORDER BY since", key)
    ]
    if not rows:
        raise UsageError(f"The ledger knows no finding with the key {key}; keys stand in findings.parquet.")
    last = rows[-1]
    return {
        "key": key,
        **{name: last[name] for name in ("supplier", "listing", "rule", "field", "stated", "derived", "marking")},
        "grade": GRADES[last["grade"]],
        "state": _state(database, key, last),
        "stays": list(_stays(database, rows)),
        "decisions": list(_decisions(database, key)),
    }


def _state(database: Database, key: str, last: dict[str, Any]) -> str:
    night = last_night(database) or ""
    if last["until"]:
        return "gone"
    in_force = first(
        database,
        "SELECT decision FROM ledger_decisions WHERE key = ? AND ended = '' AND marking = ? AND grade <= ?"
        " AND (until = '' OR until >= ?)",
        key,
        last["marking"],
        last["grade"],
        night,
    )
    if in_force is not None:
        return "asked" if in_force[0] == "ask" else "accepted"
    return "new" if last["first_night"] == night else "standing"


def _stays(database: Database, rows: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Each time that the finding came: its first night, its last one, and the nights when something of it changed."""
    stays: list[list[dict[str, Any]]] = []
    for row in rows:
        if stays and stays[-1][-1]["ended"] == "changed":
            stays[-1].append(row)
        else:
            stays.append([row])
    for parts in stays:
        until = parts[-1]["until"]
        seen = first(
            database,
            "SELECT max(night) FROM ledger_deliveries WHERE feed = ? AND (? = '' OR night < ?)",
            parts[-1]["feed"],
            until,
            until,
        )
        changes = [
            {"night": after["since"], "what": name, "before": _shown(name, before), "now": _shown(name, after)}
            for before, after in pairwise(parts)
            for name in ("marking", "grade", "derived")
            if before[name] != after[name]
        ]
        last = seen[0] if seen and seen[0] else parts[-1]["since"]
        yield {
            "first_night": parts[0]["first_night"],
            "last_night": max(last, parts[-1]["since"]),
            "gone": until or None,
            "changes": changes,
        }


def _shown(name: str, row: dict[str, Any]) -> str:
    return GRADES[row[name]] if name == "grade" else row[name]


def _decisions(database: Database, key: str) -> Iterator[dict[str, Any]]:
    columns = ("decision", "because", "until", "by", "taken", "night", "source", "marking", "ended", "ended_why")
    for row in database.rows(
        "SELECT decision, because, until, said_by, taken, night, source, marking, ended, ended_why"
        " FROM ledger_decisions WHERE key = ? ORDER BY number",
        key,
    ):
        yield dict(zip(columns, row, strict=True))


def said_to_be_wrong(database: Database) -> Iterator[dict[str, Any]]:
    """What the auditor is said to have erred in, as cases of the trials: right listings that deserve nothing.

    The whole listing stands in the ledger once a night has seen the decision; before, what the finding quotes.
    """
    for key, rule, because, said_by, night, cells, supplier, field, stated, marking in database.rows(
        "SELECT d.key, f.rule, d.because, d.said_by, d.night, d.listing_cells, f.supplier, f.field, f.stated, d.marking"
        " FROM ledger_decisions d JOIN ledger_findings f ON f.key = d.key AND f.since = (SELECT max(g.since)"
        " FROM ledger_findings g WHERE g.key = d.key) WHERE d.decision = 'wrong' AND d.ended_why <> 'replaced'"
        " ORDER BY d.night, d.key"
    ):
        quoted = {name: text for name, text in (("supplier", supplier), ("marking", marking), (field, stated)) if text}
        yield {
            "id": key,
            "listing": json.loads(cells) if cells else quoted,
            "expect": "nothing above minor",
            "minor_allowed": [],
            "note": f"{rule} on {field}: {because}" if because else f"{rule} on {field}",
            "source": f"said to be wrong{' by ' + said_by if said_by else ''} on the night {night}",
        }


def forget_before(database: Database, night: str) -> dict[str, int]:
    """Forgets what ended before a night, within the open transaction; how many rows of each kind.

    What stands keeps its first night, and decisions in force stay; so does the last night, to be run again.
    """
    last = last_night(database) or ""
    night = min(night, last)
    counts = {
        "findings": database.run("DELETE FROM ledger_findings WHERE until <> '' AND until < ?", night),
        "decisions": database.run("DELETE FROM ledger_decisions WHERE ended <> '' AND ended < ?", night),
        "deliveries": database.run("DELETE FROM ledger_deliveries WHERE night < ?", night),
        "nights": database.run("DELETE FROM ledger_nights WHERE night < ?", night),
    }
    database.run("DELETE FROM ledger_suppliers WHERE night < ?", night)
    return counts
