"""Finds the tables of listings in a workbook: header row, merged cells, used width."""

from __future__ import annotations

import itertools
import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from python_calamine import CalamineError, CalamineWorkbook, SheetVisibleEnum

from auditor.errors import FeedError
from auditor.feeds.dialect import Wanted
from auditor.feeds.number_formats import NumberFormat, column_formats
from auditor.feeds.two_row_headers import header_in_two_rows, with_units_below
from auditor.feeds.typed_cells import cell_text
from auditor.rulebook.header_rows import header_score
from auditor.rulebook.header_words import fold
from auditor.rulebook.listing_fields import Contract

Row = list[Any]
_LEAST_HEADING = 4  # cells
HEAD_ROWS = 40


@dataclass(frozen=True, slots=True)
class SheetShape:
    """Where a sheet's table is.  Rows count from 0; `merged` are the ranges below the header, top-left first."""

    sheet: str
    headers: tuple[str, ...]
    position: int  # in the workbook, from 0
    header_row: int  # the last row of the header
    data_rows: int  # rows below the header, blank ones at the end set aside
    merged: tuple[tuple[int, int, int, int], ...]  # first row, first column, last row, last column
    broken: str | None = None  # why the sheet cannot be read
    hidden: bool = False  # in its workbook
    formats: Mapping[int, NumberFormat] = field(default_factory=dict)  # by column, what they add to its numbers


@contextmanager
def _panics_as_errors() -> Iterator[None]:
    """Damaged old workbooks make the reader panic: that becomes a ValueError, and its report goes nowhere."""
    kept, nowhere = os.dup(2), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 2)
    try:
        yield
    except BaseException as error:
        if type(error).__name__ == "PanicException":
            raise ValueError("the file is damaged") from None
        raise
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)


def sheet_by_name(workbook: CalamineWorkbook, sheet: str) -> Any:
    """One sheet, loaded.  Raises CalamineError or ValueError where it is damaged."""
    with _panics_as_errors():
        return workbook.get_sheet_by_name(sheet)


def open_workbook(path: Path, name: str) -> CalamineWorkbook:
    """Opens a workbook.  Raises FeedError where it is damaged, encrypted or no workbook."""
    try:
        with _panics_as_errors():
            return CalamineWorkbook.from_path(str(path))
    except (CalamineError, OSError, ValueError) as error:
        reason = (str(error).strip().splitlines() or ["unreadable"])[0].rstrip(".")
        raise FeedError(f"{name}: cannot be opened as a workbook ({reason}); save it again or send CSV.") from error


def find_tables(
    path: Path, name: str, contract: Contract, wanted: Wanted | None = None, only: str | None = None
) -> list[SheetShape]:
    """The sheets that hold a table of listings, in workbook order, and those that are too damaged to tell.

    `wanted` and the sheet's name `only` come from a feed map.  Raises FeedError where no sheet holds a table.
    """
    workbook = open_workbook(path, name)
    shapes: list[SheetShape] = []
    for position, sheet in enumerate(workbook.sheet_names):
        if only is not None and sheet != only:
            continue
        try:
            shape = _shape(workbook, sheet, position, contract, wanted or Wanted())
        except (CalamineError, ValueError) as error:
            broken = f"The sheet is damaged and cannot be read ({str(error).strip().rstrip('.')})."
            shape = SheetShape(sheet, (), position, -1, 0, (), broken)
        if shape is not None:
            hidden = workbook.sheets_metadata[position].visible != SheetVisibleEnum.Visible
            formats = column_formats(path, position, shape.header_row, lambda text: fold(text) in contract.units)
            shapes.append(replace(shape, hidden=hidden, formats=formats))
    if all(shape.broken for shape in shapes):
        why = f": {shapes[0].broken}" if shapes else "."
        raise FeedError(f"{name}: no sheet holds a table with a recognized header{why}")
    return shapes


def _shape(
    workbook: CalamineWorkbook, sheet: str, position: int, contract: Contract, wanted: Wanted
) -> SheetShape | None:
    opened = sheet_by_name(workbook, sheet)
    rows = opened.to_python(skip_empty_area=False, nrows=HEAD_ROWS)
    if not rows:
        return None
    merged = tuple((top, left, bottom, right) for (top, left), (bottom, right) in opened.merged_cell_ranges or ())
    texts = [[cell_text(cell).strip() for cell in row] for row in rows]
    scores = [header_score(row, contract, wanted.headers) for row in texts[:30]]
    at = wanted.header_row - 1 if wanted.header_row else scores.index(max(scores))
    if at >= len(texts) or (not wanted.header_row and max(scores) <= 0):
        return None
    found = header_in_two_rows(texts, at, contract, wanted.header_row)
    headers, last = ([*found[1]], found[0]) if found else _headers(texts, at, merged, contract)
    if found and last + 1 < len(texts) and (named := with_units_below(headers, texts[last + 1], contract)) is not None:
        headers, last = [*named], last + 1
    width = max((position + 1 for position, text in enumerate(headers) if text), default=0)
    data_rows, used = 0, width
    for number, row in enumerate(itertools.islice(_all_rows(opened), last + 1, None), 1):
        filled = [position for position, cell in enumerate(row) if cell not in ("", None)]
        if filled:
            data_rows, used = number, max(used, filled[-1] + 1)
    headers = [*headers[:used], *[""] * (used - len(headers))]
    below = tuple(block for block in merged if block[2] > last)
    return SheetShape(sheet, tuple(headers), position, last, data_rows, below)


def _headers(
    texts: Sequence[Sequence[str]], at: int, merged: Sequence[tuple[int, int, int, int]], contract: Contract
) -> tuple[list[str], int]:
    """Header texts and the header's last row: a row of units, or of parts under merged headings, belongs to it."""
    headers = list(texts[at])
    for top, left, bottom, right in merged:
        if top <= at <= bottom and top < len(texts) and left < len(headers):
            for position in range(left, min(right + 1, len(headers))):
                headers[position] = texts[top][left]
    if at + 1 >= len(texts):
        return headers, at
    below = texts[at + 1]
    filled = [text for text in below if text]
    parts = any(top == at and bottom == at and right > left for top, left, bottom, right in merged)
    if (named := with_units_below(headers, below, contract)) is not None:
        return [*named], at + 1
    if parts and filled and not any(text[:1].isdigit() for text in filled):
        joined = [f"{head} {part}".strip() for head, part in itertools.zip_longest(headers, below, fillvalue="")]
        if header_score(joined, contract) > header_score(headers, contract):
            return joined, at + 1
    return headers, at


def _all_rows(opened: Any) -> Iterator[Row]:
    """Every row from the sheet's first one; Calamine leaves out blank rows above and columns left of the data."""
    start = opened.start or (0, 0)
    for _ in range(start[0]):
        yield []
    for row in opened.iter_rows():
        yield [""] * start[1] + row


def sheet_rows(path: Path, shape: SheetShape, *, data_only: bool) -> Iterator[Row]:
    """The sheet's rows as typed values, as wide as the header; merged cells below the header are filled.

    Without `data_only` the rows above the data come first, as wide as they are.
    """
    try:
        opened = sheet_by_name(open_workbook(path, path.name), shape.sheet)
        yield from _filled_rows(opened, shape, data_only)
    except (CalamineError, ValueError) as error:
        reason = str(error).strip().rstrip(".")
        raise FeedError(f"Sheet {shape.sheet!r} cannot be read ({reason}).") from error


def _is_heading(block: tuple[int, int, int, int]) -> bool:
    """Whether merged cells of one row are a heading over the rows below, for no listing says one thing so often."""
    top, left, bottom, right = block
    return top == bottom and right - left + 1 >= _LEAST_HEADING


def _filled_rows(opened: Any, shape: SheetShape, data_only: bool) -> Iterator[Row]:
    width, first = len(shape.headers), shape.header_row + 1
    starting: dict[int, list[tuple[int, int, int, int]]] = {}
    for block in shape.merged:
        starting.setdefault(max(block[0], first), []).append(block)
    live: list[tuple[tuple[int, int, int, int], Any]] = []
    for number, row in enumerate(_all_rows(opened)):
        if number < first:
            if not data_only:
                yield row
            continue
        if number >= first + shape.data_rows:
            return
        cells = [*row[:width], *[""] * (width - len(row))]
        live = [(block, value) for block, value in live if block[2] >= number]
        for block in starting.get(number, ()):
            if block[1] < width and not _is_heading(block):
                live.append((block, cells[block[1]]))
        for (_, left, _, right), value in live:
            for position in range(left, min(right + 1, width)):
                cells[position] = value
        yield cells
