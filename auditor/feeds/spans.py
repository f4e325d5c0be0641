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
    Flags,
    Positions,
    after,
    before,
    bit_positions,
    bits_of,
    count_set,
    holds,
    last_bit,
    last_position,
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
_LF, _CR = 10, 13


@dataclass(frozen=True, slots=True)
class Marks:
    """The bytes that shape a delimited text.  `line_end` is 10, or 13 for files that end lines with a lone CR."""

    delimiter: int = 44
    quote: int = 34  # 0: quoting is off
    line_end: int = _LF
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


def count_records(data: Bytes, marks: Marks, final: bool) -> Count:
    """Counts the whole records in `data`, which starts at a record; `final` when no bytes follow."""
    length = len(data) if final else last_position(data, marks.line_end) + 1
    if length == 0:
        return Count(0, 0, False)
    data = data[:length]
    ends = sound_ends(data, marks, final)
    if ends is None:
        spans = careful_spans(data, marks, final)
        return Count(len(spans), int(spans.stops[-1]) if len(spans) else 0, True)
    used = length if final else last_bit(ends) + 1
    return Count(count_set(ends) + (final and last_bit(ends) + 1 < length), used, False)


def line_spans(data: Bytes, marks: Marks) -> Spans:
    """Spans of the lines, whatever quotes say."""
    return _spans_of(positions(data, marks.line_end), len(data))


def sound_spans(data: Bytes, marks: Marks) -> Spans:
    """Spans of a stretch that the quick pass found sound."""
    ends = sound_ends(data, marks, True)
    return line_spans(data, marks) if ends is None else _spans_of(bit_positions(ends, len(data)), len(data))


def _spans_of(ends: Positions, length: int) -> Spans:
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
    other = _LF if marks.line_end == _CR else _CR
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
    if other == _CR and others is not None and _misplaced_returns(others, lines, ends, len(data)):
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


def _edges(data: Bytes, marks: Marks) -> Flags:
    edge: Flags = data == marks.delimiter
    edge |= data == _LF
    edge |= data == _CR
    return edge


def careful_spans(data: Bytes, marks: Marks, final: bool) -> Spans:
    """Spans and faults of a stretch that breaks rules.  Without `final`, an unfinished last record is left out."""
    newlines = np.flatnonzero(data == marks.line_end)
    lines = _spans_of(newlines, len(data))
    if not final and len(lines) > len(newlines):
        lines = Spans(lines.starts[:-1], lines.stops[:-1], lines.faults[:-1])
    lines, inside = _close_lines(data, lines, marks, final)
    if not len(lines):
        return lines
    faults = lines.faults
    _mark_positions(faults, lines, np.flatnonzero(data == 0), NUL)
    if marks.line_end == _LF:
        _mark_positions(faults, lines, _stray_returns(data, lines, inside, marks), STRAY_RETURN)
    lengths = lines.stops - lines.starts
    ended = data[np.maximum(lines.stops - 1, 0)] == marks.line_end
    returned = ended & (lengths > 1) & (data[np.maximum(lines.stops - 2, 0)] == _CR)
    faults[(lengths - ended - returned) == 0] = BLANK
    faults[lengths > marks.record_bytes] = TOO_LONG
    return lines


def _mark_positions(faults: Bytes, spans: Spans, positions: Positions, fault: int) -> None:
    if len(positions) and len(spans):
        positions = positions[positions < spans.stops[-1]]
        faults[np.searchsorted(spans.stops, positions, side="right")] = fault


def _stray_returns(data: Bytes, lines: Spans, inside: list[tuple[int, int]], marks: Marks) -> Positions:
    """Carriage returns that neither precede a line feed nor stand in quotes."""
    returns = np.flatnonzero(data == _CR)
    follows = data[np.minimum(returns + 1, len(data) - 1)] == _LF
    follows |= returns == len(data) - 1
    stray: Positions = returns[~follows]
    for start, stop in inside:  # records that span lines, in stretches with faults only
        stray = stray[(stray < start) | (stray >= stop)]
    if not len(stray) or not marks.quote:
        return stray
    quotes = np.flatnonzero(data == marks.quote)
    line = np.searchsorted(lines.starts, stray, side="right") - 1
    before = np.searchsorted(quotes, stray) - np.searchsorted(quotes, lines.starts[line])
    outside: Positions = stray[before % 2 == 0]
    return outside


def _close_lines(data: Bytes, lines: Spans, marks: Marks, final: bool) -> tuple[Spans, list[tuple[int, int]]]:
    """Joins the lines of records that span lines; marks lines whose quotes are broken or never closed."""
    if not marks.quote or not len(lines):
        return lines, []
    quotes = np.flatnonzero(data == marks.quote)
    if not len(quotes):
        return lines, []
    edge = _edges(data, marks)
    open_at_end, broken = _line_states(data, lines, quotes, edge)
    faults = lines.faults
    faults[broken] = BROKEN_QUOTE
    keep = np.ones(len(lines), bool)
    stops = lines.stops.copy()
    joined: list[tuple[int, int]] = []
    taken_until = -1
    for line in np.flatnonzero(open_at_end).tolist():  # faulty or line-spanning records of a faulty stretch only
        if line <= taken_until:
            continue
        last = _joined_until(data, lines, line, quotes, edge, marks)
        if last is None:
            room = len(data) - int(lines.starts[line]) < marks.record_bytes
            if not final and room and _never_closes(data, int(lines.starts[line]), quotes, edge, marks):
                keep[line:] = False
                break
            faults[line] = UNCLOSED_QUOTE
            continue
        keep[line + 1 : last + 1] = False
        stops[line] = lines.stops[last]
        faults[line] = SOUND
        joined.append((int(lines.starts[line]), int(stops[line])))
        taken_until = last
    return Spans(lines.starts[keep], stops[keep], faults[keep]), joined


def _line_states(data: Bytes, lines: Spans, quotes: Positions, edge: Flags) -> tuple[Flags, Flags]:
    """Per line, started outside quotes: is it inside quotes at its end, and does a closing quote precede text?

    Loops over the rank of a quote within its line; all lines step together.
    """
    first = np.searchsorted(quotes, lines.starts)
    counts = np.searchsorted(quotes, lines.stops) - first
    inside = np.zeros(len(lines), bool)
    broken = np.zeros(len(lines), bool)
    skip = np.zeros(len(lines), bool)  # the quote is the second of a doubled one
    at_edge = np.where(quotes > 0, edge[np.maximum(quotes - 1, 0)], True)
    after = quotes + 1
    before_edge = np.where(after < len(data), edge[np.minimum(after, len(data) - 1)], True)
    doubles = np.zeros(len(quotes), bool)
    doubles[:-1] = np.diff(quotes) == 1
    active = np.flatnonzero(counts > 0)
    for rank in range(int(counts.max(initial=0))):
        active = active[counts[active] > rank]
        at = first[active] + rank
        within, skipped = inside[active], skip[active]
        escapes = within & ~skipped & doubles[at]
        closes = within & ~skipped & ~escapes
        broken[active] |= closes & ~before_edge[at]
        inside[active] = np.where(closes, False, within | (~within & at_edge[at]))
        skip[active] = escapes
    return inside, broken


def _joined_until(data: Bytes, lines: Spans, line: int, quotes: Positions, edge: Flags, marks: Marks) -> int | None:
    """The last line of the record that starts at `line`, or None where its quote is not closed properly."""
    end = _walk(data, int(lines.starts[line]), quotes, edge, marks)
    if end is None:
        return None
    return int(np.searchsorted(lines.stops, end))


def _never_closes(data: Bytes, start: int, quotes: Positions, edge: Flags, marks: Marks) -> bool:
    """Whether the walk from `start` ends inside quotes, so that more bytes could still close them."""
    return _walk(data, start, quotes, edge, marks, want_open=True) is not None


def _walk(
    data: Bytes,
    start: int,
    quotes: Positions,
    edge: Flags,
    marks: Marks,
    want_open: bool = False,
) -> int | None:
    """Follows one record from `start`: its end, or None where a closing quote is misplaced or the columns do not fit.

    With `want_open`, instead: the length of the data where it ends inside quotes, else None.
    """
    size = len(data)
    at = int(np.searchsorted(quotes, start))
    columns, position = 1, start
    while position < size:
        window = data[position : min(size, start + marks.record_bytes)]
        stop = position + _first(window, marks.line_end)
        quote = int(quotes[at]) if at < len(quotes) else size
        if stop < quote or quote >= size:
            columns += int(np.count_nonzero(data[position : stop + 1] == marks.delimiter))
            return None if want_open or columns != marks.columns or stop >= size else stop + 1
        columns += int(np.count_nonzero(data[position:quote] == marks.delimiter))
        if quote > start and not edge[quote - 1]:
            position, at = quote + 1, at + 1  # plain text inside an unquoted cell
            continue
        at += 1
        while at < len(quotes):  # inside quotes
            if at + 1 < len(quotes) and quotes[at + 1] == quotes[at] + 1:
                at += 2
                continue
            break
        if at >= len(quotes) or int(quotes[at]) - start > marks.record_bytes:
            return size if want_open else None
        position = int(quotes[at]) + 1
        at += 1
        if position < size and not edge[position]:
            return None
    if want_open:
        return None
    return size if columns == marks.columns else None


def _first(window: Bytes, value: int) -> int:
    """Place of the first `value`, or the window's length."""
    step = 1 << 16
    for at in range(0, len(window), step):
        hits = np.flatnonzero(window[at : at + step] == value)
        if len(hits):
            return at + int(hits[0])
    return len(window)
