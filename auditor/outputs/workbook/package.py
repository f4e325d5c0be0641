"""Puts rows into the sheets of a workbook that a library has made without them: the file is a ZIP of XML parts."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

_END = b"</sheetData>"
_EXTENT = re.compile(rb'<dimension ref="[^"]*"/>')
_SAMPLE_ROW = re.compile(rb'<row r="2"[^>]*>.*?</row>(?=</sheetData>)', re.DOTALL)
_STYLE = re.compile(rb'<c r="[A-Z]+2" s="([0-9]+)"')
# Level 6 would take half as long again as the whole workbook does, for a file smaller by a seventh.
_ZIP_LEVEL = 3


def part_of(number: int) -> str:
    """The part of the file that holds a sheet, the first of which is 1."""
    return f"xl/worksheets/sheet{number}.xml"


def sample_styles(workbook: bytes, part: str) -> list[str]:
    """The numbers of the styles in row 2 of a sheet, from left to right."""
    with zipfile.ZipFile(io.BytesIO(workbook)) as file:
        row = _SAMPLE_ROW.search(file.read(part))
    return [number.decode() for number in _STYLE.findall(row[0])] if row else []


def write_filled(workbook: bytes, path: Path, rows: Mapping[str, tuple[str, Iterable[Any]]]) -> None:
    """Writes a workbook to `path` with rows from row 2 on in some sheets, in place of the row of samples there.

    `workbook` is the whole file without them.  `rows` maps a sheet's part to the cells it covers, such as `A1:V9`, and
    the rows' XML in pieces, which are asked for one after the other.  The parts bear no clock.
    """
    with (
        zipfile.ZipFile(io.BytesIO(workbook)) as empty,
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=_ZIP_LEVEL) as filled,
    ):
        for part in empty.namelist():
            xml = empty.read(part)
            with filled.open(part, "w") as file:
                if part not in rows:
                    file.write(xml)
                    continue
                extent, pieces = rows[part]
                head, end, tail = _SAMPLE_ROW.sub(b"", xml, count=1).partition(_END)
                file.write(_EXTENT.sub(f'<dimension ref="{extent}"/>'.encode(), head, count=1))
                for piece in pieces:
                    file.write(piece)
                file.write(end + tail)
