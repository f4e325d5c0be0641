"""Puts changes into workbooks, sheet by sheet, row by row in constant memory."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from auditor.feeds.sheet_tables import open_workbook, sheet_rows
from auditor.feeds.typed_cells import cell_text
from auditor.feeds.workbook_feed import WorkbookFeed
from auditor.feeds.workbook_split import copy_sheet, new_workbook, write_row
from auditor.outputs.corrected.model import Change, Changes, fits, number_or_none

_SHEET_NAME_LONGEST = 31


def apply_to_workbook(parts: Sequence[tuple[WorkbookFeed, Changes]], target: Path) -> list[list[Change]]:
    """Writes the workbook that the sheets share with the changes to `target`; returns those made, per sheet."""
    made: list[list[Change]] = [[] for _ in parts]
    path = parts[0][0].path
    by_sheet = {feed.shape.sheet: number for number, (feed, _) in enumerate(parts)}
    with new_workbook(target) as (book, formats):
        for name in open_workbook(path, path.name).sheet_names:
            sheet = book.add_worksheet(name[:_SHEET_NAME_LONGEST])
            number = by_sheet.get(name)
            if number is None:
                copy_sheet(sheet, path, name, formats)
                continue
            feed, changes = parts[number]
            above = feed.shape.header_row + 1
            for position, row in enumerate(sheet_rows(path, feed.shape, data_only=False)):
                wanted = changes.get(position - above + 1) if position >= above else None
                if wanted:
                    row, here = edit_row(row, wanted)
                    made[number] += here
                write_row(sheet, position, row, formats)
    return made


def edit_row(row: Sequence[Any], changes: dict[int, Change]) -> tuple[list[Any], list[Change]]:
    """The row's typed cells with the changes that fit put in; a number stays one where the suggestion is one."""
    cells = list(row)
    made: list[Change] = []
    for position, change in sorted(changes.items()):
        if position >= len(cells) or not fits(cell_text(cells[position]), change):
            continue
        old = cells[position]
        number = None
        if isinstance(old, int | float) and not isinstance(old, bool):
            number = number_or_none(change.after.strip())
        cells[position] = change.after if number is None else number
        made.append(change)
    return cells, made
