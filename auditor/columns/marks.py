"""Marks of 64 bits by which texts are known again, made of their bytes over whole columns."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pyarrow as pa

Bytes = npt.NDArray[np.uint8]
Marks = npt.NDArray[np.uint64]
Places = npt.NDArray[np.int64]

STEP = 8  # bytes in a number
LOW = np.array([(1 << 8 * size) - 1 for size in range(STEP + 1)], np.uint64)
_ROOM = 16  # bytes of nothing before and behind a text, so that its neighbors can be looked at
_MOST_MARKED = 64  # steps of a text that has a mark
_FIRST, _NEXT, _SIZED = (np.uint64(one) for one in (0x9E3779B97F4A7C15, 0xD6E8FEB86659FD93, 0x8CB92BA72F3D8DD7))


def offsets_of(texts: pa.StringArray) -> npt.NDArray[np.int32]:
    """Where each text begins in the bytes of all, and where the last one ends."""
    offsets = texts.buffers()[1]
    if offsets is None:
        return np.zeros(1, np.int32)
    return np.frombuffer(offsets, np.int32, texts.offset + len(texts) + 1)[texts.offset :]


def bytes_of(texts: pa.StringArray) -> tuple[Bytes, Places]:
    """The bytes of texts with room around them, and where each text begins."""
    offsets, held = offsets_of(texts).astype(np.int64), texts.buffers()[2]
    count = int(offsets[-1] - offsets[0])
    data = np.zeros(count + 2 * _ROOM, np.uint8)
    if count and held is not None:
        data[_ROOM : _ROOM + count] = np.frombuffer(held, np.uint8, count, int(offsets[0]))
    return data, offsets - (offsets[0] - _ROOM)


def numbers_at(data: Bytes, places: Places) -> Marks:
    """Eight bytes from each place on as one number."""
    wide = np.ndarray((len(data) - STEP + 1,), "<u8", data, strides=(1,))
    return wide[places]


def begun(low: Marks, lengths: Places) -> Marks:
    """The marks of texts of at most eight bytes."""
    marks: Marks = low * _FIRST
    marks += lengths.astype(np.uint64) * _SIZED
    return marks


def gone_on(marks: Marks, further: Marks) -> Marks:
    """The marks of texts with eight bytes more."""
    mixed: Marks = (marks ^ (marks >> np.uint64(32))) * _NEXT + further * _FIRST
    return mixed


def marks_of(texts: pa.StringArray) -> Marks:
    """A mark of the bytes of each text, 0 of those that are too long to be marked."""
    data, bounds = bytes_of(texts)
    starts, lengths = bounds[:-1], np.diff(bounds)
    marks = begun(numbers_at(data, starts) & LOW[np.minimum(lengths, STEP)], lengths)
    for step in range(1, _MOST_MARKED):
        some = np.flatnonzero(lengths > step * STEP)
        if not len(some):
            break
        far = starts[some] + step * STEP
        low = LOW[np.minimum(lengths[some] - step * STEP, STEP)]
        marks[some] = gone_on(marks[some], numbers_at(data, far) & low)
    marks[lengths > _MOST_MARKED * STEP] = 0
    return marks
