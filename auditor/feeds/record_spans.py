"""Where records begin and end in a stretch of delimited text, quote-aware and without a loop over records.

A quote opens a cell only at the cell's start and closes it only before a delimiter or line end; inside, a doubled quote
stands for one (RFC 4180).  A quote elsewhere in an unquoted cell (`16"`) is plain text.  Where a stretch breaks these
rules, the record at fault is one physical line, and reading goes on at the next line, so that one missing quote costs
one record and not the rest of the file.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from auditor.feeds.bitmaps import (
    Bits,
    Bytes,
    Positions,
    after,
    before,
    bit_positions,
    bits_of,
    holds,
    positions,
    ranks,
    running_parity,
)

SOUND, BLANK, NUL, BROKEN_QUOTE, UNCLOSED_QUOTE, STRAY_RETURN, TOO_LONG = range(7)
REASONS = {
    BLANK: "The line is blank.",
    NUL: "The record holds a NUL byte, which no text has.",
    BROKEN_QUOTE: "A closing quote is followed by text instead of a delimiter or the line's end.",
    UNCLOSED_QUOTE: "A quote is opened and not closed.",
    STRAY_RETURN: "The record holds a carriage return outside quotes that ends no line.",
    TOO_LONG: "The record is longer than the limit for one record.",
}
LF, CR = 10, 13


@dataclass(frozen=True, slots=True)
class Marks:
    """The bytes that shape a delimited text.  `line_end` is 10, or 13 for files that end lines with a lone CR."""

    delimiter: int = 44
    quote: int = 34  # 0: quoting is off
    line_end: int = LF
    columns: int = 1
    record_bytes: int = 16 << 20


@dataclass(frozen=True, slots=True)
class Count:
    """What a quick pass found: `used` bytes hold `records` whole records."""

    records: int
    used: int
    careful: bool


@dataclass(frozen=True, slots=True)
class Spans:
    """Record spans, line end included, and a fault number per record (SOUND for most)."""

    starts: Positions
    stops: Positions
    faults: Bytes

    def __len__(self) -> int:
        return len(self.starts)


def line_spans(data: Bytes, marks: Marks) -> Spans:
    """Spans of the lines, whatever quotes say."""
    return spans_of(positions(data, marks.line_end), len(data))


def sound_spans(data: Bytes, marks: Marks) -> Spans:
    """Spans of a stretch that the quick pass found sound."""
    ends = sound_ends(data, marks, True)
    return line_spans(data, marks) if ends is None else spans_of(bit_positions(ends, len(data)), len(data))


def spans_of(ends: Positions, length: int) -> Spans:
    """Spans of `length` bytes cut after each of `ends`; what follows the last one is a record, too."""
    stops = ends + 1
    if length and (len(stops) == 0 or stops[-1] < length):
        stops = np.append(stops, length)
    starts = np.concatenate([np.zeros(1, np.int64), stops[:-1]]) if len(stops) else stops
    return Spans(starts, stops, np.zeros(len(stops), np.uint8))


def sound_ends(data: Bytes, marks: Marks, final: bool) -> Bits | None:
    """The bitmap of the line ends that end a record, where each record is sound; None where one is not.

    Without `final` the last line is a whole one, though its record may go on.
    """
    ends = lines = bits_of(data, marks.line_end)
    if not int(data.min()):
        return None
    other = LF if marks.line_end == CR else CR
    others = bits_of(data, other) if holds(data, other) else None
    if marks.quote:
        quotes = bits_of(data, marks.quote)
        if quotes.any():
            edges = quotes | lines
            edges |= bits_of(data, marks.delimiter)
            if others is not None:
                edges |= others
            outside = _outside_quotes(data, lines, quotes, edges, marks, final)
            if outside is None:
                return None
            ends = lines & outside
    if (ends & after(ends, True)).any() or _overlong(ends, data, marks):
        return None
    if other == CR and others is not None and _misplaced_returns(others, lines, ends, len(data)):
        return None
    return ends


def _outside_quotes(data: Bytes, lines: Bits, quotes: Bits, edges: Bits, marks: Marks, final: bool) -> Bits | None:
    """The bitmap of the bytes outside quotes, quotes themselves aside; None where a quote is out of place.

    Where no line ends inside quotes, a quote is in its place that has a delimiter, a line end or another quote on
    either side; else the sides must be the right ones, and each record that spans lines as wide as the header.
    """
    inside, odd = running_parity(quotes)
    outside = ~inside
    loose_before, loose_after = ~after(edges, True), ~before(edges, len(data), True)
    inner = lines & inside
    if not odd and not inner.any():
        return None if (quotes & loose_before & loose_after).any() else outside
    if odd and final:
        return None
    if (quotes & inside & loose_before).any() or (quotes & outside & loose_after).any():
        return None
    return outside if _columns_fit(data, inner, lines & outside, outside, marks) else None


def _columns_fit(data: Bytes, inner: Bits, ends: Bits, outside: Bits, marks: Marks) -> bool:
    """Whether every record that spans lines has the header's number of columns; a lost quote rarely does."""
    stops = bit_positions(ends, len(data))
    spanning = np.unique(np.searchsorted(stops, bit_positions(inner, len(data))))
    spanning = spanning[spanning < len(stops)]
    starts = np.where(spanning > 0, stops[spanning - 1] + 1, 0)
    cuts = bits_of(data, marks.delimiter) & outside
    return bool((ranks(cuts, stops[spanning]) - ranks(cuts, starts) + 1 == marks.columns).all())


def _overlong(ends: Bits, data: Bytes, marks: Marks) -> bool:
    if len(data) <= marks.record_bytes:
        return False
    stops = bit_positions(ends, len(data))
    return bool((np.diff(stops, prepend=-1, append=len(data) - 1) > marks.record_bytes).any())


def _misplaced_returns(returns: Bits, lines: Bits, ends: Bits, size: int) -> bool:
    """Carriage returns that precede no line feed, and lines of a carriage return and a line feed alone."""
    if (returns & ~before(lines, size, True)).any():  # the file's last line may lack its LF
        return True
    return bool((ends & after(returns, False) & after(after(ends, True), False)).any())
