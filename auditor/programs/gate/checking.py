"""What the gate says of each file: its listings with their findings, and where they stand."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from auditor.errors import AuditorError
from auditor.programs.gate.lines import placed_values
from auditor.programs.stream import Answering
from auditor.rulebook.book import RuleBook

JSON_ENDS = (".json", ".jsonl", ".ndjson")
_NAMES = ("id", "sku", "part_number", "gtin")
_OF_FINDING = ("rule", "grade", "field", "column", "stated", "derived", "suggestion", "message", "key")


@dataclass(frozen=True, slots=True)
class Checked:
    """One listing of a file, or what could not be read of it."""

    file: str
    line: int  # where it begins, from 1
    name: str  # id, SKU, part number or GTIN; empty where it has none
    verdict: str  # release, hold or unreadable
    findings: tuple[Mapping[str, Any], ...]
    wrong: str = ""  # of what is unreadable: one sentence


def check_file(name: str, book: RuleBook, answering: Answering) -> Iterator[Checked]:
    """Checks the listings of a JSON file one by one, those of any other feed as `audit` does."""
    try:
        if name.lower().endswith(JSON_ENDS) or name == "-":
            yield from _json(name, answering)
        else:
            yield from _feed(name, book)
    except AuditorError as error:
        yield _unreadable(name, 1, str(error))
    except UnicodeDecodeError as error:
        yield _unreadable(name, 1, f"not UTF-8 (byte {error.start + 1})")
    except OSError as error:
        yield _unreadable(name, 1, f"cannot be read ({(error.strerror or str(error)).lower()})")


def _json(name: str, answering: Answering) -> Iterator[Checked]:
    values = list(placed_values(Path(name).read_bytes().decode("utf-8-sig")))
    if not values:
        yield _unreadable(name, 1, "the file is empty; expected listings as JSON objects")
    answers = iter(answering.requests([placed.value for placed in values if not placed.wrong]))
    for placed in values:
        if placed.wrong:
            yield _unreadable(name, placed.line, placed.wrong)
            continue
        answer = next(answers)
        if "error" in answer:
            yield _unreadable(name, placed.line, answer["error"]["message"])
            continue
        value = placed.value if isinstance(placed.value, dict) else {}
        yield Checked(name, placed.line, _name(value), answer["verdict"], tuple(answer["findings"]))


def _feed(name: str, book: RuleBook) -> Iterator[Checked]:
    # Start-up: most gates see JSON, which needs no arrays.
    from auditor.programs.frames import audit

    if not Path(name).is_file():
        raise FileNotFoundError(2, "no such file or directory", name)
    result = audit(name, book=book)
    for feed in result.summary["unreadable_feeds"]:
        yield _unreadable(name, 1, feed["reason"])
    lines = _record_lines(Path(name))
    held = set(book.held_grades())
    by_record: dict[int, list[dict[str, Any]]] = {}
    for row in result.findings.to_pylist():
        by_record.setdefault(row["record"] or 1, []).append(row)
    for record, rows in sorted(by_record.items()):
        verdict = "hold" if any(row["grade"] in held for row in rows) else "release"
        found = tuple({member: row[member] for member in _OF_FINDING} for row in rows)
        yield Checked(name, lines.get(record, record), _name(rows[0]), verdict, found)
    for column in result.unread_columns:
        yield _unreadable(name, 1, f"column {column['column']!r} was not read: {column['why']}")


def _record_lines(path: Path) -> dict[int, int]:
    """The lines on which the data records of a delimited text begin; none for other formats."""
    # Start-up: only feeds that are no JSON need this.
    from auditor.feeds.dialect import find_dialect
    from auditor.feeds.model import Limits
    from auditor.rulebook.built_in import load_contract

    if path.suffix.lower() not in (".csv", ".tsv", ".tab", ".txt", ".psv"):
        return {}
    dialect = find_dialect(path, path.name, load_contract(), Limits())
    data = path.read_bytes()
    before = data.count(b"\n", 0, dialect.data_start)
    text = io.StringIO(data[dialect.data_start :].decode(dialect.encoding, "replace"), newline="")
    quote = {"quotechar": dialect.quote} if dialect.quote else {"quoting": csv.QUOTE_NONE}
    reader = csv.reader(text, delimiter=dialect.delimiter, **quote)
    begins, found = before + 1, {}
    for number, _ in enumerate(reader, start=1):
        found[number] = begins
        begins = before + reader.line_num + 1
    return found


def _unreadable(name: str, line: int, why: str) -> Checked:
    return Checked(name, line, "", "unreadable", (), why.removeprefix(f"{name}: "))


def _name(listing: Mapping[str, Any]) -> str:
    return next((str(listing[name]) for name in _NAMES if listing.get(name) not in (None, "")), "")
