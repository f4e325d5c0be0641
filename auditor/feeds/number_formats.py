"""What the number formats of a workbook's columns add to the numbers: a unit, or leading zeros.

A cell that shows "850 kg" may hold 850 and a format, and one that shows "00123" may hold 123.  Only .xlsx is looked at:
other kinds keep their formats elsewhere.  ECMA-376, part 1, 18.8.30 (number formats) and 18.3.1.4 (cells).
"""

from __future__ import annotations

import re
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO, NamedTuple
from xml.etree import ElementTree

_ROWS = 400  # below the header that are looked at
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_LITERAL = re.compile(r'"([^"]*)"|\\(.)|\[\$([^\]-]*)[^\]]*\]')
_ZEROS = re.compile(r"0{2,20}")
_COLUMN = re.compile(r"[A-Z]+")


class NumberFormat(NamedTuple):
    """What a column's format adds to its numbers."""

    unit: str = ""
    zeros: int = 0  # digits that a whole number is filled up to

    def shown(self, text: str) -> str:
        """A number's text as the workbook shows it."""
        if self.zeros and text.isdecimal():
            text = text.zfill(self.zeros)
        return f"{text} {self.unit}" if self.unit else text


def column_formats(path: Path, sheet: int, header_row: int, is_unit: Callable[[str], bool]) -> dict[int, NumberFormat]:
    """By column the format that all its numbers near the top have; empty where nothing is added, or not to be told.

    `sheet` counts from 0, as `header_row` does.
    """
    try:
        with zipfile.ZipFile(path) as book:
            formats = _formats(book, is_unit)
            if not any(formats):
                return {}
            with book.open(_part(book, sheet)) as part:
                return _of_columns(part, header_row, formats)
    except (KeyError, IndexError, ValueError, OSError, zipfile.BadZipFile, ElementTree.ParseError):
        return {}  # whatever is wrong with the file, the reader of its cells says so


def _formats(book: zipfile.ZipFile, is_unit: Callable[[str], bool]) -> list[NumberFormat]:
    """The formats that cells refer to by number."""
    styles = ElementTree.fromstring(book.read("xl/styles.xml"))
    codes = {
        one.get("numFmtId", ""): one.get("formatCode", "") for one in styles.iterfind(f"{_MAIN}numFmts/{_MAIN}numFmt")
    }
    return [
        _format(codes.get(one.get("numFmtId", ""), ""), is_unit) for one in styles.iterfind(f"{_MAIN}cellXfs/{_MAIN}xf")
    ]


def _format(code: str, is_unit: Callable[[str], bool]) -> NumberFormat:
    positive = code.split(";")[0]
    literal = "".join("".join(found) for found in _LITERAL.findall(positive)).strip()
    digits = _LITERAL.sub("", positive).strip()
    return NumberFormat(literal if literal and is_unit(literal) else "", len(digits) if _ZEROS.fullmatch(digits) else 0)


def _part(book: zipfile.ZipFile, sheet: int) -> str:
    """The part of a package that holds a sheet."""
    workbook = ElementTree.fromstring(book.read("xl/workbook.xml"))
    wanted = list(workbook.iterfind(f"{_MAIN}sheets/{_MAIN}sheet"))[sheet].get(_RELATION)
    relations = ElementTree.fromstring(book.read("xl/_rels/workbook.xml.rels"))
    target = next(one.get("Target", "") for one in relations if one.get("Id") == wanted)
    return target.lstrip("/") if target.startswith("/") else f"xl/{target}"


def _of_columns(part: IO[bytes], header_row: int, formats: list[NumberFormat]) -> dict[int, NumberFormat]:
    seen: dict[int, Counter[NumberFormat]] = {}
    for reference, style in _numbers(part, header_row):
        found = formats[style] if style < len(formats) else NumberFormat()
        seen.setdefault(_position(reference), Counter())[found] += 1
    return {
        position: next(iter(found)) for position, found in seen.items() if len(found) == 1 and any(next(iter(found)))
    }


def _numbers(part: IO[bytes], header_row: int) -> Iterator[tuple[str, int]]:
    """(Reference, number of its format) of cells that hold numbers, in the first rows below the header."""
    for _, row in ElementTree.iterparse(part, ("end",)):
        if row.tag != f"{_MAIN}row":
            continue
        number = int(row.get("r", "0"))
        if number > header_row + 1 + _ROWS:
            return
        for cell in row.iterfind(f"{_MAIN}c") if number > header_row + 1 else ():
            if cell.get("t", "n") == "n" and cell.find(f"{_MAIN}v") is not None and cell.get("r"):
                yield cell.get("r", ""), int(cell.get("s", "0"))
        row.clear()


def _position(reference: str) -> int:
    """The column of a reference such as "AB12", from 0."""
    found = _COLUMN.match(reference)
    number = 0
    for letter in found[0] if found else "A":
        number = number * 26 + ord(letter) - 64
    return number - 1
