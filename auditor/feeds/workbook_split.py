"""Writes the released and the held part of a workbook, as .xlsx, row by row in constant memory."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import xlsxwriter
from python_calamine import CalamineError

from auditor.feeds.model import HELD, RELEASED
from auditor.feeds.sheet_tables import SheetShape, open_workbook, sheet_by_name, sheet_rows

_CREATED = datetime(2000, 1, 1)  # a fixed date, so that equal input gives equal bytes
_SHEET_NAME_LENGTH = 31


@dataclass(frozen=True, slots=True)
class SheetDisposition:
    """One listing sheet and what becomes of its records."""

    shape: SheetShape
    disposition: npt.NDArray[np.uint8]


def write_parts(path: Path, released: Path, held: Path, dispositions: Sequence[SheetDisposition]) -> None:
    """Writes both workbooks: listing sheets parted, titles and headers in both, other sheets copied whole."""
    for target, wanted in ((released, RELEASED), (held, HELD)):
        with new_workbook(target) as (book, formats):
            _write_sheets(book, formats, path, wanted, {item.shape.sheet: item for item in dispositions})


@contextmanager
def new_workbook(target: Path) -> Iterator[tuple[Any, dict[str, Any]]]:
    """A workbook to be written row by row, and the formats that `write_row` needs."""
    target.parent.mkdir(parents=True, exist_ok=True)
    options = {
        "constant_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
        "nan_inf_to_errors": True,
    }
    with xlsxwriter.Workbook(str(target), options) as book:
        book.set_properties({"created": _CREATED})
        patterns = (("date", "yyyy-mm-dd"), ("moment", "yyyy-mm-dd hh:mm:ss"), ("time", "hh:mm:ss"))
        yield book, {kind: book.add_format({"num_format": pattern}) for kind, pattern in patterns}


def _write_sheets(
    book: Any, formats: dict[str, Any], path: Path, wanted: int, dispositions: dict[str, SheetDisposition]
) -> None:
    for name in open_workbook(path, path.name).sheet_names:
        sheet = book.add_worksheet(name[:_SHEET_NAME_LENGTH])
        item = dispositions.get(name)
        if item is None or item.shape.broken:
            copy_sheet(sheet, path, name, formats)
            continue
        number, above = 0, item.shape.header_row + 1
        for position, row in enumerate(sheet_rows(path, item.shape, data_only=False)):
            if position < above or item.disposition[position - above] == wanted:
                write_row(sheet, number, row, formats)
                number += 1


def copy_sheet(sheet: Any, path: Path, name: str, formats: dict[str, Any]) -> None:
    """Copies a sheet's values whole; of a damaged sheet nothing."""
    try:
        rows = sheet_by_name(open_workbook(path, path.name), name).to_python(skip_empty_area=False)
    except (CalamineError, ValueError):
        return  # damaged: nothing of it can be read
    for number, row in enumerate(rows):
        write_row(sheet, number, row, formats)


def write_row(sheet: Any, number: int, row: Sequence[Any], formats: dict[str, Any]) -> None:
    """Writes the cells of a row with the types they were read with."""
    for position, cell in enumerate(row):
        if cell is None or cell == "":
            continue
        if isinstance(cell, bool):
            sheet.write_boolean(number, position, cell)
        elif isinstance(cell, int | float):
            sheet.write_number(number, position, cell)
        elif isinstance(cell, datetime):
            sheet.write_datetime(number, position, cell, formats["date" if cell.time() == time() else "moment"])
        elif isinstance(cell, date):
            sheet.write_datetime(number, position, datetime.combine(cell, time()), formats["date"])
        elif isinstance(cell, time):
            sheet.write_datetime(number, position, cell, formats["time"])
        elif isinstance(cell, timedelta):
            sheet.write_number(number, position, cell.total_seconds() / 86400.0, formats["time"])
        else:
            sheet.write_string(number, position, str(cell))
