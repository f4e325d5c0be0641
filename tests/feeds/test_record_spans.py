"""Stretches are counted as the rules of quoting read when followed by hand."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from auditor.feeds.faulty_spans import careful_spans, count_records, last_position
from auditor.feeds.record_spans import Marks, sound_spans


@given(text=st.binary(max_size=200), value=st.sampled_from([10, 34]))
def test_the_last_of_a_byte(text: bytes, value: int) -> None:
    assert last_position(np.frombuffer(text, np.uint8), value) == text.rfind(bytes([value]))


def by_hand(text: bytes, marks: Marks, final: bool) -> list[int] | None:
    """Ends of the sound records of a stretch, from byte to byte; None where a record is not sound."""
    line_end = bytes([marks.line_end])
    edges = (b",", b"\n", b"\r", b'"')
    inside, ends, inner, strict, loose = False, [], [], True, True
    for at, byte in enumerate(text):
        if byte == marks.quote:
            inside = not inside
            before = at == 0 or text[at - 1 : at] in edges
            following = at + 1 == len(text) or text[at + 1 : at + 2] in edges
            strict = strict and (before if inside else following)
            loose = loose and (before or following)
        elif byte == marks.line_end:
            (inner if inside else ends).append(at)
        elif byte == 0 or (byte == 13 and at + 1 < len(text) and text[at + 1] != 10):
            return None
    if not (strict if inner or inside else loose) or (inside and final):
        return None
    start = 0
    for end in ends:
        record = text[start:end]
        if len(record) + 1 > marks.record_bytes or record in (b"", b"\r"):
            return None
        cells = b"".join(record.split(b'"')[::2]).count(b",") + 1
        if any(start <= position < end for position in inner) and cells != marks.columns:
            return None
        start = end + 1
    if len(text) - start > marks.record_bytes:
        return None
    assert all(text[end : end + 1] == line_end for end in ends)
    return ends


LINES = st.lists(
    st.sampled_from(
        [
            b"a,b\n",
            b'"a",b\n',
            b'a,"x\ny"\n',
            b'a,"b""c"\n',
            b'"a\r\nb",c\r\n',
            b'16",b\n',
            b'x",y,"z\n',
            b'"16" r,b\n',
            b"\n",
            b"\r\n",
            b"a\rb,c\n",
            b"\0,b\n",
            b'a,"b\n',
            b"a,b,c\n",
            b'"q\n\nr",b\n',
        ]
    ),
    max_size=30,
).map(b"".join)
SOUP = st.text(alphabet='aaaa,,"\n\r', max_size=200).map(str.encode)
SOUND = st.lists(st.sampled_from([b"a,b\n", b'"a",b\n', b'a,"x\ny"\n', b'"a\r\nb",c\r\n']), max_size=60).map(b"".join)


@given(
    text=st.one_of(LINES, SOUND, SOUP),
    cut=st.integers(0, 3),
    limit=st.sampled_from([12, 1 << 24]),
    columns=st.sampled_from([2, 2, 3]),
    final=st.booleans(),
)
@settings(max_examples=400)
def test_sound_stretches_are_counted_as_by_hand(text: bytes, cut: int, limit: int, columns: int, final: bool) -> None:
    text = text[: len(text) - cut]
    marks = Marks(columns=columns, record_bytes=limit)
    data = np.frombuffer(text, np.uint8)
    count = count_records(data, marks, final)
    length = len(text) if final else text.rfind(b"\n") + 1
    if not length:
        assert (count.records, count.used, count.careful) == (0, 0, False)
        return
    ends = by_hand(text[:length], marks, final)
    assert count.careful == (ends is None)
    if ends is None:
        spans = careful_spans(data[:length], marks, final)
        assert (count.records, count.used) == (len(spans), int(spans.stops[-1]) if len(spans) else 0)
        return
    stops = [end + 1 for end in ends]
    if final and (not stops or stops[-1] < length):
        stops.append(length)
    assert (count.records, count.used) == (len(stops), stops[-1] if stops else 0)
    if final:
        assert sound_spans(data, marks).stops.tolist() == stops
