"""What goes back to the suppliers: per supplier everything that holds a listing, and a letter in each language."""

from __future__ import annotations

import tempfile
from collections import defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import IO, Any

import pyarrow as pa
import pyarrow.csv as pcsv

from auditor.errors import OutputError
from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.corrections.index import write_index
from auditor.outputs.corrections.letters import Letter, asked_before, of_feed, write_letters
from auditor.outputs.corrections.rows import COLUMNS, LETTER_ROWS, OFFERED, Gathered, gather, sent_to
from auditor.outputs.corrections.spool import CorrectionsSpool
from auditor.outputs.findings import FINDINGS_SCHEMA
from auditor.outputs.languages import languages, load_wordings
from auditor.outputs.supplier_names import file_names
from auditor.rulebook.finding import GRADES

__all__ = ["COLUMNS", "LETTER_ROWS", "cautions_for", "letter_names", "write_corrections"]

ROWS_MOST = 1_000_000  # of one file: spreadsheet programs open no more than 1,048,576
GROUPS_MOST = 12  # in a letter; the file has the rows of all
_SENT = pa.schema([FINDINGS_SCHEMA.field(name) for name in COLUMNS[:-1]] + [pa.field("ask", pa.string())])


def letter_names(audit: FinishedAudit) -> dict[str, str]:
    """Supplier to the file stem of what it is sent; a supplier that is sent nothing is left out."""
    return file_names({*sent_to(audit.findings, _own_pairs(audit)), *_groups(audit)})


def write_corrections(audit: FinishedAudit, rules: Path | None = None) -> dict[str, str]:
    """Writes `corrections/<supplier>.csv` and the letters; returns `letter_names`.

    A file has all critical and major findings of a supplier, folded ones too, and what is certain beside them: worst
    grade first, within a grade in the feeds' order.  A supplier without any gets no file.
    """
    folder = audit.folder / "corrections"
    groups = _groups(audit)
    spelling = [rule.id for rule in audit.rules.values() if "spelling" in rule.counted_in]
    try:
        folder.mkdir(exist_ok=True)
        with tempfile.TemporaryFile(dir=folder) as spooled:
            spool = CorrectionsSpool(spooled)
            gathered = gather(audit.findings, spelling, groups, spool.add, _own_pairs(audit))
            names = file_names({*gathered, *groups})
            for supplier in sorted(names):
                _write_rows(folder / names[supplier], supplier, spool)
        letters = [
            _letter(supplier, names[supplier], gathered.get(supplier, Gathered()), groups.get(supplier, ()), audit)
            for supplier in sorted(names)
        ]
        wordings = [load_wordings(language, rules) for language in languages(rules)]
        for letter in letters:
            write_letters(folder, letter, wordings)
        write_index(folder, letters, wordings, audit.summary)
    except OSError as error:
        raise OutputError(f"{folder} could not be written ({error}); make room and run again.") from error
    return names


def _write_rows(stem: Path, supplier: str, spool: CorrectionsSpool, most: int = ROWS_MOST) -> None:
    """Writes a supplier's rows to `<stem>.csv`, and what a spreadsheet program cannot open to `<stem>.part2.csv` on."""
    pieces = [piece for grade in GRADES for piece in spool.pieces(supplier, grade)]
    parts: list[list[Callable[[IO[bytes]], None]]] = [[]]
    rows = 0
    for count, write in pieces:
        if rows + count > most and parts[-1]:
            parts.append([])
            rows = 0
        parts[-1].append(write)
        rows += count
    for number, part in enumerate(parts, 1):
        name = f"{stem.name}.csv" if number == 1 else f"{stem.name}.part{number}.csv"
        with stem.with_name(name).open("wb") as file:
            pcsv.write_csv(_SENT.empty_table(), file)
            for write in part:
                write(file)


def _groups(audit: FinishedAudit) -> dict[str, list[dict[str, Any]]]:
    """Supplier to its repeated mistakes that hold listings, worst first."""
    found: dict[str, list[dict[str, Any]]] = defaultdict(list)
    own = _own_pairs(audit)
    for group in audit.repeated or audit.summary["repeated"]:
        of_own = bool(own) and (group["column"], group["field"]) == (own, OFFERED)
        if group["grade"] != GRADES[-1] and not of_own:
            found[group["supplier"]].append(group)
    return dict(found)


def _own_pairs(audit: FinishedAudit) -> str:
    """The retailer's own file of pairs; "" where there is none."""
    return str(audit.summary.get("pairs_file", {}).get("file", ""))


def _letter(
    supplier: str, name: str, gathered: Gathered, groups: Sequence[dict[str, Any]], audit: FinishedAudit
) -> Letter:
    fields = gathered.fields | {group["field"] for group in groups}
    rules = gathered.rules | {group["rule"] for group in groups}
    subjects = {audit.rules[rule].subject for rule in rules if rule in audit.rules}
    return Letter(
        supplier=supplier,
        name=name,
        feeds=tuple(sorted(gathered.feeds | {of_feed(group) for group in groups})),
        counts=gathered.counts,
        alone=gathered.alone,
        listings=gathered.listings,
        rows={ask: gathered.rows(ask) for ask in ("correct", "confirm", "spelling")},
        groups=groups[:GROUPS_MOST],
        groups_in_all=len(groups),
        cautions=cautions_for(fields, subjects),
        held=bool(audit.summary["by_supplier"].get(supplier, {}).get("held")),
        night=audit.summary.get("night", ""),
        signed=audit.summary["policy"].get("signed", ""),
        asked_before=asked_before(audit.summary["by_supplier"].get(supplier, {})),
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
