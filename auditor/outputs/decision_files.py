"""Reads the decisions that staff wrote into a report's workbook, or saved from its page."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

from auditor.errors import UsageError
from auditor.ledger.asked import AskedDecision

WORKBOOKS = (".xlsx", ".xlsm", ".ods", ".xls")  # as the program writes it, and as others save it
NIGHT = "night"  # the label beside which a workbook's overview names its night
_HEAD_ROWS = 12  # at the top of a sheet, where headings and the night stand
# What a column is called, by what is taken from it.
_HEADINGS = {
    "key": "key",
    "decision": "decision",
    "note": "because",
    "until": "until",
    "by": "by",
    "stated": "stated",
    "marking": "marking",
}
_TEXTS = ("because", "by", "stated", "marking")


def read_decisions(path: Path) -> list[AskedDecision]:
    """The decisions in a workbook or in the file that the page saves; rows without one are left out.

    Raises UsageError for a file that is neither, or that does not say of which night it is.
    """
    if not path.is_file():
        raise UsageError(f"{path}: there is no such file.")
    if path.suffix.lower() == ".json":
        return _from_page(path)
    if path.suffix.lower() in WORKBOOKS:
        return _from_workbook(path)
    raise UsageError(
        f"{path}: decisions are read from a report's workbook (.xlsx) or a file saved from its page (.json)."
    )


def _from_workbook(path: Path) -> list[AskedDecision]:
    # Start-up: few runs read a workbook.
    import python_calamine

    try:
        book = python_calamine.CalamineWorkbook.from_path(str(path))
        sheets = {name: book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in book.sheet_names}
    except Exception as error:  # of whatever kind the library raises for a broken file
        raise UsageError(
            f"{path}: this is no workbook that can be read ({' '.join(str(error).split())[:120]})."
        ) from error
    rows = [row for name, cells in sheets.items() for row in _decided_rows(path, name, cells)]
    night = next(filter(None, map(_night_in, sheets.values())), None)
    if rows and night is None:
        raise UsageError(
            f"{path}: the workbook names no night, so it is not that of a run with --ledger; none of its"
            f" {len(rows):,} decisions is taken."
        )
    return [_asked(path, place, values, night) for place, values in rows]


def _night_in(cells: Sequence[Sequence[Any]]) -> str | None:
    """The night that a sheet names beside its label."""
    for row in cells[:_HEAD_ROWS]:
        for label, value in pairwise(row):
            if isinstance(label, str) and label.strip().casefold() == NIGHT:
                return _date_text(value)
    return None


def _decided_rows(path: Path, sheet: str, cells: Sequence[Sequence[Any]]) -> Iterator[tuple[str, dict[str, Any]]]:
    """(place, what is taken from it) of every row with a decision."""
    head = next(
        (number for number, row in enumerate(cells[:_HEAD_ROWS]) if {"key", "decision"} <= set(_names(row))), None
    )
    if head is None:
        return
    names = _names(cells[head])
    columns = {_HEADINGS[name]: place for place, name in reversed(list(enumerate(names))) if name in _HEADINGS}
    for number, row in enumerate(cells[head + 1 :], head + 2):
        values = {name: row[place] if place < len(row) else "" for name, place in columns.items()}
        if str(values["decision"]).strip():
            yield f"{path.name}, {sheet}, row {number:,}", values


def _names(row: Sequence[Any]) -> list[str]:
    return [str(cell).strip().casefold() for cell in row]


def _asked(path: Path, place: str, values: dict[str, Any], night: str | None) -> AskedDecision:
    texts = {name: _cell_text(values[name]) for name in _TEXTS if name in values}
    return AskedDecision(
        place=place,
        key=_cell_text(values.get("key")).strip(),
        decision=_cell_text(values["decision"]).strip().casefold(),
        because=texts.get("because", "").strip(),
        until=_date_text(values.get("until")) or "",
        by=texts.get("by", "").strip(),
        night=night,
        source=str(path),
        stated=texts.get("stated"),
        marking=texts.get("marking"),
    )


def _cell_text(value: Any) -> str:
    """A cell's text; a whole number as people write it."""
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def _date_text(value: Any) -> str | None:
    """An ISO date from a cell that holds a date or a text; other texts as they are, to be told of."""
    if isinstance(value, dt.datetime | dt.date):
        return value.isoformat()[:10]
    return _cell_text(value).strip() or None


def _from_page(path: Path) -> list[AskedDecision]:
    try:
        data = json.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError) as error:
        raise UsageError(f"{path}: this is not the file that the page saves ({error}).") from error
    night = data.get("night") if isinstance(data, dict) else None
    lines = data.get("decisions") if isinstance(data, dict) else data
    if not isinstance(lines, list) or not all(isinstance(line, dict) for line in lines):
        raise UsageError(f"{path}: this is not the file that the page saves; it needs a list of decisions.")
    if lines and not isinstance(night, str):
        raise UsageError(
            f"{path}: it names no night, so it is not of a run with --ledger; none of its decisions is taken."
        )
    return [
        _asked(path, f"{path.name}, entry {number:,}", {**line, "because": line.get("note", "")}, night)
        for number, line in enumerate(lines, 1)
        if str(line.get("decision") or "").strip()
    ]
