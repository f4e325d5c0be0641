"""Puts changes into delimited text, touching no byte but those of the changed cells."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import IO

import numpy as np

from auditor.feeds.csv_feed import CsvFeed
from auditor.feeds.csv_pieces import piece_spans
from auditor.feeds.csv_units import pieces_of
from auditor.feeds.spool import create_packed
from auditor.outputs.corrected.model import Change, Changes, changed_records, fits

_COPIED_BYTES = 8 << 20


def apply_to_text(feed: CsvFeed, target: Path, changes: Changes) -> list[Change]:
    """Writes the feed with the changes to `target`; returns those made, in record order."""
    made: list[Change] = []
    with feed.path.open("rb") as source, create_packed(target, feed.compression) as out:
        out.write(feed.byte_order_mark)
        at = 0
        for start, stop, first, records, careful in _pieces(feed):
            touched = changed_records(changes, first, records)
            if not touched or (stop - start > feed.limits.record_bytes and records == 1):
                continue
            for part in _copied(source, at, start):
                _write(feed, out, part)
            source.seek(start)
            raw = source.read(stop - start)
            spans = piece_spans(np.frombuffer(raw, np.uint8), feed.shape(), records, careful)
            done = 0
            for record in touched:
                begin, end = int(spans.starts[record - first]), int(spans.stops[record - first])
                edited, here = edit_record(raw[begin:end], feed, list(changes[record].values()))
                _write(feed, out, raw[done:begin])
                _write(feed, out, edited)
                done = end
                made += here
            _write(feed, out, raw[done:])
            at = stop
        for part in _copied(source, at, feed.path.stat().st_size):
            _write(feed, out, part)
    return made


def _pieces(feed: CsvFeed) -> Iterator[tuple[int, int, int, int, bool]]:
    for unit in feed.units():
        for start, stop, first, records in pieces_of(unit):
            yield start, stop, first, records, unit.careful


def _copied(source: IO[bytes], start: int, stop: int) -> Iterator[bytes]:
    source.seek(start)
    while start < stop:
        part = source.read(min(_COPIED_BYTES, stop - start))
        if not part:
            return
        # A multi-byte character must not be cut where the text is encoded again.
        kept = part if start + len(part) >= stop else part[: _whole(part)]
        yield kept
        start += len(kept)
        source.seek(start)


def _whole(part: bytes) -> int:
    """The length of `part` without an unfinished UTF-8 character at its end."""
    for back in range(1, min(4, len(part)) + 1):
        byte = part[-back]
        if byte & 0xC0 == 0xC0:
            needed = 2 if byte < 0xE0 else 3 if byte < 0xF0 else 4
            return len(part) - back if needed > back else len(part)
        if byte < 0x80:
            break
    return len(part)


def _write(feed: CsvFeed, out: IO[bytes], text: bytes) -> None:
    if feed.wide_encoding:
        text = text.replace(b"\xff", b"")  # marks a file that ends in the middle of a character
        text = text.decode("utf-8", "surrogatepass").encode(feed.wide_encoding, "surrogatepass")
    out.write(text)


def edit_record(record: bytes, feed: CsvFeed, changes: list[Change]) -> tuple[bytes, list[Change]]:
    """The record's bytes with the changes that fit put in, and those changes."""
    dialect = feed.dialect
    quote = dialect.quote.encode() if dialect.quote else b""
    spans = cell_spans(record, dialect.delimiter.encode(), quote)
    if spans is None:
        return record, []
    made: list[Change] = []
    for change in sorted(changes, key=lambda change: -change.position):  # from the right, so that spans stay true
        if change.position >= len(spans):
            continue
        start, stop = spans[change.position]
        new = _edited_cell(record[start:stop], change, dialect.encoding, dialect.delimiter, dialect.quote or "")
        if new is not None:
            record = record[:start] + new + record[stop:]
            made.append(change)
    return record, made[::-1]


def _edited_cell(cell: bytes, change: Change, encoding: str, delimiter: str, quote: str) -> bytes | None:
    """The cell's new bytes, quoted where they were or have to be; None where the change does not fit."""
    try:
        text = cell.decode(encoding)
    except UnicodeDecodeError:
        return None
    quoted = bool(quote) and len(text) >= 2 and text[0] == quote == text[-1]
    inner = text[1:-1].replace(quote * 2, quote) if quoted else text
    if not fits(inner, change):
        return None
    after = change.after.strip()
    bare = inner.strip()
    new = inner.replace(bare, after, 1) if bare else after  # blanks around the value stay
    special = delimiter in new or "\n" in new or "\r" in new or (bool(quote) and new.startswith(quote))
    if quoted or special:
        if not quote:
            return None
        new = quote + new.replace(quote, quote * 2) + quote
    try:
        return new.encode(encoding)
    except UnicodeEncodeError:
        return None


def cell_spans(record: bytes, delimiter: bytes, quote: bytes) -> list[tuple[int, int]] | None:
    """Start and stop of each cell, quotes included, line end excluded; None where a quote is broken (RFC 4180)."""
    length = len(record.rstrip(b"\r\n"))
    spans: list[tuple[int, int]] = []
    start = 0
    while True:
        if quote and record[start : start + 1] == quote:
            stop = _after_quoted(record, start, quote)
            if stop is None or (stop < length and record[stop : stop + 1] != delimiter):
                return None
        else:
            found = record.find(delimiter, start, length)
            stop = length if found < 0 else found
        spans.append((start, stop))
        if stop >= length:
            return spans
        start = stop + 1


def _after_quoted(record: bytes, start: int, quote: bytes) -> int | None:
    at = start + 1
    while True:
        at = record.find(quote, at)
        if at < 0:
            return None
        if record[at + 1 : at + 2] != quote:
            return at + 1
        at += 2
