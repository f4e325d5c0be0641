"""What the first screen of the report says: what to do first, whose feeds they are, and what cannot be told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pyarrow.compute as pc

from auditor.outputs.audit_result import RuleCard
from auditor.outputs.languages import Wordings
from auditor.outputs.repeated import how_far, slip, where
from auditor.outputs.report.data import shorten
from auditor.outputs.states import NEW, day_in_words, new_among, state_of_group
from auditor.outputs.worst_findings import WorstFindings
from auditor.rulebook.finding import GRADES

GROUPS_MOST = 200  # in the page; repeated.csv has all
_SHARED = ("key", "supplier", "feed", "sheet", "column", "field", "rule", "grade", "cause", "factor", "stated", "count")


def groups_shown(
    summary: Mapping[str, Any], words: Wordings, rules: Mapping[str, RuleCard], letters: Mapping[str, str]
) -> list[dict[str, Any]]:
    """The worst repeated mistakes as the page says them; those with something new lead where a ledger knows."""
    shown = []
    ordered = sorted(summary["repeated"], key=lambda group: not new_among(group)) if _compared(summary) else None
    for group in (ordered or summary["repeated"])[:GROUPS_MOST]:
        said = slip(group, words)
        if said == words.slips["unclear"] and group["rule"] in rules:
            title = rules[group["rule"]].title
            said = title[:1].lower() + title[1:]
        shown.append(
            {
                **{name: shorten(group[name]) if isinstance(group[name], str) else group[name] for name in _SHARED},
                "whose": shorten(group["supplier"] or group["feed"]),
                "where": shorten(where(group, words)),
                "slip": shorten(said),
                "far": how_far(group, words),
                "folded": group["folded"],
                "new": new_among(group),
                "state": state_of_group(group),
                "about": shorten(group["says"]) if group.get("shift") else "",
                "letter": letters.get(group["supplier"]),
                "examples": [_example(one) for one in group["examples"]],
            }
        )
    return shown


def _compared(summary: Mapping[str, Any]) -> bool:
    """Whether there was a night before this one, so that not everything is new."""
    return bool(summary.get("night_before"))


def _example(one: Mapping[str, Any]) -> dict[str, str]:
    listing = one.get("sku") or one.get("part_number") or one.get("gtin") or f"record {one['record']}"
    texts = {"listing": listing, **{name: one.get(name) or "" for name in ("stated", "derived", "marking")}}
    return {name: text if len(text) <= 40 else text[:39] + "…" for name, text in texts.items()}


def next_step(summary: Mapping[str, Any], groups: Sequence[Mapping[str, Any]]) -> str:
    """What to do first, in a sentence that is right for one supplier and for three hundred."""
    if groups and groups[0]["grade"] == GRADES[0]:
        first = groups[0]
        return (
            f"Begin with {first['whose']}, {first['where']}: {first['slip']}, {first['count']:,} listings."
            " One letter settles them."
        )
    dangerous_by = {name: row["critical"] for name, row in summary["by_supplier"].items() if row["critical"]}
    if len(dangerous_by) == 1:
        whose = shorten(next(iter(dangerous_by)) or "listings that name no supplier")
        return f"All critical findings come from {whose}: read them first, then send the letter."
    if dangerous_by:
        name = min(dangerous_by, key=lambda supplier: (-dangerous_by[supplier], supplier))
        share = round(100 * dangerous_by[name] / sum(dangerous_by.values()))
        whose = shorten(name or "listings that name no supplier")
        return (
            f"The critical findings come from {len(dangerous_by):,} suppliers, the largest share"
            f" ({max(share, 1)} %) from {whose}: read those first, then send the letters."
        )
    if summary["totals"]["held"]:
        return "The held listings have wrong facts: send the letters in corrections, then look at the rest."
    return "Nothing waits for a decision."


def dangerous(
    worst: WorstFindings, words: Wordings, groups: Sequence[Mapping[str, Any]], most: int = 30
) -> list[dict[str, Any]]:
    """Single critical findings to read first, most believable first; what belongs to a group is not said again.

    With a ledger what is new leads, and what was accepted is not asked about again.
    """
    seen: set[tuple[Any, ...]] = set()
    found: list[dict[str, Any]] = []
    whole = {group["key"] for group in groups if group["folded"]}
    rows = worst.table.filter(pc.equal(worst.table["grade"], GRADES[0])).slice(0, 2_000).to_pylist()
    rows.sort(key=lambda row: row.get("state", NEW) != NEW)  # sorting keeps the worst first among equals
    for row in rows:
        listing = (row["feed"], row["sheet"], row["record"])
        if row.get("state") == "accepted" or row["stands_for"] > 1 or row["key"] in whole:
            continue
        if listing in seen or in_a_group(row, groups):
            continue
        seen.add(listing)
        found.append(
            {
                **{name: shorten(value) if isinstance(value, str) else value for name, value in row.items()},
                "field_name": words.field(row["field"]),
                "listing": row["sku"] or row["part_number"] or row["gtin"] or f"record {row['record']}",
                "new": row.get("state") == NEW,
                "since": day_in_words(row["first_night"]) if row.get("state", NEW) != NEW else "",
            }
        )
        if len(found) == most:
            break
    return found


def in_a_group(row: Mapping[str, Any], groups: Sequence[Mapping[str, Any]]) -> bool:
    """Whether a finding is one of a repeated mistake."""
    return any(
        all(row[name] == group[name] for name in ("supplier", "feed", "sheet", "column", "field", "rule"))
        and (
            (row["deviation"] is not None and abs((1 + row["deviation"]) / group["factor"] - 1) < 0.012)
            if group["factor"] is not None
            else row["likely_cause"] == group["cause"]
        )
        and (not group["stated"] or row["stated"] == group["stated"])
        for group in groups
    )


def suppliers_ranked(summary: Mapping[str, Any], letters: Mapping[str, str]) -> list[dict[str, Any]]:
    """Suppliers, the most dangerous first."""
    rows = [
        {"name": name, "shown": name or "(not named)", "letter": letters.get(name), **row}
        for name, row in summary["by_supplier"].items()
    ]
    return sorted(rows, key=lambda row: (*(-row[grade] for grade in GRADES), -row["held"], row["name"]))


def night_in_words(summary: Mapping[str, Any]) -> str:
    """The date that the audit bears, as people write it."""
    return day_in_words(summary.get("night") or "")


def not_told_by_subject(summary: Mapping[str, Any], rules: Mapping[str, RuleCard]) -> list[tuple[str, int]]:
    """Subject to the listings about which some rule of it could not tell, in the rule book's order.

    Which listings they are is not known here, so it is the largest count among the subject's rules.
    """
    most: dict[str, int] = {}
    for card in sorted(rules.values(), key=lambda card: card.order):
        count = summary["could_not_tell"].get(card.id, 0)
        if count:
            most[card.subject] = max(most.get(card.subject, 0), count)
    return list(most.items())
