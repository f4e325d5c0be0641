"""Copies the records of a delimited text to the released and the held file, each record in its own bytes."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import IO, BinaryIO, cast

import numpy as np
import numpy.typing as npt

from auditor.feeds.csv_pieces import TextShape, piece_spans, runs_of
from auditor.feeds.csv_units import fill, pieces_of
from auditor.feeds.model import HELD, RELEASED, WorkUnit
from auditor.feeds.spool import create_packed
from auditor.feeds.stopping import raise_if_stopped

_AHEAD = 2  # pieces in memory: one is written while the records of the next are found


@dataclass(frozen=True, slots=True)
class TextSource:
    """What is known of the text that is to be parted."""

    path: Path
    shape: TextShape
    data_start: int
    record_bytes: int  # a longer record was rejected
    compression: str | None
    wide_encoding: str | None
    byte_order_mark: bytes


@dataclass(frozen=True, slots=True)
class _Piece:
    start: int
    stop: int
    first: int
    records: int
    careful: bool


@dataclass(frozen=True, slots=True)
class _Parted:
    """The runs of records of a piece that go to each file, lying in `room`."""

    room: bytearray
    released: list[memoryview]
    held: list[memoryview]


def split_text(
    source: TextSource, units: Iterable[WorkUnit], released: Path, held: Path, disposition: npt.NDArray[np.uint8]
) -> None:
    """Writes both files; what stands above the data, titles and header, goes to both."""
    with (
        source.path.open("rb", buffering=0) as file,
        create_packed(released, source.compression) as released_file,
        create_packed(held, source.compression) as held_file,
    ):
        head = file.read(source.data_start)
        for out in (released_file, held_file):
            out.write(source.byte_order_mark)
            _write(source, out, [memoryview(head)])
        for part in _parted_ahead(source, units, cast(BinaryIO, file), disposition):
            raise_if_stopped()
            _write(source, released_file, part.released)
            _write(source, held_file, part.held)


def _parted_ahead(
    source: TextSource, units: Iterable[WorkUnit], file: BinaryIO, disposition: npt.NDArray[np.uint8]
) -> Iterator[_Parted]:
    """The pieces in order, found in another thread; a part's memory is used again once the next part is asked for."""
    pieces = [_Piece(*piece, unit.careful) for unit in units for piece in pieces_of(unit)]
    # A piece beyond the limit for a record is one record, which was rejected.
    pieces = [one for one in pieces if one.records > 1 or one.stop - one.start <= source.record_bytes]
    most = max((one.stop - one.start for one in pieces), default=0)
    rooms = [bytearray(most) for _ in range(min(_AHEAD, len(pieces)))]
    if len(pieces) == 1:  # a thread would take longer to start
        yield _parted(source, file, pieces[0], disposition, rooms[0])
        return
    waiting: deque[Future[_Parted]] = deque()
    with ThreadPoolExecutor(1, thread_name_prefix="split") as finder:
        for piece in pieces:
            if not rooms:
                part = waiting.popleft().result()
                yield part
                rooms.append(part.room)
            waiting.append(finder.submit(_parted, source, file, piece, disposition, rooms.pop()))
        while waiting:
            yield waiting.popleft().result()


def _parted(
    source: TextSource, file: BinaryIO, piece: _Piece, disposition: npt.NDArray[np.uint8], room: bytearray
) -> _Parted:
    file.seek(piece.start)
    raw = memoryview(room)[: piece.stop - piece.start]
    raw = raw[: fill(file, raw)]
    dispositions = disposition[piece.first - 1 : piece.first - 1 + piece.records]
    spans = piece_spans(np.frombuffer(raw, np.uint8), source.shape, piece.records, piece.careful)
    return _Parted(room, *(runs_of(raw, spans, np.flatnonzero(dispositions == wanted)) for wanted in (RELEASED, HELD)))


def _write(source: TextSource, out: IO[bytes], runs: Sequence[memoryview]) -> None:
    if source.wide_encoding:
        text = b"".join(runs).replace(b"\xff", b"")  # marks a file that ends in the middle of a character
        out.write(text.decode("utf-8", "surrogatepass").encode(source.wide_encoding, "surrogatepass"))
    elif source.compression:
        out.write(b"".join(runs))
    else:
        out.writelines(runs)
