"""What goes back to the suppliers: per supplier a file of certain corrections and a letter in each language."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as pcsv
import pyarrow.parquet as pq

from auditor.errors import OutputError
from auditor.outputs.findings import FINDINGS_SCHEMA, ROW_GROUP, by_suppliers, neutralize, read_by_grade
from auditor.outputs.finished import FinishedAudit
from auditor.outputs.letters import Letter, write_letters
from auditor.outputs.names import file_names
from auditor.outputs.wordings import languages, load_wordings

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
LETTER_ROWS = 100  # a letter that nobody reads to the end corrects nothing; the file has the rest


@dataclass(slots=True)
class _Gathered:
    """What the letter to one supplier needs, gathered while the corrections stream by."""

    corrections: int = 0
    listings: int = 0
    fields: set[str] = field(default_factory=set)
    rules: set[str] = field(default_factory=set)
    first: list[dict[str, Any]] = field(default_factory=list)


def write_corrections(audit: FinishedAudit, rules: Path | None = None) -> dict[str, str]:
    """Writes `corrections/<supplier>.csv` and the letters; returns supplier to file stem.

    Only what is certain is sent: findings with a suggestion, and whole columns.  Worst grade first, within a
    grade in the feeds' order.  A supplier without either gets no file.
    """
    folder = audit.folder / "corrections"
    columns = _column_findings(audit.summary)
    listings = _listings(audit.findings)
    names = file_names({*listings, *columns})
    gathered: dict[str, _Gathered] = defaultdict(_Gathered)
    try:
        folder.mkdir(exist_ok=True)
        for supplier in sorted(names):
            with (folder / f"{names[supplier]}.csv").open("wb") as file:
                _write(file, _empty(), header=True)
        for table in _certain(read_by_grade(audit.findings)):
            for supplier, part in by_suppliers(table):
                _gather(gathered[supplier], part)
            for supplier, part in by_suppliers(_safe(table)):
                with (folder / f"{names[supplier]}.csv").open("ab") as file:
                    _write(file, part.select(COLUMNS), header=False)
        wordings = [load_wordings(language, rules) for language in languages(rules)]
        for supplier in sorted(names):
            about = gathered[supplier]
            about.listings = listings.get(supplier, 0)
            letter = _letter(supplier, names[supplier], about, columns.get(supplier, ()), audit)
            write_letters(folder, letter, wordings)
    except OSError as error:
        raise OutputError(f"{folder} could not be written ({error}); make room and run again.") from error
    return names


def _certain(tables: Iterable[pa.Table]) -> Iterator[pa.Table]:
    for table in tables:
        certain = table.filter(pc.fill_null(pc.not_equal(table["suggestion"], ""), False))
        if certain.num_rows:
            yield certain.set_column(
                certain.schema.get_field_index("supplier"), "supplier", pc.fill_null(certain["supplier"], "")
            )


def _listings(path: Path) -> dict[str, int]:
    """Supplier to the number of its listings with a certain correction.

    The findings of a listing stand together in the file, so that a listing begins where the place changes.
    """
    counts: dict[str, int] = defaultdict(int)
    before = None
    with pq.ParquetFile(path) as file:
        read = ["feed", "sheet", "record", "supplier", "suggestion"]
        batches = file.iter_batches(batch_size=ROW_GROUP, columns=read)
        for table in _certain(pa.Table.from_batches([batch]) for batch in batches):
            record = pc.fill_null(pc.cast(table["record"], pa.string()), "")
            parts = (table["feed"], pc.fill_null(table["sheet"], ""), record)
            place = pc.binary_join_element_wise(*parts, "\n").combine_chunks()
            shifted = pa.concat_arrays([pa.array([before], pa.string()), place.slice(0, len(place) - 1)])
            begins = pc.fill_null(pc.not_equal(place, shifted), True)
            for counted in pc.value_counts(table["supplier"].filter(begins)).to_pylist():
                counts[counted["values"]] += counted["counts"]
            before = place[-1].as_py()
    return dict(counts)


def _gather(gathered: _Gathered, part: pa.Table) -> None:
    gathered.corrections += part.num_rows
    gathered.fields.update(pc.unique(part["field"]).to_pylist())
    gathered.rules.update(pc.unique(part["rule"]).to_pylist())
    missing = LETTER_ROWS - len(gathered.first)
    if missing > 0:
        gathered.first.extend(part.slice(0, missing).to_pylist())


def _letter(
    supplier: str, name: str, gathered: _Gathered, columns: Sequence[dict[str, Any]], audit: FinishedAudit
) -> Letter:
    fields = gathered.fields | {column["field"] for column in columns}
    subjects = {audit.rules[rule].subject for rule in gathered.rules if rule in audit.rules}
    return Letter(
        supplier=supplier,
        name=name,
        feeds=tuple(sorted({row["feed"] for row in (*gathered.first, *columns)})),
        corrections=gathered.corrections,
        listings=gathered.listings,
        rows=gathered.first,
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
        place = (column["feed"], column.get("sheet"))
        found[column.get("supplier") or feed_supplier.get(place, "")].append(column)
    return dict(found)


def _empty() -> pa.Table:
    return pa.schema([FINDINGS_SCHEMA.field(name) for name in COLUMNS]).empty_table()


def _safe(table: pa.Table) -> pa.Table:
    """The columns that are sent, with no text in them that a spreadsheet program would run as a formula."""
    columns = {name: table[name] for name in COLUMNS}
    safe = {name: neutralize(texts) if pa.types.is_string(texts.type) else texts for name, texts in columns.items()}
    return pa.table({"supplier": table["supplier"], **safe})


def _write(file: Any, table: pa.Table, header: bool) -> None:
    pcsv.write_csv(table, file, pcsv.WriteOptions(include_header=header))
