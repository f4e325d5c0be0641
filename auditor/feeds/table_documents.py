"""Tables that programs save under the name of a workbook: pages of HTML, and the XML of spreadsheets of 2003.

They are written out as delimited text, one line for each row, and read as such.
"""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from xml.parsers import expat

from auditor.errors import FeedError
from auditor.feeds.encoding import detect_encoding, sample_bytes
from auditor.feeds.spool import spool_path
from auditor.rulebook.header_rows import header_score
from auditor.rulebook.listing_fields import Contract

_CHUNK = 1 << 20
_HEAD_ROWS = 30  # among which a header stands
_LEAST_HEADERS = 2.0  # known ones, of a table of listings
_MOST_SPANNED = 1_000  # rows or columns of one cell, and blank rows in one gap; more is a slip
_LEAST_BYTES, _SPARE = 4, 1 << 20  # of the document for each cell, and cells beyond: merged ones may make no more
_CALLED = {"html": "page with a table", "spreadsheet": "spreadsheet in XML"}
_CHARSET = re.compile(rb"charset\s*=\s*[\"']?([\w-]+)", re.IGNORECASE)


def spool_table(path: Path, name: str, kind: str, contract: Contract) -> Path:
    """Writes the one table of listings as comma-separated UTF-8.

    Raises FeedError where the document holds none, or more than one, of which all but one would be lost.
    """
    try:
        tables = _of_html(path) if kind == "html" else _of_spreadsheet(path, name)
    except (expat.ExpatError, ValueError) as error:
        raise FeedError(f"{name}: the {_CALLED[kind]} is damaged ({error}); save it again or send CSV.") from error
    scored = [(_score(table.rows, contract), table) for table in tables]
    found = [(score, table) for score, table in scored if score >= _LEAST_HEADERS]
    if not found:
        raise FeedError(f"{name}: the document holds no table with a recognized header; send CSV or a workbook.")
    if len(found) > 1:
        raise FeedError(f"{name}: the document holds {len(found)} tables of listings; send each as a file of its own.")
    rows = found[0][1].rows
    width = max(map(len, rows))
    target = spool_path(".csv")
    with target.open("w", encoding="utf-8", newline="", errors="replace") as out:
        csv.writer(out, lineterminator="\n").writerows([*row, *[""] * (width - len(row))] for row in rows)
    return target


def _score(rows: Sequence[Sequence[str]], contract: Contract) -> float:
    return max((header_score(row, contract) for row in rows[:_HEAD_ROWS]), default=0.0)


@dataclass(slots=True)
class _Table:
    """Rows while they are being read; cells that reach over several rows stand in each.

    More than `most` rows and cells raise ValueError: a few bytes may ask for millions.
    """

    most: int
    rows: list[list[str]] = field(default_factory=list)
    _below: dict[int, tuple[int, str]] = field(default_factory=dict)  # by column: how many more rows, and the text
    _cell: list[str] | None = None
    _spans: tuple[int, int] = (1, 1)

    def begin_row(self) -> None:
        """Begins a row."""
        self.end_cell()
        self.rows.append([])
        self._count(1)

    def _count(self, more: int) -> None:
        self.most -= more
        if self.most < 0:
            raise ValueError("it asks for more cells than it has room for")

    def skip_to_row(self, number: int) -> None:
        """Puts blank rows before the row of that number, from 1, that is about to begin."""
        gap = max(min(number - 1 - len(self.rows), _MOST_SPANNED), 0)
        self._count(gap)
        self.rows += [[] for _ in range(gap)]

    def begin_cell(self, columns: int = 1, rows: int = 1) -> None:
        """Begins a cell."""
        if not self.rows:
            self.begin_row()
        self.end_cell()
        self._fill()
        self._cell, self._spans = [], (min(max(columns, 1), _MOST_SPANNED), min(max(rows, 1), _MOST_SPANNED))

    def skip_to_column(self, number: int) -> None:
        """Leaves the cells before the column of that number, from 1, blank."""
        gap = max(min(number - 1 - len(self.rows[-1]), _MOST_SPANNED), 0)
        self._count(gap)
        self.rows[-1] += [""] * gap

    def text(self, text: str) -> None:
        """Takes text into the open cell."""
        if self._cell is not None:
            self._cell.append(text)

    def end_cell(self) -> None:
        """Ends the open cell, if there is one."""
        if self._cell is None:
            return
        row, text, (columns, rows) = self.rows[-1], " ".join("".join(self._cell).split()), self._spans
        self._count(columns)
        for place in range(len(row), len(row) + columns):
            if rows > 1:
                self._below[place] = rows - 1, text
        row += [text, *[""] * (columns - 1)]
        self._cell = None
        self._fill()

    def _fill(self) -> None:
        """Puts the texts of cells above into the row, as far as they stand next."""
        row = self.rows[-1]
        while (held := self._below.pop(len(row), None)) is not None and len(self.rows) > 1:
            left, text = held
            if left > 1:
                self._below[len(row)] = left - 1, text
            row.append(text)
            self._count(1)


class _Page(HTMLParser):
    """The tables of a page, also those that stand in a cell of another one."""

    def __init__(self, most: int) -> None:
        super().__init__(convert_charrefs=True)
        self._most = most
        self.tables: list[_Table] = []
        self._open: list[_Table] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "table":
            self.tables.append(_Table(self._most))
            self._open.append(self.tables[-1])
        elif self._open and tag == "tr":
            self._open[-1].begin_row()
        elif self._open and tag in ("td", "th"):
            said = dict(attrs)
            self._open[-1].begin_cell(_number(said.get("colspan")), _number(said.get("rowspan")))
        elif self._open and tag in ("br", "p", "div", "li"):
            self._open[-1].text(" ")

    def handle_endtag(self, tag: str) -> None:
        if self._open and tag in ("td", "th", "tr", "table"):
            self._open[-1].end_cell()
        if self._open and tag == "table":
            self._open.pop()

    def handle_data(self, data: str) -> None:
        if self._open:
            self._open[-1].text(data)


def _number(text: str | None) -> int:
    return int(text) if text and text.isdecimal() and len(text) < 6 else 1


def _most_cells(path: Path) -> int:
    return path.stat().st_size // _LEAST_BYTES + _SPARE


def _of_html(path: Path) -> list[_Table]:
    page = _Page(_most_cells(path))
    decode = codecs.getincrementaldecoder(_encoding(sample_bytes(path)))("replace").decode
    with path.open("rb") as file:
        while chunk := file.read(_CHUNK):
            page.feed(decode(chunk))
    page.feed(decode(b"", final=True))
    page.close()
    return page.tables


def _encoding(sample: bytes) -> str:
    """The encoding that the page says, else the one that its bytes look like."""
    if sample.startswith(codecs.BOM_UTF8):
        return "utf-8-sig"
    said = _CHARSET.search(sample[:4096])
    try:
        return codecs.lookup(said[1].decode("ascii")).name if said else detect_encoding(sample)
    except LookupError:
        return detect_encoding(sample)


def _of_spreadsheet(path: Path, name: str) -> list[_Table]:
    """The sheets of a spreadsheet in XML.  An entity of its own, which may stand for gigabytes, is refused."""
    parser, sheets, comments = expat.ParserCreate(), list[_Table](), list[str]()
    most = _most_cells(path)

    def start(tag: str, attributes: dict[str, str]) -> None:
        kind = tag.rpartition(":")[2]
        said = {key.rpartition(":")[2]: text for key, text in attributes.items()}
        if kind == "Comment" or comments:
            comments.append(kind)
        elif kind == "Worksheet":
            sheets.append(_Table(most))
        elif sheets and kind == "Row":
            sheets[-1].end_cell()
            sheets[-1].skip_to_row(_number(said.get("Index")))
            sheets[-1].begin_row()
        elif sheets and kind == "Cell":
            sheets[-1].end_cell()
            sheets[-1].skip_to_column(_number(said.get("Index")))
            sheets[-1].begin_cell(*(1 + int(said.get(key) or 0) for key in ("MergeAcross", "MergeDown")))

    def end(tag: str) -> None:
        if comments:
            comments.pop()
        elif sheets and tag.rpartition(":")[2] in ("Cell", "Row", "Worksheet"):
            sheets[-1].end_cell()

    def text(words: str) -> None:
        if sheets and not comments:
            sheets[-1].text(words)

    def entity(*_: object) -> None:
        raise FeedError(f"{name}: the document declares entities of its own; send CSV or a workbook.")

    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = start, end, text
    parser.EntityDeclHandler = entity
    with path.open("rb") as file:
        parser.ParseFile(file)
    return sheets
