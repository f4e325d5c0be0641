"""Trial listings: mistakes found or missed, right listings left alone or accused, by rule and family.

A row of `tests/reference/trials/listings*.jsonl` says what a listing deserves: `expect` is "nothing above minor"
(`minor_allowed` names the only minor rules that a right listing may get) or "finding" (`field` lists the fields of
which one must be named, `grade` is the least grade, `must` false marks a wish).
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import auditor
from auditor.marking import Marking
from tests.trials.both_paths import Findings, differing, one_by_one

FOLDER = Path(__file__).resolve().parents[1] / "reference" / "trials"
GRADES = ("minor", "major", "critical")


@dataclass(slots=True)
class Outcome:
    """What became of one row."""

    row: dict[str, Any]
    findings: Findings
    family: str

    @property
    def wrong(self) -> bool:
        return bool(self.row["expect"] == "finding")

    @property
    def found(self) -> bool:
        """One of the fields is named at the least grade or above."""
        least = GRADES.index(self.row["grade"].rstrip("+"))
        return any(one["field"] in self.row["field"] and GRADES.index(one["grade"]) >= least for one in self.findings)

    @property
    def named(self) -> bool:
        """One of the fields is named, at whatever grade."""
        return any(one["field"] in self.row["field"] for one in self.findings)

    @property
    def above_minor(self) -> list[dict[str, Any]]:
        return [one for one in self.findings if one["grade"] != "minor"]

    @property
    def stray_minor(self) -> list[dict[str, Any]]:
        allowed = self.row.get("minor_allowed") or []
        return [one for one in self.findings if one["grade"] == "minor" and one["rule"] not in allowed]


@dataclass(slots=True)
class Figures:
    """All outcomes, and on how many listings the two paths differ."""

    outcomes: list[Outcome]
    differing: list[str] = field(default_factory=list)

    def of(self, *, wrong: bool, must: bool | None = None) -> list[Outcome]:
        return [
            one for one in self.outcomes if one.wrong == wrong and (must is None or bool(one.row.get("must")) == must)
        ]

    @property
    def missed(self) -> list[Outcome]:
        return [one for one in self.of(wrong=True, must=True) if not one.found]

    @property
    def held(self) -> list[Outcome]:
        return [one for one in self.of(wrong=False) if one.above_minor]

    @property
    def minor(self) -> list[Outcome]:
        return [one for one in self.of(wrong=False) if not one.above_minor and one.stray_minor]


def read(paths: Iterable[Path]) -> list[dict[str, Any]]:
    """The rows of trial files."""
    return [json.loads(line) for path in paths for line in path.read_text("utf-8").splitlines() if line.strip()]


def files() -> list[Path]:
    """The trial files of the tests."""
    return sorted(FOLDER.glob("listings*.jsonl"))


def family_of(listing: dict[str, str]) -> str:
    """The size family that the listing's marking is decoded as."""
    for name in ("marking", "size", "title"):
        if listing.get(name):
            found = auditor.decode(listing[name])
            if isinstance(found, Marking):
                return found.family
    return "unread"


def measure(rows: list[dict[str, Any]]) -> Figures:
    """Audits the listings of rows through both paths."""
    listings = [row["listing"] for row in rows]
    outcomes = [
        Outcome(row, found, family_of(row["listing"])) for row, found in zip(rows, one_by_one(listings), strict=True)
    ]
    return Figures(outcomes, [str(rows[number].get("id", number)) for number in differing(listings)])


def report(figures: Figures, details: bool) -> str:
    """The figures in words, for a terminal."""
    must, wish, right = figures.of(wrong=True, must=True), figures.of(wrong=True, must=False), figures.of(wrong=False)
    lines = [
        f"mistakes that must be found  {len(must) - len(figures.missed):5} of {len(must)}",
        f"mistakes wished for          {sum(one.found for one in wish):5} of {len(wish)}",
        f"right listings held          {len(figures.held):5} of {len(right)}",
        f"right listings with a minor  {len(figures.minor):5} of {len(right)}",
        f"the two paths differ on      {len(figures.differing):5} of {len(figures.outcomes)}",
    ]
    tables = (
        ("missed, by family", Counter(one.family for one in figures.missed)),
        ("held wrongly, by rule", Counter(f["rule"] for one in figures.held for f in one.above_minor)),
        ("held wrongly, by family", Counter(one.family for one in figures.held)),
        ("minor, by rule", Counter(f["rule"] for one in figures.minor for f in one.stray_minor)),
    )
    for title, counts in tables:
        if counts:
            lines += ["", title, *(f"  {count:4} {name}" for name, count in counts.most_common())]
    if details:
        for title, some in (("MISSED", figures.missed), ("HELD", figures.held), ("MINOR", figures.minor)):
            lines += ["", title, *(_detail(one) for one in some)]
        lines += ["", "THE PATHS DIFFER", *figures.differing]
    return "\n".join(lines)


def _detail(one: Outcome) -> str:
    said = "; ".join(f"{f['grade']} {f['rule']} in {f['field']}: {f['message']}" for f in one.findings) or "nothing"
    about = f"{one.row['grade']} {'/'.join(one.row['field'])}: {one.row['note']}" if one.wrong else one.row["source"]
    identity = ("supplier", "sku", "brand", "model")
    listing = {name: text for name, text in one.row["listing"].items() if name not in identity}
    return f"{one.row['id']} {about}\n    {json.dumps(listing, ensure_ascii=False)}\n    -> {said}"
