"""What goes back to the suppliers: per supplier a file of certain corrections and a letter in each language."""

from __future__ import annotations

import tempfile
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as pcsv

from auditor.errors import OutputError
from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.corrections.letters import Letter, of_feed, write_letters
from auditor.outputs.corrections.spool import CorrectionsSpool
from auditor.outputs.csv_lines import csv_line
from auditor.outputs.findings import (
    FINDINGS_SCHEMA,
    by_suppliers_and_grades,
    neutralize,
    neutralize_text,
    read_in_parts,
)
from auditor.outputs.languages import languages, load_wordings
from auditor.outputs.supplier_names import file_names
from auditor.rulebook.finding import GRADES

COLUMNS = (
    "feed",
    "sheet",
    "record",
    "sku",
    "part_number",
    "gtin",
    "column",
    "field",
    "stated",
    "suggestion",
    "derived",
    "marking",
    "grade",
    "rule",
    "message",
    "key",
)
INDEX = ("supplier", "file", "letters", "feeds", "corrections", "listings", "whole_columns", "held")
_READ = ("supplier", "likely_cause", *COLUMNS)
_SENT = pa.schema([FINDINGS_SCHEMA.field(name) for name in COLUMNS])
_ROWS_AT_ONCE = 1 << 15
LETTER_ROWS = 100  # a letter that nobody reads to the end corrects nothing; the file has the rest


@dataclass(slots=True)
class _Gathered:
    """What the letter to one supplier needs, gathered while the corrections stream by."""

    corrections: int = 0
    listings: int = 0
    fields: set[str] = field(default_factory=set)
    rules: set[str] = field(default_factory=set)
    worst: dict[str, list[dict[str, Any]]] = field(default_factory=lambda: {grade: [] for grade in GRADES})

    def take(self, grade: str, rows: pa.Table) -> None:
        """Keeps the first rows of a grade as long as worse ones do not fill the letter."""
        self.corrections += rows.num_rows
        missing = LETTER_ROWS - sum(len(self.worst[worse]) for worse in GRADES[: GRADES.index(grade) + 1])
        if missing > 0:
            self.worst[grade].extend(rows.slice(0, missing).to_pylist())

    @property
    def first(self) -> list[dict[str, Any]]:
        return [row for grade in GRADES for row in self.worst[grade]][:LETTER_ROWS]


def write_corrections(audit: FinishedAudit, rules: Path | None = None) -> dict[str, str]:
    """Writes `corrections/<supplier>.csv` and the letters; returns supplier to file stem.

    Only what is certain is sent: findings with a suggestion, and whole columns.  Worst grade first, within a
    grade in the feeds' order.  A supplier without either gets no file.
    """
    folder = audit.folder / "corrections"
    columns = _column_findings(audit.summary)
    gathered: dict[str, _Gathered] = defaultdict(_Gathered)
    try:
        folder.mkdir(exist_ok=True)
        with tempfile.TemporaryFile(dir=folder) as spooled:
            spool = CorrectionsSpool(spooled)
            _gather(audit.findings, gathered, spool)
            names = file_names({*gathered, *columns})
            for supplier in sorted(names):
                with (folder / f"{names[supplier]}.csv").open("wb") as file:
                    pcsv.write_csv(_SENT.empty_table(), file)
                    for grade in GRADES:
                        spool.copy(supplier, grade, file)
        letters: list[Letter] = []
        wordings = [load_wordings(language, rules) for language in languages(rules)]
        for supplier in sorted(names):
            letter = _letter(supplier, names[supplier], gathered[supplier], columns.get(supplier, ()), audit)
            write_letters(folder, letter, wordings)
            letters.append(letter)
        _write_index(folder / "index.csv", letters, [words.language for words in wordings])
    except OSError as error:
        raise OutputError(f"{folder} could not be written ({error}); make room and run again.") from error
    return names


def _write_index(path: Path, letters: Sequence[Letter], languages: Sequence[str]) -> None:
    """Who gets what: one line per supplier, with the files that are meant for it."""
    with path.open("w", encoding="utf-8", errors="replace", newline="") as file:
        file.write(csv_line(INDEX))
        for letter in letters:
            written = " ".join(f"{letter.name}.{language}.txt" for language in languages)
            about = (letter.corrections, letter.listings, len(letter.columns), "yes" if letter.held else "no")
            feeds = neutralize_text("; ".join(letter.feeds))
            file.write(csv_line((neutralize_text(letter.supplier), f"{letter.name}.csv", written, feeds, *about)))


def _gather(path: Path, gathered: dict[str, _Gathered], spool: CorrectionsSpool) -> None:
    """Reads all findings once: writes those that are sent to the spool, and gathers what the letters need."""
    before: str | None = None
    for part in read_in_parts(path, _READ, _ROWS_AT_ONCE):
        table = part.filter(pc.fill_null(pc.not_equal(part["suggestion"], ""), False))
        if table.num_rows == 0:
            continue
        suppliers = table.schema.get_field_index("supplier")
        table = table.set_column(suppliers, "supplier", pc.fill_null(table["supplier"], ""))
        listings, before = _listings(table, before)
        for supplier, count in listings.items():
            gathered[supplier].listings += count
        for name in ("field", "rule"):
            distinct = table.group_by(["supplier", name]).aggregate([])
            for supplier, value in zip(*(distinct[key].to_pylist() for key in ("supplier", name)), strict=True):
                getattr(gathered[supplier], f"{name}s").add(value)
        for supplier, grade, rows in by_suppliers_and_grades(table):
            gathered[supplier].take(grade, rows)
        for supplier, grade, rows in by_suppliers_and_grades(_safe(table)):
            spool.add(supplier, grade, rows.select(COLUMNS))


def _listings(table: pa.Table, before: str | None) -> tuple[dict[str, int], str]:
    """Supplier to the number of its listings that begin in a part of the findings, and the place of the last one.

    The findings of a listing stand together in the file, so that a listing begins where the place changes; `before` is
    the last place of the part before.
    """
    record = pc.fill_null(pc.cast(table["record"], pa.string()), "")
    parts = (table["feed"], pc.fill_null(table["sheet"], ""), record)
    position = pc.binary_join_element_wise(*parts, "\n").combine_chunks()
    shifted = pa.concat_arrays([pa.array([before], pa.string()), position.slice(0, len(position) - 1)])
    begins = pc.fill_null(pc.not_equal(position, shifted), True)
    counted = pc.value_counts(table["supplier"].filter(begins)).to_pylist()
    return {entry["values"]: entry["counts"] for entry in counted}, position[-1].as_py()


def _letter(
    supplier: str, name: str, gathered: _Gathered, columns: Sequence[dict[str, Any]], audit: FinishedAudit
) -> Letter:
    first = gathered.first
    fields = gathered.fields | {column["field"] for column in columns}
    subjects = {audit.rules[rule].subject for rule in gathered.rules if rule in audit.rules}
    return Letter(
        supplier=supplier,
        name=name,
        feeds=tuple(sorted({of_feed(row) for row in (*first, *columns)})),
        corrections=gathered.corrections,
        listings=gathered.listings,
        rows=first,
        columns=columns,
        cautions=cautions_for(fields, subjects),
        held=bool(audit.summary["by_supplier"].get(supplier, {}).get("held")),
    )


def cautions_for(fields: set[str], subjects: set[str]) -> tuple[str, ...]:
    """Which of the cautions `load`, `speed` and `rim` a letter about these fields and rule subjects needs."""
    marking = bool(fields & {"marking", "size", "service_description", "title", "description"})
    load = (
        marking
        or bool(subjects & {"load", "load range"})
        or any("load" in name or name == "ply_rating" for name in fields)
    )
    speed = marking or "speed" in subjects or any("speed" in name for name in fields)
    rim = marking or any(name.startswith("rim_") or "_rim_" in name for name in fields)
    return tuple(name for name, needed in (("load", load), ("speed", speed), ("rim", rim)) if needed)


def _column_findings(summary: Mapping[str, Any]) -> dict[str, list[dict[str, Any]]]:
    """Supplier to the whole-column findings of its feeds."""
    feed_supplier = {(feed["feed"], feed.get("sheet")): feed.get("supplier") or "" for feed in summary["feeds"]}
    found: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for column in summary["column_findings"]:
        position = (column["feed"], column.get("sheet"))
        found[column.get("supplier") or feed_supplier.get(position, "")].append(column)
    return dict(found)


def _safe(table: pa.Table) -> pa.Table:
    """The columns that are sent, with no text in them that a spreadsheet program would run as a formula."""
    columns = {name: table[name] for name in COLUMNS}
    safe = {name: neutralize(texts) if pa.types.is_string(texts.type) else texts for name, texts in columns.items()}
    return pa.table({"supplier": table["supplier"], **safe})
