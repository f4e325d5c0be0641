"""Plans the work units of a delimited text and loads the bytes of their pieces: exact record numbers, flat memory."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import BinaryIO

import numpy as np

from auditor.errors import FeedError
from auditor.feeds.faulty_spans import count_records
from auditor.feeds.model import WorkUnit
from auditor.feeds.record_spans import Marks
from auditor.feeds.unit_plans import planned_once

CHUNK_BYTES = 1 << 20  # counted at a time; fits the processor's cache
PIECE_BYTES = 8 << 20  # parsed at a time
UNIT_BYTES = 80 << 20
SMALL_UNIT_BYTES = 16 << 20
UNIT_RECORDS = 1 << 17
FINER_BYTES = 24 << 20


def plan_units(path: Path, start: int, stop: int, marks: Marks) -> Iterator[WorkUnit]:
    """Work units of the bytes `start` to `stop`, in order, with their record numbers and piece boundaries.

    `cuts` of a unit alternate byte offset and first record number of its pieces.
    """
    how = (start, stop, marks, CHUNK_BYTES, PIECE_BYTES, SMALL_UNIT_BYTES, UNIT_BYTES, UNIT_RECORDS)
    return planned_once(path, how, lambda: _search_units(path, start, stop, marks))


def _search_units(path: Path, start: int, stop: int, marks: Marks) -> Iterator[WorkUnit]:
    record, unit_record, unit_start, careful = 1, 1, start, False
    cuts: list[int] = [start, 1]
    index = 0
    most = _unit_bytes(0, stop - start)
    for end, records, faulty, alone in _counted_chunks(path, start, stop, marks):
        if alone and end.begin > unit_start:  # a record beyond the limit gets a unit of its own
            yield WorkUnit(index, unit_record, record - unit_record, unit_start, end.begin, tuple(cuts), careful)
            index, unit_record, unit_start, careful, cuts = index + 1, record, end.begin, False, [end.begin, record]
        record += records
        careful = careful or faulty
        if alone or record - unit_record >= UNIT_RECORDS or end.stop - unit_start >= most:
            yield WorkUnit(index, unit_record, record - unit_record, unit_start, end.stop, tuple(cuts), careful)
            index, unit_record, unit_start, careful, cuts = index + 1, record, end.stop, False, [end.stop, record]
            most = _unit_bytes(index, stop - end.stop)
        elif end.stop - cuts[-2] >= PIECE_BYTES:
            cuts += [end.stop, record]
    if record > unit_record:
        if cuts[-2] >= stop:
            cuts = cuts[:-2]
        yield WorkUnit(index, unit_record, record - unit_record, unit_start, stop, tuple(cuts), careful)


def _unit_bytes(index: int, left: int) -> int:
    """Small units first, so that all workers soon have one, and last, so that they end together; large ones between."""
    return min(UNIT_BYTES, max(SMALL_UNIT_BYTES, min(left // 4, SMALL_UNIT_BYTES * (index + 1))))


@dataclass(frozen=True, slots=True)
class _Stretch:
    begin: int
    stop: int


def _counted_chunks(path: Path, start: int, stop: int, marks: Marks) -> Iterator[tuple[_Stretch, int, bool, bool]]:
    """Stretches of whole records: where they lie, how many they are, whether faulty, whether one endless record."""
    buffer = bytearray(CHUNK_BYTES)
    have, at = 0, start  # bytes held, offset of the first of them
    with path.open("rb", buffering=0) as file:
        file.seek(start)
        while at < stop:
            room = memoryview(buffer)[have : have + stop - at - have]
            got = fill(file, room)
            if not got and len(room):
                raise FeedError(
                    f"{path.name}: the file was cut short while it was read; send it again when it is whole."
                )
            have += got
            final = at + have >= stop
            data = np.frombuffer(buffer, np.uint8, count=have)
            count = count_records(data, marks, final)
            if count.used:
                del data, room
                yield _Stretch(at, at + count.used), count.records, count.careful, False
                at += count.used
                buffer[: have - count.used] = buffer[count.used : have]
                have -= count.used
                if len(buffer) > 4 * CHUNK_BYTES and have < CHUNK_BYTES:
                    buffer = bytearray(buffer[:have]) + bytearray(CHUNK_BYTES - have)
            elif have > marks.record_bytes:
                del data, room
                end = _line_end_after(file, at + have, stop, marks)
                yield _Stretch(at, end), 1, True, True
                at, have = end, 0
                file.seek(at)
            else:
                del data, room
                buffer = buffer + bytearray(len(buffer))


_kept = threading.local()


def load(file: BinaryIO, start: int, size: int) -> memoryview:
    """`size` bytes from `start` on, or fewer at the file's end, in memory that this thread uses again the next time.

    Fresh memory for every piece would cost three times the copying.
    """
    room: bytearray | None = getattr(_kept, "room", None)
    if room is None or len(room) < size:
        room = bytearray(size)
        if size <= 2 * PIECE_BYTES:
            _kept.room = room
    file.seek(start)
    view = memoryview(room)
    return view[: fill(file, view[:size])]


def fill(file: BinaryIO, room: memoryview) -> int:
    """Reads on into `room`; how many bytes were read, fewer than it holds only at the file's end."""
    done = 0
    while done < len(room):
        got = file.readinto(room[done:])  # type: ignore[attr-defined]
        if not got:
            break
        done += int(got)
    return done


def _line_end_after(file: BinaryIO, at: int, stop: int, marks: Marks) -> int:
    file.seek(at)
    mark = bytes([marks.line_end])
    while at < stop:
        chunk = file.read(min(CHUNK_BYTES, stop - at))
        found = chunk.find(mark)
        if found >= 0:
            return at + found + 1
        if not chunk:
            break
        at += len(chunk)
    return stop


def parts_of(unit: WorkUnit, few: int) -> Iterator[WorkUnit]:
    """A unit parted where its pieces end, into stretches of some `few` records or FINER_BYTES."""
    start, first = unit.start, unit.first_record
    cuts: list[int] = []
    pieces = pieces_of(unit)
    for place, (begin, stop, record, records) in enumerate(pieces, 1):
        cuts += [begin, record]
        after = record + records
        if place == len(pieces) or after - first >= few or stop - start >= FINER_BYTES:
            yield replace(unit, first_record=first, records=after - first, start=start, stop=stop, cuts=tuple(cuts))
            start, first, cuts = stop, after, []


def pieces_of(unit: WorkUnit) -> list[tuple[int, int, int, int]]:
    """Start, stop, first record number and number of records of a unit's pieces."""
    starts, firsts = unit.cuts[0::2], unit.cuts[1::2]
    stops = (*starts[1:], unit.stop)
    nexts = (*firsts[1:], unit.first_record + (unit.records or 0))
    return [
        (start, stop, first, after - first)
        for start, stop, first, after in zip(starts, stops, firsts, nexts, strict=True)
    ]
