"""`--apply certain`: the feeds with certain suggestions put in, and a list of every change."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import Any

import pyarrow.compute as pc
import pyarrow.parquet as pq

from auditor.errors import OutputError
from auditor.feeds.csv_feed import CsvFeed
from auditor.feeds.json_feed import JsonFeed
from auditor.feeds.model import Feed
from auditor.feeds.parquet_feed import ParquetFeed
from auditor.feeds.workbook_feed import WorkbookFeed
from auditor.outputs.corrected.json_feeds import apply_to_json
from auditor.outputs.corrected.model import Change, Changes
from auditor.outputs.corrected.sheets import apply_to_workbook
from auditor.outputs.corrected.tables import apply_to_parquet
from auditor.outputs.corrected.text_feeds import apply_to_text
from auditor.outputs.csv_lines import csv_line
from auditor.outputs.findings import ROW_GROUP, neutralize_text

# The marking governs: it is what everything else is derived from, and only a look at the tire can correct it.  Texts
# are for people to rewrite.
NEVER_CHANGED = frozenset({"marking", "size", "service_description", "title", "description"})
COLUMNS = ("feed", "sheet", "record", "sku", "column", "field", "before", "after", "rule", "key")
_READ = ["feed", "sheet", "record", "sku", "column", "field", "stated", "suggestion", "rule", "key"]


def write_corrected(
    feeds: Sequence[Feed],
    findings_path: Path,
    folder: Path,
    around: Callable[[int], AbstractContextManager[None]] = lambda _: nullcontext(),
) -> int:
    """Writes `corrected/<feed>` for every feed and `changes.csv`; returns the number of cells changed.

    A cell is changed only where it still holds what the finding says it states, where exactly one suggestion is made
    for it, and where the new text fits its column.  Everything else stays as it was, byte for byte in delimited text.
    `around(place)` is entered while the feed of that place is worked on, so that its faults can be told from others.
    """
    planned = _planned(feeds, findings_path)
    applied: list[list[Change]] = [[] for _ in feeds]
    try:
        for number, feed in enumerate(feeds):
            with around(number):
                applied[number] = _apply(feed, folder / "corrected" / feed.output_name, planned[number])
        for name, numbers in _workbooks(feeds).items():
            sheets = [feeds[number] for number in numbers]
            parts = [(sheet, planned[number]) for sheet, number in zip(sheets, numbers, strict=True)]
            with around(numbers[0]):
                done = apply_to_workbook(parts, folder / "corrected" / name)  # type: ignore[arg-type]
            for number, changes in zip(numbers, done, strict=True):
                applied[number] = changes
        _write_changes(folder / "changes.csv", feeds, applied)
    except OSError as error:
        raise OutputError(f"{folder / 'corrected'} could not be written ({error}); make room and run again.") from error
    return sum(map(len, applied))


def _apply(feed: Feed, target: Path, planned: Changes) -> list[Change]:
    """One corrected feed; the sheets of workbooks are written together."""
    if isinstance(feed, CsvFeed):
        return apply_to_text(feed, target, planned)
    if isinstance(feed, JsonFeed) and feed.format != "xml":  # no writer puts changes into XML
        return apply_to_json(feed, target, planned)
    if isinstance(feed, ParquetFeed):
        return apply_to_parquet(feed, target, planned)
    return []


def _workbooks(feeds: Sequence[Feed]) -> dict[str, list[int]]:
    """The feeds that are sheets, by the workbook they share."""
    books: dict[str, list[int]] = defaultdict(list)
    for number, feed in enumerate(feeds):
        if isinstance(feed, WorkbookFeed):
            books[feed.output_name].append(number)
    return books


def _planned(feeds: Sequence[Feed], findings_path: Path) -> list[Changes]:
    """What is to be changed in each feed: record number to column position to change."""
    numbers = {(feed.name, feed.sheet): number for number, feed in enumerate(feeds)}
    positions = [_places(feed) for feed in feeds]
    planned: list[Changes] = [defaultdict(dict) for _ in feeds]
    doubtful: set[tuple[int, int, int]] = set()
    for finding in _certain(findings_path):
        number = numbers.get((finding["feed"], finding["sheet"] or None))
        if number is None or finding["record"] is None:
            continue
        position = positions[number].get((finding["column"], finding["field"]))
        if position is None:
            continue
        change = Change(
            finding["record"],
            position,
            finding["stated"] or "",
            finding["suggestion"],
            {name: finding[name] or "" for name in ("sku", "column", "field", "rule", "key")},
        )
        other = planned[number][change.record].setdefault(position, change)
        if other.after != change.after:
            doubtful.add((number, change.record, position))
    for number, record, position in doubtful:
        del planned[number][record][position]
    return planned


def _certain(findings_path: Path) -> Iterator[dict[str, Any]]:
    with pq.ParquetFile(findings_path) as file:
        for batch in file.iter_batches(batch_size=ROW_GROUP, columns=_READ):
            yield from batch.filter(pc.fill_null(pc.not_equal(batch["suggestion"], ""), False)).to_pylist()


def _places(feed: Feed) -> dict[tuple[str, str], int]:
    """(Header, field) to column position, for the fields that may be changed and are told apart by their header."""
    positions: dict[tuple[str, str], int] = {}
    twice: set[tuple[str, str]] = set()
    for use in feed.mapping.columns:
        if use.position < 0 or NEVER_CHANGED.intersection(use.fields):
            continue
        if use.unit_column is not None or use.label:  # what the finding states is not all that the cell holds
            continue
        for name in use.fields:
            if (use.column, name) in positions:
                twice.add((use.column, name))
            positions[use.column, name] = use.position
    return {key: position for key, position in positions.items() if key not in twice}


def _write_changes(path: Path, feeds: Sequence[Feed], applied: Sequence[Sequence[Change]]) -> None:
    with path.open("w", encoding="utf-8", errors="backslashreplace", newline="") as file:
        file.write(csv_line(COLUMNS))
        for feed, changes in zip(feeds, applied, strict=True):
            for change in changes:
                about = {name: neutralize_text(text) for name, text in change.about.items()}
                cells = (
                    neutralize_text(feed.name),
                    neutralize_text(feed.sheet or ""),
                    change.record,
                    about["sku"],
                    about["column"],
                    about["field"],
                    neutralize_text(change.before),
                    neutralize_text(change.after),
                    about["rule"],
                    about["key"],
                )
                file.write(csv_line(cells))
