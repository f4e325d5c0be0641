"""Where records begin and end in delimited text that breaks the rules for quotes; how many records any text holds.

Where a stretch is sound the quick pass of `auditor.feeds.record_spans` suffices.  Here all lines are followed together,
one quote of each at a time, and only records that span lines one by one.
"""

from __future__ import annotations

import numpy as np

from auditor.feeds.record_spans import (
    BLANK,
    BROKEN_QUOTE,
    CR,
    LF,
    NUL,
    SOUND,
    STRAY_RETURN,
    TOO_LONG,
    UNCLOSED_QUOTE,
    Bytes,
    Count,
    Flags,
    Marks,
    Positions,
    Spans,
    sound_ends,
    spans_of,
    swallows_records,
)


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
    last = int(ends[-1]) + 1 if len(ends) else 0
    return Count(len(ends) + (final and last < length), length if final else last, False)


def last_position(data: Bytes, value: int) -> int:
    """Place of the last `value`, or -1; looks from the end in growing steps."""
    stop, step = len(data), 1 << 12
    while stop > 0:
        start = max(stop - step, 0)
        hits = np.flatnonzero(data[start:stop] == value)
        if len(hits):
            return start + int(hits[-1])
        stop, step = start, step * 4
    return -1


def _edges(data: Bytes, marks: Marks) -> Flags:
    edge: Flags = data == marks.delimiter
    edge |= data == LF
    edge |= data == CR
    return edge


def careful_spans(data: Bytes, marks: Marks, final: bool) -> Spans:
    """Spans and faults of a stretch that breaks rules.  Without `final`, an unfinished last record is left out."""
    newlines = np.flatnonzero(data == marks.line_end)
    lines = spans_of(newlines, len(data))
    if not final and len(lines) > len(newlines):
        lines = Spans(lines.starts[:-1], lines.stops[:-1], lines.faults[:-1])
    lines, inside = _close_lines(data, lines, marks, final)
    if not len(lines):
        return lines
    faults = lines.faults
    _mark_positions(faults, lines, np.flatnonzero(data == 0), NUL)
    if marks.line_end == LF:
        _mark_positions(faults, lines, _stray_returns(data, lines, inside, marks), STRAY_RETURN)
    lengths = lines.stops - lines.starts
    ended = data[np.maximum(lines.stops - 1, 0)] == marks.line_end
    returned = ended & (lengths > 1) & (data[np.maximum(lines.stops - 2, 0)] == CR)
    faults[(lengths - ended - returned) == 0] = BLANK
    faults[lengths > marks.record_bytes] = TOO_LONG
    return lines


def _mark_positions(faults: Bytes, spans: Spans, positions: Positions, fault: int) -> None:
    if len(positions) and len(spans):
        positions = positions[positions < spans.stops[-1]]
        faults[np.searchsorted(spans.stops, positions, side="right")] = fault


def _stray_returns(data: Bytes, lines: Spans, inside: list[tuple[int, int]], marks: Marks) -> Positions:
    """Carriage returns that neither precede a line feed nor stand in quotes."""
    returns = np.flatnonzero(data == CR)
    follows = data[np.minimum(returns + 1, len(data) - 1)] == LF
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
    start = int(lines.starts[line])
    end = _walk(data, start, quotes, edge, marks)
    if end is None or swallows_records(data[start:end], marks):
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
    at, step = 0, 1 << 9  # most lines are short, and a faulty stretch asks for the end of each
    while at < len(window):
        hits = window[at : at + step] == value
        found = int(hits.argmax())
        if hits[found]:
            return at + found
        at, step = at + step, min(8 * step, 1 << 16)
    return len(window)
