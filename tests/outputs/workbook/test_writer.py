"""The workbook, read back with another library and opened with LibreOffice."""

from __future__ import annotations

import dataclasses
import subprocess
from pathlib import Path

import openpyxl
import pyarrow.parquet as pq
import pytest

from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.workbook.styles import DECISIONS
from auditor.outputs.workbook.writer import write_workbook
from auditor.outputs.worst_findings import worst_findings
from auditor.rulebook.finding import GRADES
from tests.conftest import needed_program
from tests.outputs.invented import SUPPLIERS, invented_audit, repeat


@pytest.fixture(scope="module")
def book(audit: FinishedAudit) -> openpyxl.Workbook:
    return openpyxl.load_workbook(audit.folder / "report.xlsx")


def test_sheets_are_overview_repeated_findings_suppliers_and_rule_book(book: openpyxl.Workbook) -> None:
    assert book.sheetnames[:3] == ["Overview", "Repeated mistakes", "Findings"]
    assert book.sheetnames[-1] == "Rule book"
    assert sorted(book.sheetnames[3:-1]) == sorted(name for name, _, _ in SUPPLIERS)


def test_findings_are_all_there_worst_first_with_real_numbers(book: openpyxl.Workbook, audit: FinishedAudit) -> None:
    sheet = book["Findings"]
    rows = list(sheet.iter_rows(values_only=True))
    columns = {name: position for position, name in enumerate(rows[0])}
    table = pq.read_table(audit.findings).to_pylist()
    assert [row[columns["Key"]] for row in rows[1:]] == worst_findings(audit.findings).table["key"].to_pylist()
    by_key = {finding["key"]: finding for finding in table}
    for row in rows[1:]:
        finding = by_key[row[columns["Key"]]]
        assert row[columns["Record"]] == finding["record"]
        assert row[columns["Finds"]] == audit.rules[finding["rule"]].title  # words, no ids
        assert row[columns["Deviation"]] == pytest.approx(finding["deviation"], nan_ok=True)
        stated = row[columns["Stated"]]
        assert str(stated) == finding["stated"]
        assert isinstance(stated, int | float) == finding["stated"].replace(".", "", 1).isdigit()


def test_headers_are_frozen_filtered_and_decisions_offered(book: openpyxl.Workbook) -> None:
    for name, last in (("Findings", "Y"), (SUPPLIERS[0][0], "U")):
        sheet = book[name]
        assert sheet.freeze_panes == "B2"
        assert sheet.auto_filter.ref == f"A1:{last}{sheet.max_row}"
        assert {cell.value: cell.column_letter for cell in sheet[1]}["In words"] == ("N" if last == "Y" else "J")
    offered, until = book["Findings"].data_validations.dataValidation
    assert DECISIONS == ("accept", "ask", "wrong")
    assert offered.formula1 == '"accept,ask,wrong"'
    assert str(offered.sqref) == f"B2:B{book['Findings'].max_row}"
    assert (until.type, str(until.sqref)) == ("date", f"D2:D{book['Findings'].max_row}")


def test_decisions_have_one_place(book: openpyxl.Workbook) -> None:
    heads = {sheet.title: [cell.value for cell in sheet[1]] for sheet in book}
    assert [name for name, head in heads.items() if "Decision" in head] == ["Findings"]
    assert heads["Findings"][1:5] == ["Decision", "Note", "Until", "By"]
    assert not any(sheet.data_validations.dataValidation for sheet in book if sheet.title != "Findings")


def test_repeated_mistakes_have_a_sheet(book: openpyxl.Workbook, audit: FinishedAudit) -> None:
    rows = list(book["Repeated mistakes"].iter_rows(min_row=2, values_only=True))
    assert [(row[1], row[4], row[12]) for row in rows] == [
        (group["supplier"], group["count"], group["key"]) for group in audit.summary["repeated"]
    ]
    assert rows[0][3] == "pounds written as kilograms"


def test_grades_differ_in_weight_or_slant_not_in_color_alone(book: openpyxl.Workbook) -> None:
    looks = {}
    for (cell,) in book["Findings"].iter_rows(min_row=2, max_col=1):
        looks[cell.value] = (cell.font.b, cell.font.i, cell.font.color.rgb if cell.font.color else None)
    assert set(looks) == set(GRADES)
    assert looks["critical"][0] and looks["major"][0] and looks["minor"][1]
    assert len(set(looks.values())) == 3


def test_rule_book_sheet_lists_every_rule(book: openpyxl.Workbook, audit: FinishedAudit) -> None:
    listed = [row[0] for row in book["Rule book"].iter_rows(min_row=2, values_only=True)]
    assert listed[: len(audit.rules)] == list(audit.rules)


def test_what_does_not_fit_is_announced(audit: FinishedAudit, tmp_path: Path) -> None:
    many = repeat(audit, tmp_path, 1_000)
    book = openpyxl.load_workbook(write_workbook(many, findings_most=500, suppliers_most=200))
    assert book["Findings"].max_row == 501
    assert book["Odermatt Reifenkontor"].max_row == 51
    notes = [row[0] for row in book["Overview"].iter_rows(min_row=2, max_row=9, values_only=True)]
    assert any(note and note.startswith("The sheet Findings lists 500 findings of 1,000;") for note in notes)
    assert any(note and note.startswith("The sheet Odermatt Reifenkontor lists 50 findings of ") for note in notes)


def test_hostile_texts_are_cells_not_formulas(hostile: FinishedAudit) -> None:
    book = openpyxl.load_workbook(hostile.folder / "report.xlsx")
    kinds = {cell.data_type for sheet in book for row in sheet.iter_rows() for cell in row}
    assert "f" not in kinds
    assert "e" not in kinds


def test_a_text_that_looks_formatted_is_a_text(audit: FinishedAudit, tmp_path: Path) -> None:
    name = "<r></b></r>"
    summary = {**audit.summary, "unreadable_feeds": [{"feed": name, "reason": name}]}
    summary["by_supplier"] = {name: dict(audit.summary["by_supplier"][SUPPLIERS[0][0]]), **summary["by_supplier"]}
    book = openpyxl.load_workbook(write_workbook(dataclasses.replace(audit, folder=tmp_path, summary=summary)))
    said = [cell for row in book["Overview"].iter_rows(values_only=True) for cell in row]
    assert said.count(f"{name} ") == 3  # supplier, feed and reason


def test_same_audit_gives_the_same_bytes(audit: FinishedAudit, tmp_path: Path) -> None:
    again = write_workbook(invented_audit(tmp_path))
    assert again.read_bytes() == (audit.folder / "report.xlsx").read_bytes()


@pytest.mark.parametrize("kind", ["plain", "hostile"])
def test_libreoffice_opens_it(audit: FinishedAudit, hostile: FinishedAudit, tmp_path: Path, kind: str) -> None:
    office = needed_program("soffice", "libreoffice")
    source = (audit if kind == "plain" else hostile).folder / "report.xlsx"
    done = subprocess.run(
        [
            office,
            f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}",
            "--headless",
            "--convert-to",
            "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,3",
            "--outdir",
            str(tmp_path),
            str(source),
        ],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    made = list(tmp_path.glob("*.csv"))
    assert len(made) == 1, done.stderr
    lines = made[0].read_text(encoding="utf-8")
    assert lines.startswith("Grade,Decision,Note,Until,By,Supplier,SKU,Marking,")
    assert lines.count("More load than the load index allows") > 10
