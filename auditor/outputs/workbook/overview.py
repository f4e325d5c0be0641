"""The workbook's first and last sheet: the audit at a glance, and the rules it was made with."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from xlsxwriter.worksheet import Worksheet

from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.headline import (
    deliveries_in_words,
    in_one_sentence,
    safety_loosened,
    states_in_words,
    unread_first,
)
from auditor.outputs.languages import load_wordings
from auditor.outputs.workbook.styles import Styles
from auditor.rulebook.finding import GRADES

CAUTIONS = (
    "This audit compares what a listing says with its own marking; it does not approve a tire for a vehicle.",
    "The vehicle placard, the owner's manual, the tire itself and a trained fitter decide, and local law applies.",
    "Never mount a tire on a rim of another diameter.",
    "A replacement's load index must not be below what the vehicle requires.",
)


_NOT_IN_XML = re.compile("[\x00-\x08\x0b-\x1f\ud800-\udfff\ufffe\uffff]")
_TEXT_HEADINGS = ("Column", "Field", "Grade", "In words")


class _Page:
    """Writes a sheet from the top down, as constant memory demands."""

    def __init__(self, sheet: Worksheet, styles: Styles) -> None:
        self.sheet = sheet
        self.styles = styles
        self.row = 0

    def section(self, heading: str, columns: Sequence[str]) -> None:
        self.row += 1
        for position in range(max(len(columns), 1)):
            self.sheet.write_string(self.row, position, heading if position == 0 else "", self.styles.section)
        self.row += 1
        for position, column in enumerate(columns):
            number = position > 0 and column not in _TEXT_HEADINGS
            style = self.styles.number_heading if number else self.styles.heading
            self.sheet.write_string(self.row, position, column, style)
        self.row += bool(columns)

    def line(self, *values: Any) -> None:
        for position, value in enumerate(values):
            if isinstance(value, bool) or value is None or value == "":
                continue
            if isinstance(value, float):
                self.sheet.write_number(self.row, position, value, self.styles.percent)
            elif isinstance(value, int):
                self.sheet.write_number(self.row, position, value, self.styles.number)
            else:
                style = self.styles.grades.get(value, self.styles.plain)
                self.sheet.write_string(self.row, position, _unformatted(in_xml(value[:1_000])), style)
        self.row += 1


def in_xml(text: str) -> str:
    """The text without what XML cannot hold, so that the workbook stays well-formed whatever a feed says."""
    return _NOT_IN_XML.sub("\N{REPLACEMENT CHARACTER}", text)


def _unformatted(text: str) -> str:
    """The text, with a blank where the library would take it for formatted text and write it as it stands."""
    return f"{text} " if text.startswith("<r>") and text.endswith("</r>") else text


def write_overview(
    sheet: Worksheet, audit: FinishedAudit, sheets: dict[str, str], notes: Sequence[str], styles: Styles
) -> None:
    """The night in one sentence, then suppliers (linked to their sheets), rules, whole columns, feeds, cautions."""
    summary = audit.summary
    sheet.hide_gridlines(2)
    sheet.set_column(0, 0, 44)
    sheet.set_column(1, 6, 14)
    sheet.set_column(7, 7, 60)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    page = _Page(sheet, styles)
    sheet.set_row(0, 30)
    sheet.write_string(0, 0, "Tire catalog audit", styles.title)
    page.row = 1
    head = (unread_first(summary), *deliveries_in_words(summary), states_in_words(summary), in_one_sentence(summary))
    for said in filter(None, head):
        page.line(said)
    if summary.get("states") is not None:
        page.line("Night", summary["night"])  # by which decisions are taken in
    for note in filter(None, (safety_loosened(summary["loosened_safety"]), *notes)):
        page.line(note)
    _suppliers(page, summary, sheets)
    _columns(page, summary)
    _rules(page, summary)
    _feeds(page, summary)
    page.section("Could not tell", ("Rule", "Listings"))
    for rule, count in sorted(summary["could_not_tell"].items(), key=lambda item: (-item[1], item[0])):
        page.line(rule, count)
    page.section("Cautions", ())
    for caution in CAUTIONS:
        page.line(caution)


def _suppliers(page: _Page, summary: dict[str, Any], sheets: dict[str, str]) -> None:
    page.section("Suppliers", ("Supplier", "Listings", "Held", "Critical", "Major", "Minor"))
    rows = summary["by_supplier"]
    for name in [*sheets, *sorted(set(rows) - set(sheets))]:
        row = rows[name]
        if name in sheets:
            target = sheets[name].replace("'", "''")
            page.sheet.write_url(
                page.row,
                0,
                f"internal:'{target}'!A1",
                page.styles.link,
                _unformatted(in_xml((name or "(not named)")[:200])),
            )
        label = None if name in sheets else name or "(not named)"
        page.line(label, row["records"], row["held"], *(row[grade] for grade in GRADES))


def _columns(page: _Page, summary: dict[str, Any]) -> None:
    if summary["column_findings"]:
        page.section("Whole columns", ("Feed", "Column", "Field", "Share", "Values", "", "", "In words"))
    for column in summary["column_findings"]:
        page.line(
            column["feed"],
            column["column"],
            column["field"],
            float(column["share"]),
            column["readable"],
            None,
            None,
            column["message"],
        )


def _rules(page: _Page, summary: dict[str, Any]) -> None:
    page.section("Rules with findings", ("Rule", "Findings", "Grade"))
    found = [(name, row) for name, row in summary["by_rule"].items() if row["findings"]]
    found.sort(key=lambda item: (GRADES.index(item[1]["grade"]), -item[1]["findings"], item[0]))
    for name, row in found:
        page.line(name, row["findings"], row["grade"])


def _feeds(page: _Page, summary: dict[str, Any]) -> None:
    page.section("Feeds", ("Feed", "Listings", "Released", "Held", "Rejected"))
    for feed in summary["feeds"]:
        name = feed["feed"] + (f" [{feed['sheet']}]" if feed.get("sheet") else "")
        page.line(name, feed["records"], feed["released"], feed["held"], feed["rejected"])
    for feed in summary["unreadable_feeds"]:
        page.line(feed["feed"], None, None, None, None, None, None, feed["reason"])


def write_rule_book(sheet: Worksheet, audit: FinishedAudit, styles: Styles) -> None:
    """Every rule with its grade, subject, title, reason and source, in the rule book's order."""
    headings = (("Rule", 28), ("Grade", 10), ("Subject", 14), ("Finds", 44), ("Why", 60), ("Source", 44))
    for position, (heading, width) in enumerate(headings):
        sheet.set_column(position, position, width)
        sheet.write_string(0, position, heading, styles.heading)
    sheet.freeze_panes(1, 1)
    row = 0
    for row, rule in enumerate(sorted(audit.rules.values(), key=lambda rule: rule.order), 1):
        sheet.write_string(row, 0, rule.id, styles.plain)
        sheet.write_string(row, 1, rule.grade, styles.grades[rule.grade])
        for position, text in enumerate((rule.subject, rule.title, rule.why, rule.source), 2):
            sheet.write_string(row, position, text, styles.wrapped)
    sheet.autofilter(0, 0, max(row, 1), len(headings) - 1)
    row += 2
    words = load_wordings("en")
    sheet.write_string(row, 0, "Likely causes", styles.section)
    for line, cause in enumerate(words.causes, row + 1):
        sheet.write_string(line, 0, cause, styles.plain)
        sheet.write_string(line, 3, words.causes[cause], styles.wrapped)
