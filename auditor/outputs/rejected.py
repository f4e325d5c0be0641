"""`rejected.csv`: records that could not be read as a listing, each with the reason."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from auditor.errors import OutputError
from auditor.feeds.model import Rejected
from auditor.outputs.csv_lines import csv_line
from auditor.outputs.findings import neutralize_text

COLUMNS = ("feed", "sheet", "record", "byte_offset", "reason", "text")


def write_rejected(folder: Path, rejected: Iterable[Rejected]) -> int:
    """Writes `rejected.csv` (UTF-8, header always, in the order given) and returns the number of records."""
    path = folder / "rejected.csv"
    rows = 0
    try:
        with path.open("w", encoding="utf-8", errors="backslashreplace", newline="") as file:
            file.write(csv_line(COLUMNS))
            for record in rejected:
                rows += 1
                about = (_text(record.feed), _text(record.sheet), record.record, record.byte_offset)
                file.write(csv_line((*about, record.reason, _text(record.text))))
    except OSError as error:
        raise OutputError(f"{path} could not be written ({error}); make room and run again.") from error
    return rows


def _text(text: str | None) -> str:
    # A NUL would make the file unreadable for csv readers; what it was is clear from the escape.
    return neutralize_text(text.replace("\0", "\\0")) if text else ""
