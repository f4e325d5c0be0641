"""Whole feeds as suppliers send them: columns in their place or a wrong one, right rows held, mistakes found.

Beside each feed `NAME.csv` (or any other format) stands `NAME.expected.json`: `columns` says by header which field a
column holds (`a+b` where either is right, null where it is none), `mistakes` by record number which fields of it are
wrong.  A mistake is found where a finding above minor names one of its fields.  `columns_fair` and `also_fair` name
further fields by header and by record, where more than one answer is right; null is a column left out.
"""

from __future__ import annotations

import json
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import auditor
from auditor.errors import FeedError
from auditor.feeds.locate import find_feeds
from auditor.mapping.opening import open_feeds

FOLDER = Path(__file__).resolve().parents[1] / "reference" / "feeds"
_ENDING = ".expected.json"


@dataclass(slots=True)
class Outcome:
    """What became of one feed."""

    name: str
    fault: str = ""  # why it cannot be read at all: all its columns are in no place, all its mistakes missed
    placed: list[str] = field(default_factory=list)  # headers in their place
    missing: list[str] = field(default_factory=list)  # headers with a place and in none
    wrong: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)  # said to matter, and no field
    records: int = 0
    mistakes: int = 0
    found: int = 0
    missed: list[str] = field(default_factory=list)
    held: int = 0  # right records
    accused: list[str] = field(default_factory=list)  # the findings on them


def feeds_in(folder: Path) -> list[tuple[Path, dict[str, Any]]]:
    """The feeds of a folder, each with what is expected of it."""
    found = []
    for said in sorted(folder.glob(f"*{_ENDING}")):
        name = said.name.removesuffix(_ENDING)
        feed = next(path for path in sorted(folder.glob(f"{name}.*")) if path != said)
        found.append((feed, json.loads(said.read_text("utf-8"))))
    return found


def measure(folder: Path, step: int = 1) -> list[Outcome]:
    """Places the columns of every feed of a folder, or of every so many, and audits it."""
    return [_measured(path, expected) for path, expected in feeds_in(folder)[::step]]


def _measured(path: Path, expected: dict[str, Any]) -> Outcome:
    outcome = Outcome(path.name)
    fair = {header: _fields(also) for header, also in expected.get("columns_fair", {}).items()}
    columns = {header: [*_fields(wanted), *fair.get(header, ())] for header, wanted in expected["columns"].items()}
    also = expected.get("also_fair", {})
    mistakes = {int(row): [*fields, *also.get(row, ())] for row, fields in expected.get("mistakes", {}).items()}
    try:
        _place(path, columns, outcome)
        _audit(path, mistakes, outcome)
    except FeedError as error:
        outcome.fault, outcome.mistakes = str(error), len(mistakes)
        outcome.missing = [f"{header!r} holds {wanted[0]}" for header, wanted in columns.items() if None not in wanted]
    return outcome


def _fields(said: str | list[str] | None) -> list[str | None]:
    """The fields of "a+b" or of a list; one None for null, which is none."""
    return [None] if said is None else [*(said.split("+") if isinstance(said, str) else said)]


def _place(path: Path, columns: dict[str, list[str | None]], outcome: Outcome) -> None:
    feeds = open_feeds(find_feeds([str(path)])[0])
    columns = _by_headers(columns, [header for feed in feeds for header in feed.headers])
    for feed in feeds:
        used = {use.column: use.fields for use in feed.mapping.columns}
        left = {item.column: item for item in feed.mapping.left_out}
        for header in feed.headers:
            if header not in columns:
                continue
            wanted, fields = columns[header], used.get(header, ())
            if fields and fields[0] in wanted:
                if wanted[0] is not None:
                    outcome.placed.append(header)
            elif fields:
                holds = "is no field" if wanted[0] is None else f"holds {wanted[0]}"
                outcome.wrong.append(f"{header!r} was taken for {fields[0]} and {holds}")
            elif None not in wanted:
                why = left[header].why if header in left else "nothing is said of it"
                outcome.missing.append(f"{header!r} holds {wanted[0]}: {why}")
            elif header in left and left[header].matters:
                outcome.unread.append(f"{header!r}: {left[header].why}")
    headers = {header for feed in feeds for header in feed.headers}
    outcome.missing += [
        f"{header!r} holds {wanted[0]}: there is no such header"
        for header, wanted in columns.items()
        if header not in headers and None not in wanted
    ]


def _by_headers(columns: dict[str, list[str | None]], headers: list[str]) -> dict[str, list[str | None]]:
    """What is expected, by headers as they are read: without outer keys, with the units below, by place."""
    found = {}
    for said, wanted in columns.items():
        names = (f"column {said}", said.partition(".")[2])
        parts = (f".{said}", f"{said} ")
        alike = [one for one in headers if one in names or one.endswith(parts[0]) or one.startswith(parts[1])]
        found[alike[0] if said not in headers and len(alike) == 1 else said] = wanted
    return found


def _audit(path: Path, mistakes: dict[int, list[str]], outcome: Outcome) -> None:
    with tempfile.TemporaryDirectory() as folder:
        result = auditor.audit(str(path), Path(folder) / "audit")
        found = result.findings.to_pylist()
    serious: dict[int, list[dict[str, Any]]] = {}
    for row in found:
        if row["grade"] != "minor":
            serious.setdefault(row["record"], []).append(row)
    totals = result.summary["feeds"]
    outcome.records = sum(one["records"] for one in totals)
    outcome.mistakes = len(mistakes)
    for record, fields in mistakes.items():
        if any(row["field"] in fields for row in serious.get(record, ())):
            outcome.found += 1
        else:
            said = "; ".join(row["message"] for row in serious.get(record, ())) or "nothing"
            outcome.missed.append(f"record {record}, {'/'.join(fields)}: {said}")
    # A finding for a whole column stands for records that are held and named by no finding of their own.
    outcome.held = sum(one["held"] + one["rejected"] for one in totals) - len(serious.keys() & mistakes.keys())
    outcome.accused = [
        f"record {record}: {row['rule']} in {row['field']}: {row['message']}"
        for record, rows in sorted(serious.items())
        if record not in mistakes
        for row in rows
    ]


def report(outcomes: list[Outcome], details: bool) -> str:
    """The figures in words, for a terminal."""
    placed, missing = (sum(len(getattr(one, name)) for one in outcomes) for name in ("placed", "missing"))
    wrong = [text for one in outcomes for text in one.wrong]
    misplaced = sum(" holds " in text for text in wrong)
    lines = [
        f"{len(outcomes)} feeds",
        f"not read at all         {sum(one.fault != '' for one in outcomes):5}",
        f"columns in their place  {placed:5} of {placed + missing + misplaced}",
        f"columns in a wrong one  {len(wrong):5}",
        f"no field, named unread  {sum(len(one.unread) for one in outcomes):5}",
        f"mistakes found          {sum(one.found for one in outcomes):5} of {sum(one.mistakes for one in outcomes)}",
        f"right records held      {sum(one.held for one in outcomes):5} of "
        f"{sum(one.records - one.mistakes for one in outcomes)}",
    ]
    for one in outcomes if details else ():
        lines += ["", one.name, *([f"  NOT READ {one.fault}"] if one.fault else [])]
        for title, texts in (
            ("WRONG", one.wrong),
            ("NOT PLACED", one.missing),
            ("NAMED UNREAD", one.unread),
            ("MISSED", one.missed),
            ("ACCUSED", one.accused),
        ):
            lines += [f"  {title} {text}" for text in texts]
    return "\n".join(lines)
