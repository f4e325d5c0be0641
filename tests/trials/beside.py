"""Texts beside the marking of their listing, as shops write them: which disagree, and which only say it otherwise.

`titles_beside`: a row gives the marking, the title and a verdict; of a wrong title `how` names the fact that it states
otherwise.  `pages`: a row gives a whole listing with its sales text; `field` names the fields that are wrong.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.trials.both_paths import differing, one_by_one

FOLDER = Path(__file__).resolve().parents[1] / "reference"


@dataclass(slots=True)
class Outcome:
    """One listing, and what was found above minor."""

    row: dict[str, Any]
    findings: list[dict[str, Any]]

    @property
    def wrong(self) -> bool:
        """Whether something disagrees with the marking."""
        return bool(self.row["verdict"] == "wrong")

    @property
    def right(self) -> bool:
        """Whether it was taken for what it is."""
        if self.wrong and "field" in self.row:
            return any(one["field"] in self.row["field"] for one in self.findings)
        return self.wrong == bool(self.findings)


def files(kind: str) -> list[Path]:
    """The rows among the tests: of `titles_beside`, or `pages`."""
    return sorted((FOLDER / kind).glob("*.jsonl"))


def listing_of(row: dict[str, Any]) -> dict[str, str]:
    """A row as a listing."""
    listing: dict[str, str] = row.get("listing") or {"marking": row["marking"], "title": row["title"]}
    return listing


def measure(rows: list[dict[str, Any]]) -> list[Outcome]:
    """Audits every row."""
    found = one_by_one([listing_of(row) for row in rows])
    return [
        Outcome(row, [one for one in findings if one["grade"] != "minor"])
        for row, findings in zip(rows, found, strict=True)
    ]


def report(outcomes: list[Outcome], details: bool) -> str:
    """The figures in words, by the fact that a title states otherwise."""
    wrong, right = ([one for one in outcomes if one.wrong == kind] for kind in (True, False))
    apart = differing([listing_of(one.row) for one in outcomes])
    lines = [
        f"those that disagree, found   {sum(one.right for one in wrong):5} of {len(wrong)}",
        f"those that agree, accused    {sum(not one.right for one in right):5} of {len(right)}",
        f"the two paths differ on      {len(apart):5} of {len(outcomes)}",
    ]
    missed = Counter(one.row.get("how") or "/".join(one.row["field"]) for one in wrong if not one.right)
    by = [f"  {count:4} {how}" for how, count in missed.most_common()]
    lines += ["", "missed, by fact or field", *by] if missed else []
    if details:
        for one in outcomes:
            if not one.right:
                said = "; ".join(found["message"] for found in one.findings) or "nothing"
                listing = listing_of(one.row)
                lines.append(f"{one.row['id']} {one.row['wrong'] or ''} {listing}\n    -> {said}")
    return "\n".join(lines)
