"""Titles beside the marking of their listing, as shops write them: which disagree, and which only say it otherwise.

A row gives the marking, the title and a verdict; of a wrong title `how` names the fact that it states otherwise.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.trials.both_paths import differing, one_by_one

FOLDER = Path(__file__).resolve().parents[1] / "reference" / "titles_beside"


@dataclass(slots=True)
class Outcome:
    """One listing, and what was found above minor."""

    row: dict[str, Any]
    findings: list[dict[str, Any]]

    @property
    def wrong(self) -> bool:
        """Whether the title disagrees with the marking."""
        return bool(self.row["verdict"] == "wrong")

    @property
    def right(self) -> bool:
        """Whether it was taken for what it is."""
        return self.wrong == bool(self.findings)


def files() -> list[Path]:
    """The rows among the tests."""
    return sorted(FOLDER.glob("*.jsonl"))


def listing_of(row: dict[str, Any]) -> dict[str, str]:
    """A row as a listing."""
    return {"marking": row["marking"], "title": row["title"]}


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
        f"titles that disagree, found  {sum(one.right for one in wrong):5} of {len(wrong)}",
        f"titles that agree, accused   {sum(not one.right for one in right):5} of {len(right)}",
        f"the two paths differ on      {len(apart):5} of {len(outcomes)}",
    ]
    missed = Counter(one.row["how"] for one in wrong if not one.right)
    lines += ["", "missed, by fact", *(f"  {count:4} {how}" for how, count in missed.most_common())] if missed else []
    if details:
        for one in outcomes:
            if not one.right:
                said = "; ".join(found["message"] for found in one.findings) or "nothing"
                lines.append(f"{one.row['id']} [{one.row['marking']}] {one.row['title']}\n    -> {said}")
    return "\n".join(lines)
