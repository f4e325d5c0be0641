"""What feeds offer in place of other tires, and why a fitter would not take it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from auditor.outputs.audit_result import RuleCard
from auditor.outputs.headline import offers_in_one_sentence, unknown_offers
from auditor.outputs.report.data import shorten
from auditor.outputs.worst_findings import WorstFindings

SHOWN = 12  # the list of findings has the others
_SUBJECT = "substitutes"
_FAILS = "in place of it fails: "


def offered(worst: WorstFindings, rules: Mapping[str, RuleCard], most: int = SHOWN) -> list[dict[str, Any]]:
    """Offers that lack something, those that people believe first: on the same rim, and lacking in one point only."""
    mine = {card.id: card for card in rules.values() if card.subject == _SUBJECT}
    rows = [row for row in worst.table.to_pylist() if row["rule"] in mine]
    rows.sort(key=lambda row: _odd(row["evidence"]))  # sorting keeps the worst first among equals
    return [
        {
            "listing": row["sku"] or row["part_number"] or row["gtin"] or f"record {row['record']}",
            "rule": row["rule"],
            "grade": row["grade"],
            "title": mine[row["rule"]].title,
            "supplier": row["supplier"],
            "said": shorten(_but(row["message"])),
            "where": shorten(row["evidence"].removeprefix(_FAILS)),
        }
        for row in rows[:most]
    ]


def _odd(evidence: str) -> int:
    """How plainly an offer is none: another rim is seen by everybody, a lower index by few."""
    fails = evidence.removeprefix(_FAILS).partition(";")[0].split(", ")
    return len(fails) + (100 if "rim" in fails else 0)


def _but(message: str) -> str:
    """The part of a sentence that tells what is lacking."""
    return message.partition(", but ")[2].partition(": take the offer out")[0] or message


def offers_told(summary: Mapping[str, Any], worst: WorstFindings, rules: Mapping[str, RuleCard]) -> dict[str, Any]:
    """What became of all offers of the run; empty where nothing is offered."""
    sentence = offers_in_one_sentence(summary)
    if not sentence:
        return {}
    found = [
        (card.id, card.title)
        for card in sorted(rules.values(), key=lambda card: card.order)
        if card.subject == _SUBJECT and summary["by_rule"].get(card.id, {}).get("findings")
    ]
    return {
        "sentence": sentence,
        "rows": offered(worst, rules),
        "rules": found,
        "unknown": [shorten(line) for line in unknown_offers(summary)],
    }
