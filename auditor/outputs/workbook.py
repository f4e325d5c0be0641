"""`report.xlsx`: the audit as a workbook to filter and to write decisions into, in constant memory."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc
import xlsxwriter
from xlsxwriter.worksheet import Worksheet

from auditor.errors import OutputError
from auditor.finding import GRADES
from auditor.outputs.findings import read_by_grade
from auditor.outputs.finished import FinishedAudit
from auditor.outputs.names import sheet_names
from auditor.outputs.terminal import in_one_sentence
from auditor.outputs.workbook_overview import write_overview, write_rule_book
from auditor.outputs.workbook_styles import DECISIONS, Styles, make_styles

SHEET_ROWS = 1_048_576  # of the file format, heading included
# Nobody decides on more by hand in a day, and each further row costs time in every run; findings.csv has all.
FINDINGS_MOST = 10_000
SUPPLIERS_MOST = 10_000  # over all sheets of suppliers
SUPPLIER_SHEETS_MOST = 40
_CELL_LONGEST = 1_000  # the format takes 32,767, but such a cell hides its row

# Column, heading, width in characters.  `decision` and `note` are for people; the key finds the line again
# tomorrow.
_COLUMNS: tuple[tuple[str, str, int], ...] = (
    ("grade", "Grade", 10),
    ("decision", "Decision", 20),
    ("note", "Note", 24),
    ("supplier", "Supplier", 24),
    ("sku", "SKU", 16),
    ("marking", "Marking", 26),
    ("column", "Column", 20),
    ("stated", "Stated", 16),
    ("derived", "Should be", 16),
    ("suggestion", "Suggestion", 16),
    ("deviation", "Deviation", 11),
    ("message", "In words", 60),
    ("likely_cause", "Likely cause", 22),
    ("rule", "Rule", 26),
    ("field", "Field", 22),
    ("evidence", "Evidence", 44),
    ("part_number", "Part number", 16),
    ("gtin", "GTIN", 16),
    ("feed", "Feed", 28),
    ("sheet", "Sheet", 12),
    ("record", "Record", 9),
    ("key", "Key", 20),
)
_PRINTED = 12  # columns up to the sentence; the others are for filtering
_READ = [name for name, _, _ in _COLUMNS if name not in ("decision", "note")]
_NUMBER = re.compile(r"-?(?:0|[1-9]\d{0,11})(?:\.\d*[1-9])?")
_NUMBER_CELLS = frozenset({"stated", "derived", "suggestion"})


@dataclass(slots=True)
class _Sheet:
    """A findings sheet that is being filled from the top."""

    sheet: Worksheet
    most: int
    rows: int = 0  # written
    left_out: int = 0


def write_workbook(
    audit: FinishedAudit,
    findings_most: int = FINDINGS_MOST,
    suppliers_most: int = SUPPLIERS_MOST,
) -> Path:
    """Writes `report.xlsx`: overview, findings, a sheet per supplier, rule book.

    Findings come worst grade first, within a grade in the feeds' order; where a sheet cannot take them all,
    the overview says how many it leaves out.  The same audit gives the same bytes.
    """
    path = audit.folder / "report.xlsx"
    options = {
        "constant_memory": True,
        "tmpdir": str(audit.folder),
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    try:
        with xlsxwriter.Workbook(str(path), options) as book:
            _fill(book, audit, min(findings_most, SHEET_ROWS - 1), suppliers_most)
    except (OSError, xlsxwriter.exceptions.FileCreateError) as error:
        raise OutputError(f"{path} could not be written ({error}); make room and run again.") from error
    return path


def _fill(book: xlsxwriter.Workbook, audit: FinishedAudit, findings_most: int, suppliers_most: int) -> None:
    # No clock in the file: two runs on the same feeds give the same bytes.
    book.set_properties(
        {
            "title": "Tire catalog audit",
            "comments": in_one_sentence(audit.summary),
            "created": dt.datetime(2000, 1, 1),
        }
    )
    styles = make_styles(book)
    overview = book.add_worksheet("Overview")
    findings = _Sheet(_new_sheet(book, "Findings", styles), findings_most)
    ranked = _ranked_suppliers(audit.summary)
    names = sheet_names(ranked[:SUPPLIER_SHEETS_MOST], ("Overview", "Findings", "Rule book"))
    each = min(suppliers_most // max(len(names), 1), SHEET_ROWS - 1)
    by_supplier = {supplier: _Sheet(_new_sheet(book, name, styles), each) for supplier, name in names.items()}
    rule_book = book.add_worksheet("Rule book")
    for part in read_by_grade(audit.findings, _READ):
        _write_part(findings, part, styles)
        for supplier, rows in _by_supplier(part):
            if supplier in by_supplier:
                _write_part(by_supplier[supplier], rows, styles)
    for sheet in (findings, *by_supplier.values()):
        _finish_sheet(sheet, styles)
    notes = list(_announce(findings, by_supplier, names, len(ranked)))
    write_overview(overview, audit, names, notes, styles)
    write_rule_book(rule_book, audit, styles)


def _ranked_suppliers(summary: dict[str, Any]) -> list[str]:
    """Suppliers with findings, the most dangerous first."""
    found = {
        name: tuple(-row[grade] for grade in GRADES)
        for name, row in summary["by_supplier"].items()
        if any(row[grade] for grade in GRADES)
    }
    return sorted(found, key=lambda name: (found[name], name))


def _by_supplier(part: pa.Table) -> Iterator[tuple[str, pa.Table]]:
    suppliers = pc.fill_null(part["supplier"], "")
    for supplier in pc.unique(suppliers).to_pylist():
        yield supplier, part.filter(pc.equal(suppliers, supplier))


def _new_sheet(book: xlsxwriter.Workbook, name: str, styles: Styles) -> Worksheet:
    sheet = book.add_worksheet(name)
    for place, (_, _, width) in enumerate(_COLUMNS):
        sheet.set_column(place, place, width)
    sheet.freeze_panes(1, 1)
    sheet.set_landscape()
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    sheet.set_footer("&L&A&RPage &P of &N")
    sheet.set_row(0, 24)
    for place, (_, heading, _) in enumerate(_COLUMNS):
        sheet.write_string(0, place, heading, styles.heading)
    return sheet


def _write_part(sheet: _Sheet, part: pa.Table, styles: Styles) -> None:
    """Writes the rows there is still room for, and counts the others."""
    fits = part.slice(0, sheet.most - sheet.rows)
    sheet.left_out += part.num_rows - fits.num_rows
    for values in zip(*(fits[name].to_pylist() for name in _READ), strict=True):
        sheet.rows += 1
        _write_row(sheet.sheet, sheet.rows, values, styles)


def _write_row(page: Worksheet, row: int, values: tuple[Any, ...], styles: Styles) -> None:
    page.write_string(row, 0, values[0], styles.grades[values[0]])
    page.write_blank(row, 1, None, styles.decision)
    page.write_blank(row, 2, None, styles.decision)
    for place, (name, value) in enumerate(zip(_READ[1:], values[1:], strict=True), 3):
        if value is None or value == "":
            continue
        if name == "record":
            page.write_number(row, place, value, styles.plain)
        elif name == "deviation":
            page.write_number(row, place, value, styles.percent)
        elif name in _NUMBER_CELLS and len(value) < 16 and _NUMBER.fullmatch(value):
            page.write_number(row, place, float(value), styles.plain)
        else:
            text = value if len(value) <= _CELL_LONGEST else value[: _CELL_LONGEST - 1] + "…"
            page.write_string(row, place, text, styles.wrapped if name == "message" else styles.plain)


def _finish_sheet(sheet: _Sheet, styles: Styles) -> None:
    page, last = sheet.sheet, max(sheet.rows, 1)
    page.autofilter(0, 0, last, len(_COLUMNS) - 1)
    page.print_area(0, 0, last, _PRINTED - 1)
    page.data_validation(
        1,
        1,
        last,
        1,
        {
            "validate": "list",
            "source": list(DECISIONS),
            "input_title": "Decision",
            "input_message": "What is to be done about this finding.",
            "error_title": "Decision",
            "error_message": "Please choose one of the list, or leave the cell empty.",
        },
    )
    # A decided line is struck through as well as grayed: color alone would be lost on some readers and on
    # paper.
    page.conditional_format(
        1, 0, last, len(_COLUMNS) - 1, {"type": "formula", "criteria": '=$B2<>""', "format": styles.decided}
    )
    page.ignore_errors({"number_stored_as_text": f"A1:V{last + 1}"})


def _announce(findings: _Sheet, by_supplier: dict[str, _Sheet], names: dict[str, str], suppliers: int) -> Iterator[str]:
    if findings.left_out:
        yield (
            f"The sheet Findings holds the worst {findings.rows:,}; {findings.left_out:,} more are in findings.csv"
            " and findings.parquet."
        )
    for supplier, sheet in by_supplier.items():
        if sheet.left_out:
            yield (
                f"The sheet {names[supplier]} holds the worst {sheet.rows:,};"
                f" {sheet.left_out:,} more are in findings.csv."
            )
    if suppliers > len(by_supplier):
        yield (
            f"The {len(by_supplier)} suppliers with the worst findings have a sheet of their own;"
            f" the other {suppliers - len(by_supplier):,} are in Findings."
        )
