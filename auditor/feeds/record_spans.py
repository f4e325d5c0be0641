"""Where records begin and end in a stretch of delimited text, quote-aware and without a loop over records.

A quote opens a cell only at the cell's start and closes it only before a delimiter or line end; inside, a doubled quote
stands for one (RFC 4180).  A quote elsewhere in an unquoted cell (`16"`) is plain text.  Where a stretch breaks these
rules, the record at fault is one physical line, and reading goes on at the next line, so that one missing quote costs
one record and not the rest of the file.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Bytes = npt.NDArray[np.uint8]
Positions = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

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
_FITTING_SHARE = 0.9  # of the lines of a record that are records themselves
_FEWEST_DIGITS = 6  # of a line with a size and whatever else a listing holds
_FEWEST_COLUMNS = 3  # with which the width of a line says something


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
    return spans_of(np.flatnonzero(data == marks.line_end), len(data))


def sound_spans(data: Bytes, marks: Marks) -> Spans:
    """Spans of a stretch that the quick pass found sound."""
    ends = sound_ends(data, marks, True)
    return line_spans(data, marks) if ends is None else spans_of(ends, len(data))


def spans_of(ends: Positions, length: int) -> Spans:
    """Spans of `length` bytes cut after each of `ends`; what follows the last one is a record, too."""
    stops = ends + 1
    if length and (len(stops) == 0 or stops[-1] < length):
        stops = np.append(stops, length)
    starts = np.concatenate([np.zeros(1, np.int64), stops[:-1]]) if len(stops) else stops
    return Spans(starts, stops, np.zeros(len(stops), np.uint8))


def sound_ends(data: Bytes, marks: Marks, final: bool) -> Positions | None:
    """Places of the line ends that end a record, where each record is sound; None where one is not.

    Without `final` the last line is a whole one, though its record may go on.
    """
    if not int(data.min()):
        return None
    lines = np.flatnonzero(data == marks.line_end)
    ends = _ends_outside_quotes(data, lines, marks, final) if marks.quote else lines
    if ends is None:
        return None
    lengths = np.diff(ends, prepend=-1)
    if (lengths == 1).any() or np.diff(ends, prepend=-1, append=len(data) - 1).max() > marks.record_bytes:
        return None
    if marks.line_end == LF and _misplaced_returns(data, ends[lengths == 2]):
        return None
    return ends


def _ends_outside_quotes(data: Bytes, lines: Positions, marks: Marks, final: bool) -> Positions | None:
    """The line ends outside quotes; None where a quote is out of place.

    Where no line ends inside quotes, a quote is in its place that has a delimiter, a line end or another quote on
    either side; else the sides must be the right ones, and each record that spans lines as wide as the header.
    """
    quotes = np.flatnonzero(data == marks.quote)
    if not len(quotes):
        return lines
    edge = np.zeros(256, dtype=np.bool_)
    edge[[marks.delimiter, marks.quote, LF, CR]] = True
    loose_before = ~edge[data[quotes - 1]]
    loose_before[0] &= quotes[0] > 0
    loose_after = ~edge[data[np.minimum(quotes + 1, len(data) - 1)]]
    inside = _odd(quotes, lines)
    unclosed = len(quotes) % 2 == 1
    if not unclosed and not inside.any():
        return None if (loose_before & loose_after).any() else lines
    if unclosed and final:
        return None
    if loose_before[::2].any() or loose_after[1::2].any():  # of opening quotes, and of closing ones
        return None
    ends = lines[~inside]
    return ends if _columns_fit(data, lines[inside], ends, quotes, marks) else None


def _odd(quotes: Positions, positions: Positions) -> Flags:
    """Whether an odd number of quotes stands before each position: whether it is inside quotes."""
    return np.searchsorted(quotes, positions) % 2 == 1


def _columns_fit(data: Bytes, inner: Positions, ends: Positions, quotes: Positions, marks: Marks) -> bool:
    """Whether every record that spans lines has the header's number of columns, which a lost quote rarely leaves, and
    none is made of lines that are records themselves."""
    spanning = np.unique(np.searchsorted(ends, inner))
    spanning = spanning[spanning < len(ends)]
    starts = np.where(spanning > 0, ends[spanning - 1] + 1, 0)
    every = np.flatnonzero(data == marks.delimiter)
    cuts = every[~_odd(quotes, every)]
    fitting = np.searchsorted(cuts, ends[spanning]) - np.searchsorted(cuts, starts) + 1 == marks.columns
    if not fitting.all():
        return False
    # As many delimiters as every line would need, if each were a record: few that are none come by them.
    lines = np.searchsorted(inner, ends[spanning]) - np.searchsorted(inner, starts) + 1
    whole = np.searchsorted(every, ends[spanning]) - np.searchsorted(every, starts)
    doubtful = np.flatnonzero(whole >= _FITTING_SHARE * lines * (marks.columns - 1))
    return not any(
        swallows_records(data[start : stop + 1], marks)
        for start, stop in zip(starts[doubtful].tolist(), ends[spanning][doubtful].tolist(), strict=True)
    )


def swallows_records(record: Bytes, marks: Marks) -> bool:
    """Whether a record that spans lines is made of lines that are records: then its quote was opened by mistake.

    Nearly each line is by itself as wide as the header, and those behind the first hold figures in two cells, as many
    as a size has.
    """
    if marks.columns < _FEWEST_COLUMNS:
        return False
    ends = np.flatnonzero(record == marks.line_end)
    ends = ends if len(ends) and ends[-1] == len(record) - 1 else np.append(ends, len(record))
    cuts = np.flatnonzero(record == marks.delimiter)
    widths = np.diff(np.searchsorted(cuts, ends), prepend=0) + 1
    if len(ends) < 2 or widths[0] < marks.columns or np.mean(widths[1:] == marks.columns) < _FITTING_SHARE:
        return False
    edges = np.sort(np.concatenate([cuts, ends]))
    digits = np.cumsum((record >= ord("0")) & (record <= ord("9")))
    of_cells = np.diff(digits[np.minimum(edges, len(record) - 1)], prepend=0)
    line = np.searchsorted(ends, edges)
    figures = np.bincount(line, weights=of_cells > 0)
    as_a_size = np.bincount(line, weights=of_cells) >= _FEWEST_DIGITS
    return bool(np.mean((figures[1:] >= 2) & as_a_size[1:]) >= _FITTING_SHARE)


def _misplaced_returns(data: Bytes, short: Positions) -> bool:
    """Carriage returns that precede no line feed, and lines of a carriage return and a line feed alone.

    `short` are the ends of records of two bytes.
    """
    returns = np.flatnonzero(data == CR)
    if not len(returns):
        return False
    following = returns[returns < len(data) - 1] + 1  # the file's last line may lack its LF
    return bool((data[following] != LF).any() or (data[short - 1] == CR).any())
