"""Pairs of markings with the answer that the trade gives and the points that decide it.

`substitute_pairs.csv` was written down from the rules of the trade before the comparison was; `trials/substitutes*.csv`
by others, who did not see it.  A row of either names the answers that are right, the points that have to fail or that
cannot be told, and further points that may be named.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import auditor

FOLDER = Path(__file__).parent
_OTHER_NAMES = {"lt": "kind", "width": "rim-width"}  # what the trials call these points


@dataclass(frozen=True, slots=True)
class Pair:
    """One row."""

    old: str
    new: str
    market: str | None
    required: bool
    answers: tuple[str, ...]
    fails: frozenset[str]
    untold: frozenset[str]
    also: frozenset[str]


def _points(text: str) -> frozenset[str]:
    return frozenset(_OTHER_NAMES.get(name, name) for name in text.split("|") if name)


def own_pairs() -> Iterator[Pair]:
    """The rows of `substitute_pairs.csv`."""
    for row in _rows(FOLDER / "substitute_pairs.csv"):
        points = _points(row["points"])
        no = row["answer"] == "no"
        yield Pair(
            row["old"],
            row["new"],
            row["market"] or None,
            row["required"] == "yes",
            (row["answer"],),
            points if no else frozenset(),
            frozenset() if no else points,
            _points(row["also"]),
        )


def trial_pairs() -> Iterator[Pair]:
    """The rows of `trials/substitutes*.csv`; there "rim|width" is the width of the rim."""
    for row in (row for path in sorted((FOLDER / "trials").glob("substitutes*.csv")) for row in _rows(path)):
        untold = _points(row["cannot_tell"])
        yield Pair(
            row["old"],
            row["new"],
            row["market"] or None,
            False,
            tuple(row["expect"].split("/")),
            _points(row["fails"]),
            untold - {"rim"} if "rim-width" in untold else untold,
            _points(row["may_be_named"]),
        )


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def mistakes(pair: Pair) -> str:
    """What the program says otherwise of a pair; empty where all is right."""
    found = auditor.substitute(pair.old, pair.new, required=pair.required, market=pair.market)
    fails, untold = set(found.with_outcome("fails")), set(found.with_outcome("cannot tell"))
    if found.answer not in pair.answers:
        return f"answers {found.answer}: fails {sorted(fails)}, cannot tell {sorted(untold)}"
    if not pair.fails <= fails or not fails <= pair.fails | pair.also:
        return f"fails in {sorted(fails)}, not in {sorted(pair.fails)}"
    if found.answer == "cannot tell" and not pair.untold <= untold:
        return f"cannot tell {sorted(untold)}, not {sorted(pair.untold)}"
    return ""
