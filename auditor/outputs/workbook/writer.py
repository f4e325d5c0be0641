"""`report.xlsx`: the audit as a workbook to filter and to write decisions into."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc
import xlsxwriter
from xlsxwriter.worksheet import Worksheet

from auditor.errors import OutputError
from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.findings import by_suppliers
from auditor.outputs.headline import in_one_sentence
from auditor.outputs.supplier_names import sheet_names
from auditor.outputs.workbook.groups import in_words, write_groups
from auditor.outputs.workbook.overview import write_overview, write_rule_book
from auditor.outputs.workbook.package import part_of, sample_styles, write_filled
from auditor.outputs.workbook.rows import COLUMNS, STYLES, VIEW, last_letter, rows_xml, with_states
from auditor.outputs.workbook.styles import DECISIONS, Styles, make_styles
from auditor.outputs.worst_findings import worst_findings
from auditor.rulebook.finding import GRADES

SHEET_ROWS = 1_048_576  # of the file format, heading included
# Nobody decides on more by hand in a day, and each further row costs time in every run; findings.csv has all.
FINDINGS_MOST = 10_000
SUPPLIERS_MOST = 10_000  # over all sheets of suppliers
SUPPLIER_SHEETS_MOST = 40
_ROWS_AT_ONCE = 4_096


@dataclass(slots=True)
class _Sheet:
    """A findings sheet and what is to stand in it."""

    page: Worksheet
    number: int  # among the workbook's sheets, from 1
    most: int  # rows it can take
    found: int  # findings there are for it, those folded under one counted
    columns: tuple[tuple[str, str, int], ...]
    parts: list[pa.Table] = field(default_factory=list)
    rows: int = 0  # in `parts`

    def take(self, part: pa.Table) -> None:
        fits = part.slice(0, self.most - self.rows)
        if fits.num_rows:
            self.parts.append(fits)
            self.rows += fits.num_rows

    @property
    def left_out(self) -> int:
        return self.found - sum(pc.sum(part["stands_for"]).as_py() or 0 for part in self.parts)


def write_workbook(
    audit: FinishedAudit,
    findings_most: int = FINDINGS_MOST,
    suppliers_most: int = SUPPLIERS_MOST,
) -> Path:
    """Writes `report.xlsx`: overview, repeated mistakes, findings, a sheet per supplier, rule book.

    Decisions are written into one sheet, Findings; those of suppliers are views of it.  Findings come worst first;
    where a sheet cannot take them all, the overview says how many it leaves out.  The same audit gives the same bytes.
    """
    path = audit.folder / "report.xlsx"
    made = io.BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    try:
        with xlsxwriter.Workbook(made, options) as book:
            sheets = _fill(book, audit, min(findings_most, SHEET_ROWS - 1), suppliers_most)
        empty = made.getvalue()
        styles = dict(zip(STYLES, sample_styles(empty, part_of(sheets[0].number)), strict=True))
        rows = {part_of(sheet.number): (_extent(sheet), _rows(sheet, styles)) for sheet in sheets}
        write_filled(empty, path, rows)
    except OSError as error:
        raise OutputError(f"{path} could not be written ({error}); make room and run again.") from error
    return path


def _fill(book: xlsxwriter.Workbook, audit: FinishedAudit, findings_most: int, suppliers_most: int) -> list[_Sheet]:
    """Makes everything but the rows of the findings sheets, which it returns with what is to stand in them."""
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
    counts = _counts(audit.summary)
    write_groups(book.add_worksheet("Repeated mistakes"), audit, styles)
    whole, view = COLUMNS, VIEW
    if audit.summary.get("states") is not None:
        whole, view = with_states(whole), with_states(view)
    findings = _new_sheet(book, "Findings", findings_most, sum(counts.values()), styles, whole)
    ranked = _ranked_suppliers(audit.summary)
    names = sheet_names(ranked[:SUPPLIER_SHEETS_MOST], ("Overview", "Repeated mistakes", "Findings", "Rule book"))
    each = min(suppliers_most // max(len(names), 1), SHEET_ROWS - 1)
    by_supplier = {
        supplier: _new_sheet(book, name, each, counts[supplier], styles, view) for supplier, name in names.items()
    }
    rule_book = book.add_worksheet("Rule book")
    _gather(audit, findings, by_supplier)
    sheets = [findings, *by_supplier.values()]
    for sheet in sheets:
        _finish_sheet(sheet, styles)
    notes = list(_announce(findings, by_supplier, names, len(ranked)))
    write_overview(overview, audit, names, notes, styles)
    write_rule_book(rule_book, audit, styles)
    return sheets


def _counts(summary: dict[str, Any]) -> dict[str, int]:
    """Supplier to its findings."""
    return {name: sum(row[grade] for grade in GRADES) for name, row in summary["by_supplier"].items()}


def _gather(audit: FinishedAudit, findings: _Sheet, by_supplier: Mapping[str, _Sheet]) -> None:
    """Gives each sheet its findings, worst first: a supplier's sheet is a view of the whole list."""
    table = in_words(worst_findings(audit.findings, findings.most).table, audit)
    findings.take(table)
    for supplier, rows in by_suppliers(table):
        if supplier in by_supplier:
            by_supplier[supplier].take(rows)


def _extent(sheet: _Sheet) -> str:
    return f"A1:{last_letter(sheet.columns)}{sheet.rows + 1}"


def _rows(sheet: _Sheet, styles: Mapping[str, str]) -> Iterator[pa.Buffer]:
    """The XML of a sheet's rows behind its headings, some thousand at a time."""
    row = 2
    for part in sheet.parts:
        for start in range(0, part.num_rows, _ROWS_AT_ONCE):
            some = part.slice(start, _ROWS_AT_ONCE)
            yield rows_xml(some, row, styles, sheet.columns)
            row += some.num_rows


def _ranked_suppliers(summary: dict[str, Any]) -> list[str]:
    """Suppliers with findings, the most dangerous first."""
    found = {
        name: tuple(-row[grade] for grade in GRADES)
        for name, row in summary["by_supplier"].items()
        if any(row[grade] for grade in GRADES)
    }
    return sorted(found, key=lambda name: (found[name], name))


def _new_sheet(
    book: xlsxwriter.Workbook,
    name: str,
    most: int,
    found: int,
    styles: Styles,
    columns: tuple[tuple[str, str, int], ...],
) -> _Sheet:
    """A findings sheet with headings, and below them a cell of each style, to be replaced by the rows."""
    page = book.add_worksheet(name)
    for position, (_, _, width) in enumerate(columns):
        page.set_column(position, position, width)
    page.freeze_panes(1, 1)
    page.set_landscape()
    page.set_paper(9)
    page.fit_to_pages(1, 0)
    page.repeat_rows(0)
    page.set_footer("&L&A&RPage &P of &N")
    page.set_row(0, 24)
    for position, (_, heading, _) in enumerate(columns):
        page.write_string(0, position, heading, styles.heading)
    looks = {**styles.grades, **{name: getattr(styles, name) for name in STYLES if name not in styles.grades}}
    for position, style in enumerate(STYLES):
        page.write_blank(1, position, None, looks[style])
    return _Sheet(page, len(book.worksheets()), most, found, columns)


def _finish_sheet(sheet: _Sheet, styles: Styles) -> None:
    page, last = sheet.page, max(sheet.rows, 1)
    names = [name for name, _, _ in sheet.columns]
    page.autofilter(0, 0, last, len(names) - 1)
    page.print_area(0, 0, last, names.index("message"))
    page.ignore_errors({"number_stored_as_text": f"A1:{last_letter(sheet.columns)}{last + 1}"})
    if "decision" not in names:
        return
    page.data_validation(
        1,
        1,
        last,
        1,
        {
            "validate": "list",
            "source": list(DECISIONS),
            "input_title": "Decision",
            "input_message": "accept: may be sold so.  ask: the supplier is asked.  wrong: the auditor errs.",
            "error_title": "Decision",
            "error_message": "Please choose accept, ask or wrong, or leave the cell empty.",
        },
    )
    until = names.index("until")
    page.data_validation(
        1,
        until,
        last,
        until,
        {
            "validate": "date",
            "criteria": ">=",
            "value": dt.date(2000, 1, 1),
            "error_title": "Until",
            "error_message": "Please write a date, or leave the cell empty.",
        },
    )
    # A decided line is struck through as well as grayed: color alone would be lost on some readers and on
    # paper.
    page.conditional_format(
        1, 0, last, len(names) - 1, {"type": "formula", "criteria": '=$B2<>""', "format": styles.decided}
    )


def _announce(findings: _Sheet, by_supplier: dict[str, _Sheet], names: dict[str, str], suppliers: int) -> Iterator[str]:
    if findings.left_out:
        yield (
            f"The sheet Findings lists {findings.found - findings.left_out:,} findings of {findings.found:,};"
            " findings.csv and folded.parquet have all, and so have the suppliers' files in corrections."
        )
    for supplier, sheet in by_supplier.items():
        if sheet.left_out:
            yield (f"The sheet {names[supplier]} lists {sheet.found - sheet.left_out:,} findings of {sheet.found:,}.")
    if suppliers > len(by_supplier):
        yield (
            f"The {len(by_supplier)} suppliers with the worst findings have a sheet of their own;"
            f" the other {suppliers - len(by_supplier):,} are in Findings."
        )
