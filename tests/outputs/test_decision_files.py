"""Decisions are read from the workbook as the program writes it and as others save it, and from the page's file."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from auditor.errors import UsageError
from auditor.outputs.decision_files import read_decisions

HEADINGS = ["Grade", "Decision", "Note", "Until", "By", "SKU", "Marking", "Stated", "Key"]


def workbook(path: Path, rows: list[list[Any]], night: Any = "2026-03-01") -> Path:
    book = openpyxl.Workbook()
    overview = book.active
    assert overview is not None
    overview.title = "Overview"
    overview.append(["Tire catalog audit"])
    if night is not None:
        overview.append(["Night", night])
    sheet = book.create_sheet("Findings")
    sheet.append(HEADINGS)
    for row in rows:
        sheet.append(row)
    book.save(path)
    return path


def test_a_workbook(tmp_path: Path) -> None:
    rows = [
        ["critical", "Accept ", " checked ", dt.date(2026, 4, 1), "Ann", "S-1", "225/65R17 102H", 950, "k1"],
        ["major", None, "no decision", None, None, "S-2", "", "", "k2"],
        ["major", "ask", None, "2026-04-02", None, "S-3", "", "0950", "k3"],
    ]
    first, second = read_decisions(workbook(tmp_path / "report.xlsx", rows))
    assert (first.place, first.key, first.decision, first.because) == (
        "report.xlsx, Findings, row 2",
        "k1",
        "accept",
        "checked",
    )
    assert (first.until, first.by, first.night, first.stated) == ("2026-04-01", "Ann", "2026-03-01", "950")
    assert (second.place, second.until, second.stated) == ("report.xlsx, Findings, row 4", "2026-04-02", "0950")


def test_a_night_that_a_program_made_a_date(tmp_path: Path) -> None:
    path = workbook(tmp_path / "report.xlsx", [["major", "ask", *[None] * 6, "k"]], dt.datetime(2026, 3, 1))
    assert [one.night for one in read_decisions(path)] == ["2026-03-01"]


def test_a_workbook_of_no_night_is_not_taken(tmp_path: Path) -> None:
    path = workbook(tmp_path / "report.xlsx", [["major", "ask", *[None] * 6, "k"]], None)
    with pytest.raises(UsageError, match="names no night, so it is not that of a run with --ledger; none of its 1 dec"):
        read_decisions(path)
    assert read_decisions(workbook(path, [], None)) == []


def test_the_file_of_the_page(tmp_path: Path) -> None:
    path = tmp_path / "decisions.json"
    entries = [
        {"key": "k1", "decision": "accept", "note": "checked", "by": "Ann", "until": "2026-04-01", "state": "standing",
         "first_night": "2026-02-27"},
        {"key": "k2", "decision": ""},
    ]  # fmt: skip
    path.write_text(json.dumps({"schema": 1, "night": "2026-03-01", "decisions": entries}), encoding="utf-8")
    (one,) = read_decisions(path)
    assert (one.key, one.decision, one.because, one.by, one.until, one.night, one.stated) == (
        "k1",
        "accept",
        "checked",
        "Ann",
        "2026-04-01",
        "2026-03-01",
        None,
    )


@pytest.mark.parametrize(
    ("name", "content", "why"),
    [
        ("report.xlsx", b"no workbook", "this is no workbook that can be read"),
        ("decisions.json", b"{", "this is not the file that the page saves"),
        ("decisions.json", b'{"decisions": 7, "groups": []}', "this is not the file that the page saves"),
        ("decisions.json", b'{"decisions": [{"key": "k"}]}', "it names no night"),
        ("decisions.txt", b"", "decisions are read from a report's workbook"),
    ],
)
def test_what_is_neither(tmp_path: Path, name: str, content: bytes, why: str) -> None:
    (tmp_path / name).write_bytes(content)
    with pytest.raises(UsageError, match=why):
        read_decisions(tmp_path / name)
    with pytest.raises(UsageError, match="there is no such file"):
        read_decisions(tmp_path / "none.xlsx")
