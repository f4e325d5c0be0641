"""How a delimited text is written: encoding, delimiter, quote, line end, and where its header is."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from auditor.errors import FeedError
from auditor.feeds.column_evidence import holds_size, is_size
from auditor.feeds.encoding import byte_order_mark, detect_encoding, sample_bytes
from auditor.feeds.model import Limits
from auditor.feeds.two_row_headers import header_in_two_rows
from auditor.rulebook.header_rows import header_score, most_of_row
from auditor.rulebook.listing_fields import Contract

DELIMITERS = (",", ";", "\t", "|")
_HEAD_LINES = 60
_HEADER_LINES = 30  # among which a header is looked for
_QUOTE = '"'
_NAMED = 0.8  # share of the columns that a header of unknown words names
_AS_MUCH = 0.6  # of a header's known names
_NUMBERS_OF_A_LISTING = 2  # hardly a header is a number


@dataclass(frozen=True, slots=True)
class Dialect:
    """Enough to read and to write the text.  `data_start` is the byte where the first data record begins."""

    encoding: str
    delimiter: str
    quote: str  # "" when no cell is quoted
    line_end: str  # "\n", "\r\n" or "\r"
    headers: tuple[str, ...]
    header_row: int  # 1-based line of the header; 0: the text has none, and its headers are "column 1", ...
    data_start: int


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a feed map says about the dialect; None where it leaves it to be found out."""

    encoding: str | None = None
    delimiter: str | None = None
    quote: str | None = None
    header_row: int | None = None  # 0: there is no header
    headers: frozenset[str] = frozenset()  # headers of the map's columns, by which the header row is known


def find_dialect(
    path: Path,
    name: str,
    contract: Contract,
    limits: Limits,
    wanted: Wanted | None = None,
    sample: bytes | None = None,
) -> Dialect:
    """Finds the dialect of the text file at `path`, of which `sample` was read already.

    Raises FeedError for an empty file or one that is no text.
    """
    wanted = wanted or Wanted()
    sample = sample_bytes(path) if sample is None else sample
    if not sample.strip(b"\r\n\t \xef\xbb\xbf\x00"):
        raise FeedError(f"{name}: the file is empty; expected a header line and listings below it.")
    encoding = wanted.encoding or detect_encoding(sample)
    marked = byte_order_mark(sample)
    skip = marked[1] if marked else 0
    if encoding.startswith(("utf-16", "utf-32")):
        raise ValueError("wide encodings are rewritten as UTF-8 before their dialect is looked for")
    head = _head(sample[skip:])
    if head.count(b"\0") > len(head) // 10:
        raise FeedError(f"{name}: this is not a text file; expected CSV, or a suffix that names the format.")
    line_end = _line_end(head)
    lines = _lines(head.decode(encoding, "replace"), line_end)
    delimiter, rows, found = wanted.delimiter, None, None
    if not delimiter:
        delimiter, rows, found = _delimiter(lines, contract, wanted.headers)
    quote = wanted.quote if wanted.quote is not None else _QUOTE
    if rows is None or quote != _QUOTE:
        rows, found = [_cells(line, delimiter, quote) for line in lines], None
    if wanted.header_row is None:
        at = _header_row(rows, found or _best_header(rows, contract, wanted.headers))
    else:
        at = wanted.header_row - 1
    if at >= len(rows):
        raise FeedError(f"{name}: the feed map puts the header on line {at + 1}, but the file ends before it.")
    if wanted.header_row is None and _is_listing(rows[at]):
        at = _header_above(rows, _first_listing(rows, at))
    if at < 0 or (wanted.header_row is None and _is_listing(rows[at])):
        headers = tuple(f"column {position}" for position in range(1, _usual_width(rows[max(at, 0) :]) + 1))
        at, last = -1, _first_listing(rows, max(at, 0)) - 1
    else:
        last, headers = header_in_two_rows(rows, at, contract, wanted.header_row) or _header_cells(
            lines, at, delimiter, quote
        )
        if wanted.header_row is None and last == at and _names_columns_too(rows, at, contract):
            at = last = at + 1
            headers = tuple(_trimmed(cell) for cell in rows[at])
        headers = _as_wide_as_records(headers, rows[last + 1 :])
    if len(headers) > limits.columns:
        raise FeedError(f"{name}: {len(headers):,} columns are more than the limit of {limits.columns:,}.")
    data_start = skip + _bytes_of_lines(head, last + 1, line_end)
    return Dialect(encoding, delimiter, quote, line_end, headers, at + 1, data_start)


def _head(text: bytes) -> bytes:
    """The first lines, however long: a header of thousands of columns is one line."""
    end = 0
    for _ in range(_HEAD_LINES):
        found = min((position for mark in (b"\n", b"\r") if (position := text.find(mark, end)) >= 0), default=-1)
        if found < 0:
            return text
        end = found + 2 if text[found : found + 2] == b"\r\n" else found + 1
    return text[:end]


def _line_end(head: bytes) -> str:
    if b"\r\n" in head:
        return "\r\n"
    if b"\n" not in head and b"\r" in head:
        return "\r"
    return "\n"


def _lines(text: str, line_end: str) -> list[str]:
    lines = text.split("\r" if line_end == "\r" else "\n")
    if lines and lines[-1] == "":
        lines.pop()
    return [line.removesuffix("\r") for line in lines]


def _bytes_of_lines(head: bytes, count: int, line_end: str) -> int:
    mark, end = (b"\r" if line_end == "\r" else b"\n"), 0
    for _ in range(count):
        found = head.find(mark, end)
        if found < 0:
            return len(head)
        end = found + 1
    return end


def _cells(line: str, delimiter: str, quote: str) -> list[str]:
    if not (quote and quote in line) and "\r" not in line and "\n" not in line:
        return line.split(delimiter) if line else []  # what the reader below would say, in a tenth of the time
    try:
        return next(_reader(line, delimiter, quote), [])
    except csv.Error:  # a stray carriage return; the record will be rejected
        return line.split(delimiter)


def _reader(text: str, delimiter: str, quote: str) -> csv.reader:  # type: ignore[valid-type]
    csv.field_size_limit(1 << 30)
    lines = io.StringIO(text) if "\n" in text or "\r" in text else (text,)
    if quote:
        return csv.reader(lines, delimiter=delimiter, quotechar=quote)
    return csv.reader(lines, delimiter=delimiter, quoting=csv.QUOTE_NONE)


def _delimiter(
    lines: Sequence[str], contract: Contract, mapped: frozenset[str]
) -> tuple[str, list[list[str]], tuple[int, float]]:
    """The delimiter that makes the best header, and splits most lines into as many cells.

    Beside it the cells that it makes, and which row of them is most like a header, with how much it is.
    """
    best: tuple[float, float, int] | None = None
    chosen = DELIMITERS[0], list[list[str]](), (0, 0.0)
    for delimiter in DELIMITERS:
        if best is not None and best[0] > most_of_row("x", mapped) and not any(delimiter in line for line in lines):
            continue  # it would leave every line one cell
        rows = [_cells(line, delimiter, _QUOTE) for line in lines]
        counts = [len(row) for row, line in zip(rows, lines, strict=True) if line.strip()]
        usual, times = Counter(counts).most_common(1)[0] if counts else (1, 0)
        header = _best_header(rows, contract, mapped)
        steady = times / len(counts) if counts else 0.0
        score = header[1] + (steady if usual > 1 else 0.0), steady, usual
        if best is None or score > best:
            best, chosen = score, (delimiter, rows, header)
    return chosen


def _best_header(rows: Sequence[Sequence[str]], contract: Contract, mapped: frozenset[str]) -> tuple[int, float]:
    """The first of the rows that read most like a header, and how much it does."""
    at, best = 0, -1.0
    for place, row in enumerate(rows[:_HEADER_LINES]):
        if (mapped or len(row) - row.count("") > best) and most_of_row(row, mapped) > best:
            score = header_score(row, contract, mapped)
            if score > best:
                at, best = place, score
    return at, max(best, 0.0)


def _header_row(rows: Sequence[Sequence[str]], found: tuple[int, float]) -> int:
    """The row that was `found` to read most like a header, the first on a tie; title rows above it are set aside."""
    at, best = found
    if best <= 0:
        wide = [len([cell for cell in row if cell.strip()]) for row in rows[:_HEADER_LINES]]
        return wide.index(max(wide)) if wide else 0
    return at


def _is_listing(row: Sequence[str]) -> bool:
    """Whether a row that should be the header is a size, or holds one beside numbers: then the file has no header."""
    cells = [cell.strip() for cell in row]
    if any(map(is_size, cells)):
        return True
    return any(map(holds_size, cells)) and sum(map(str.isdecimal, cells)) >= _NUMBERS_OF_A_LISTING


def _names_columns_too(rows: Sequence[Sequence[str]], at: int, contract: Contract) -> bool:
    """Whether the row below the header names the columns as well, as templates of markets do for programs.

    It names as many, each otherwise than any other, and reads as much like a header.
    """
    if at + 1 >= len(rows) or _is_listing(rows[at + 1]):
        return False
    names = [cell.strip() for cell in rows[at + 1]]
    filled = [name for name in names if name]
    worded = all(any(map(str.isalpha, name)) and " " not in name for name in filled)
    alike = len(filled) > 1 and len(filled) >= _NAMED * len(rows[at]) and len(set(filled)) == len(filled)
    least = _AS_MUCH * header_score(rows[at], contract)
    return alike and worded and header_score(names, contract) >= least


def _first_listing(rows: Sequence[Sequence[str]], at: int) -> int:
    """The first row up to `at` that is a listing: a word such as "XL" makes any one of them most like a header."""
    return next((place for place, row in enumerate(rows[:at]) if _is_listing(row)), at)


def _header_above(rows: Sequence[Sequence[str]], first: int) -> int:
    """The row of words above the first listing, where it is as wide as the listings; else the first listing itself.

    A listing may read more like a header than a header of short names does: it says "XL", or names its attributes.
    """
    at = next((place for place in reversed(range(first)) if any(map(str.strip, rows[place]))), -1)
    if at < 0:
        return first
    cells, usual = [cell.strip() for cell in rows[at]], _usual_width(rows[first:])
    named = [cell for cell in cells if cell]
    worded = all(any(map(str.isalpha, cell)) or not any(map(str.isdecimal, cell)) for cell in named)  # "№", "%"
    below = [{row[place].strip() for row in rows[first:] if place < len(row)} for place in range(len(cells))]
    repeated = any(cell in values for cell, values in zip(cells, below, strict=True) if cell)
    alike = abs(len(cells) - usual) <= 1 and len(named) >= _NAMED * usual and len(set(named)) == len(named)
    return at if usual > 1 and alike and worded and not repeated else first


def _usual_width(rows: Sequence[Sequence[str]]) -> int:
    return Counter(len(row) for row in rows if row).most_common(1)[0][0]


def _as_wide_as_records(headers: tuple[str, ...], rows: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """The header with a last blank cell more or less, where all sampled records end in a delimiter and it does not,
    or the other way round.
    """
    widths = {len(row) for row in rows if row}
    if widths == {len(headers) + 1} and not any(row[-1].strip() for row in rows if row):
        return (*headers, "")
    if len(headers) > 1 and not headers[-1] and widths == {len(headers) - 1}:
        return headers[:-1]
    return headers


def _trimmed(cell: str) -> str:
    """A header without blanks around it, and without a second byte order mark, which joined texts have."""
    return cell.strip().removeprefix("\ufeff").strip()


def _header_cells(lines: Sequence[str], at: int, delimiter: str, quote: str) -> tuple[int, tuple[str, ...]]:
    """The header's cells and its last line: a quoted header cell may hold a line break."""
    for last in range(at, min(at + 10, len(lines))):
        text = "\n".join(lines[at : last + 1])
        if not quote or text.count(quote) % 2 == 0:
            row = _cells(text, delimiter, quote)
            return last, tuple(_trimmed(cell) for cell in row)
    return at, tuple(_trimmed(cell) for cell in _cells(lines[at], delimiter, quote))
