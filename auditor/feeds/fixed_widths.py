"""Texts whose columns are told by their place in the line, as printers and older programs write lists.

They are written out as delimited text, one line for each line below the header, and read as such.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from itertools import islice, pairwise
from pathlib import Path

from auditor.feeds.dialect import DELIMITERS, Wanted
from auditor.feeds.encoding import detect_encoding, is_wide, sample_bytes
from auditor.feeds.spool import spool_path
from auditor.rulebook.header_rows import header_score
from auditor.rulebook.listing_fields import Contract

_SAMPLED = 2_000  # lines below the header, by which the columns are told
_HEAD_LINES = 30  # among which a header stands
_LEAST_HEADERS = 3.0  # known ones
_LEAST_LINES = 3
_WIDE_GAPS = re.compile(rb"\S {2,}\S")
_LEAST_GAPS = 8
_CELL = re.compile(r"\S+(?: \S+)*")  # words with one blank between them
_RULER = re.compile(r"[\s=_+|-]*[-=_]{2}[\s=_+|-]*")
_NEARLY_ALL = 0.9  # of the sampled lines stay within the columns; others are headings and totals


def may_be_in_columns(head: bytes) -> bool:
    """A quick look at the first bytes: whether words stand apart by two blanks and more, and often do."""
    return head.count(b"  ") >= _LEAST_GAPS and len(_WIDE_GAPS.findall(head)) >= _LEAST_GAPS


def table_as_text(kind: str, path: Path, name: str, wanted: Wanted, contract: Contract) -> Path | None:
    """A table of another kind as delimited text; None for a text that is no such table."""
    if kind == "columns":
        return None if wanted.delimiter or wanted.header_row is not None else spool_columns(path, contract)
    # Start-up: hardly any feed is one of these.
    from auditor.feeds.table_documents import spool_table

    return spool_table(path, name, kind, contract)


def spool_columns(path: Path, contract: Contract) -> Path | None:
    """Writes a text of columns of fixed width as comma-separated UTF-8; None where it is none, or not surely one.

    Each known header must stand apart, and hardly a line may have a sign between two columns; such lines stay whole, as
    one cell.
    """
    encoding = detect_encoding(sample_bytes(path))
    if is_wide(encoding):
        return None
    lines = list(islice(_lines(path, encoding), _HEAD_LINES + _SAMPLED))
    at = _header(lines, contract)
    if at is None:
        return None
    below = lines[at + 1 :]
    ruled = bool(below) and _RULER.fullmatch(below[0]) is not None
    starts = _starts(lines[at], [line for line in below[ruled:] if "  " in line.strip()])  # sentences tell no column
    if starts is None:
        return None
    target = spool_path(".csv")
    with target.open("w", encoding="utf-8", newline="", errors="replace") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(_cells(lines[at], starts))
        for line in islice(_lines(path, encoding), at + 1 + ruled, None):
            if line.strip():
                writer.writerow(_cells(line, starts))
            else:
                out.write("\n")
    return target


def _lines(path: Path, encoding: str) -> Iterator[str]:
    with path.open(encoding=encoding, errors="replace") as file:
        for line in file:
            yield line.rstrip("\r\n").removeprefix("\ufeff")


def _header(lines: Sequence[str], contract: Contract) -> int | None:
    """The line most of whose parts are known headers, more than any delimiter would find."""
    scored = [(header_score(_CELL.findall(line), contract), -at) for at, line in enumerate(lines[:_HEAD_LINES])]
    score, place = max(scored, default=(0.0, 0))
    if score < _LEAST_HEADERS or "\t" in lines[-place]:
        return None
    marks = [mark for mark in DELIMITERS if mark in lines[-place]]
    by_marks = max((header_score(lines[-place].split(mark), contract) for mark in marks), default=0.0)
    return -place if score > by_marks else None


def _starts(header: str, below: Sequence[str]) -> list[int] | None:
    """Where each column begins; None where two headers have no gap between them that hardly a line crosses."""
    if len(below) < _LEAST_LINES:
        return None
    width = max(map(len, (header, *below)))
    used = [0] * (width + 1)
    for line in below:
        for place, sign in enumerate(line):
            used[place] += sign != " "
    most = (1 - _NEARLY_ALL) * len(below)
    starts = [0]
    for one, other in pairwise(_CELL.finditer(header)):
        gap = _last_run([place for place in range(one.end(), other.start()) if used[place] <= most])
        if not gap:
            return None
        least = min(used[place] for place in gap)
        starts.append(max(place for place in gap if used[place] == least) + 1)
    within = sum(_within(line, starts) for line in below)
    return starts if within >= _NEARLY_ALL * len(below) else None


def _last_run(places: Sequence[int]) -> Sequence[int]:
    """The places at the end that follow one another: blanks before are those between words of the column."""
    first = len(places) - 1
    while first > 0 and places[first - 1] == places[first] - 1:
        first -= 1
    return places[max(first, 0) :]


def _within(line: str, starts: Sequence[int]) -> bool:
    """Whether a blank stands before each column."""
    return all(start > len(line) or line[start - 1] == " " for start in starts[1:])


def _cells(line: str, starts: Sequence[int]) -> list[str]:
    """The cells of a line; one that runs out of its columns, as a heading or a sentence does, is the first of them."""
    if not _within(line, starts):
        return [line.strip(), *[""] * (len(starts) - 1)]
    ends = [*starts[1:], len(line)]
    return [line[start:end].strip() for start, end in zip(starts, ends, strict=True)]
