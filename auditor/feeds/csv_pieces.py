"""Reads the pieces of a delimited text: parsed columns of the sound records, and what is wrong with the others."""

from __future__ import annotations

import codecs
import threading
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.csv as pa_csv

from auditor.feeds.faulty_spans import careful_spans, count_records
from auditor.feeds.record_spans import (
    BLANK,
    BROKEN_QUOTE,
    REASONS,
    SOUND,
    TOO_LONG,
    UNCLOSED_QUOTE,
    Bytes,
    Marks,
    Spans,
    line_spans,
    sound_spans,
)

BLOCK_BYTES = 1 << 20
RAGGED, UNDECODABLE = 20, 21  # beside the faults of `auditor.feeds.record_spans`


@dataclass(frozen=True, slots=True)
class TextShape:
    """What reading a stretch of text needs to know of its dialect."""

    encoding: str
    delimiter: str
    quote: str
    marks: Marks


@dataclass(frozen=True, slots=True)
class Fault:
    """One record of a piece that is no listing: its place in the piece, why, and its first bytes."""

    position: int
    offset: int  # bytes from the piece's start
    reason: str
    text: bytes


@dataclass(frozen=True, slots=True)
class Piece:
    """Parsed columns of the sound records of a piece; `positions` are their 0-based places in it."""

    columns: list[list[pa.Array]]  # each column in chunks
    positions: npt.NDArray[np.int64]
    faults: list[Fault]
    breaks: int = 0  # line ends within cells


def piece_spans(data: Bytes, shape: TextShape, records: int, careful: bool) -> Spans:
    """Record spans of a piece, as many as were planned."""
    marks = shape.marks
    if not careful or not count_records(data, marks, True).careful:
        spans = line_spans(data, marks)
        if len(spans) == records:  # no line break in a cell, for each would make one line more
            return spans
        spans = sound_spans(data, marks)
        if len(spans) == records:
            return spans
    spans = careful_spans(data, marks, True)
    if len(spans) != records:  # the plan counted physical lines here; so do we
        spans = line_spans(data, marks)
    return spans


def read_piece(raw: bytes | memoryview, shape: TextShape, columns: Sequence[int], records: int, careful: bool) -> Piece:
    """Parses one piece; faulty records are set apart, all others keep their places.  Nothing of `raw` is kept."""
    data = np.frombuffer(raw, np.uint8)
    if records == 1 and len(raw) > shape.marks.record_bytes:
        return Piece(_nothing(columns), np.zeros(0, np.int64), [Fault(0, 0, REASONS[TOO_LONG], bytes(raw[:8000]))])
    if not careful or not count_records(data, shape.marks, True).careful:
        try:
            found = _parse(raw, shape, columns, BLOCK_BYTES, None)
            if sum(map(len, found[0])) == records:
                breaks = _lines(raw, shape) - records
                return Piece(found[: len(columns)], np.arange(records, dtype=np.int64), [], breaks)
        except (pa.ArrowInvalid, UnicodeDecodeError):
            pass
    return _read_faulty_piece(bytes(raw), data, shape, columns, records)


def _lines(raw: bytes | memoryview, shape: TextShape) -> int:
    """Lines of a text, the last one with or without its line end."""
    data = np.frombuffer(raw, np.uint8)
    if not len(data):
        return 0
    return int(np.count_nonzero(data == shape.marks.line_end)) + int(data[-1] != shape.marks.line_end)


def _breaks(data: Bytes, spans: Spans, faults: Bytes, shape: TextShape) -> int:
    """Line ends within records, as far as they may have any: one whose quotes are broken ends with its line."""
    ends = np.flatnonzero(data == shape.marks.line_end)
    lines = np.searchsorted(ends, spans.stops - 1) - np.searchsorted(ends, spans.starts)
    one_line = np.isin(faults, (BROKEN_QUOTE, UNCLOSED_QUOTE, TOO_LONG, BLANK))
    return int(lines[~one_line].sum())


def _nothing(columns: Sequence[int]) -> list[list[pa.Array]]:
    return [[] for _ in columns]


def _parse(
    raw: bytes | memoryview,
    shape: TextShape,
    columns: Sequence[int],
    block: int,
    ragged: list[tuple[int, int]] | None,
) -> list[list[pa.Array]]:
    """Parses sound text with Arrow's reader; `ragged` collects 1-based row and number of cells of ragged rows."""
    if shape.encoding != "utf-8":
        raw = bytes(raw)
        if not raw.isascii():
            raw = raw.decode(shape.encoding).encode()

    def set_aside(row: pa_csv.InvalidRow) -> str:
        assert ragged is not None
        ragged.append((int(row.number), int(row.actual_columns)))
        return "skip"

    names = [str(position) for position in columns] or ["0"]
    table = pa_csv.read_csv(
        pa.BufferReader(pa.py_buffer(raw)),
        read_options=pa_csv.ReadOptions(
            use_threads=False,
            block_size=block,
            column_names=[str(position) for position in range(shape.marks.columns)],
        ),
        parse_options=pa_csv.ParseOptions(
            delimiter=shape.delimiter,
            quote_char=shape.quote or False,
            newlines_in_values=True,
            ignore_empty_lines=False,
            invalid_row_handler=None if ragged is None else set_aside,
        ),
        convert_options=pa_csv.ConvertOptions(
            include_columns=names, column_types=dict.fromkeys(names, pa.string()), strings_can_be_null=False
        ),
    )
    return [table.column(position).chunks for position in range(len(names))]


def joined(column: pa.ChunkedArray) -> pa.Array:
    """A chunked column as one array."""
    if column.num_chunks == 1:
        return column.chunk(0)
    return pa.concat_arrays(column.chunks) if column.num_chunks else pa.array([], column.type)


def _read_faulty_piece(raw: bytes, data: Bytes, shape: TextShape, columns: Sequence[int], records: int) -> Piece:
    spans = piece_spans(data, shape, records, True)
    faults = spans.faults.copy()
    notes: dict[int, str] = {}
    for start_position, what in _undecodable(raw, shape.encoding):
        position = int(np.searchsorted(spans.stops, start_position, side="right"))
        if position < len(faults) and faults[position] == SOUND:
            faults[position] = UNDECODABLE
            notes[position] = f"The record holds bytes that are not {shape.encoding} ({what})."
    kept = np.flatnonzero(faults == SOUND)
    columns_found, sound, ragged = _parse_kept(raw, spans, kept, shape, columns)
    for position, cells in ragged.items():
        faults[position] = RAGGED
        notes[position] = (
            f"The record has {cells} cells where the header has {shape.marks.columns}."
            if cells
            else "The record cannot be split into cells."
        )
    bad = [
        Fault(
            position,
            int(spans.starts[position]),
            notes.get(position) or REASONS[int(faults[position])],
            raw[spans.starts[position] : min(int(spans.stops[position]), int(spans.starts[position]) + 8000)],
        )
        for position in np.flatnonzero(faults).tolist()
    ]
    return Piece(columns_found, sound, bad, _breaks(data, spans, faults, shape))


def _parse_kept(
    raw: bytes, spans: Spans, kept: npt.NDArray[np.int64], shape: TextShape, columns: Sequence[int]
) -> tuple[list[list[pa.Array]], npt.NDArray[np.int64], dict[int, int]]:
    """Parses the kept records; where the parser counts otherwise, halves them until the culprit stands alone."""
    if not len(kept):
        return _nothing(columns), kept, {}
    clean = gather(memoryview(raw), spans, kept)
    ragged: list[tuple[int, int]] = []
    try:
        found = _parse(clean, shape, columns, max(BLOCK_BYTES, len(clean) + 1), ragged)
        if sum(map(len, found[0])) + len(ragged) == len(kept):
            rows = np.array([row for row, _ in ragged], np.int64) - 1
            bad = {int(kept[row - 1]): cells for row, cells in ragged}
            return found[: len(columns)], np.delete(kept, rows), bad
    except (pa.ArrowInvalid, UnicodeDecodeError):
        pass
    if len(kept) == 1:
        return _nothing(columns), kept[:0], {int(kept[0]): 0}
    half = len(kept) // 2
    left, left_kept, left_bad = _parse_kept(raw, spans, kept[:half], shape, columns)
    right, right_kept, right_bad = _parse_kept(raw, spans, kept[half:], shape, columns)
    both = [[*one, *other] for one, other in zip(left, right, strict=True)]
    return both, np.concatenate([left_kept, right_kept]), left_bad | right_bad


def runs_of(raw: memoryview, spans: Spans, kept: npt.NDArray[np.int64]) -> list[memoryview]:
    """The bytes of the kept records, run by run: neighbors are one."""
    if not len(kept):
        return []
    breaks = np.flatnonzero(np.diff(kept) != 1)
    first = np.concatenate([kept[:1], kept[breaks + 1]])
    last = np.concatenate([kept[breaks], kept[-1:]])
    starts, stops = spans.starts[first].tolist(), spans.stops[last].tolist()
    return [raw[start:stop] for start, stop in zip(starts, stops, strict=True)]


def gather(raw: memoryview, spans: Spans, kept: npt.NDArray[np.int64]) -> bytes:
    """The bytes of the kept records in one text."""
    return b"".join(runs_of(raw, spans, kept))


_noted = threading.local()


def _note_and_go_on(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeDecodeError)
    _noted.positions.append((error.start, error.object[error.start : error.end].hex(" ").upper()))
    return "\ufffd", error.end


codecs.register_error("auditor-note", _note_and_go_on)


def _undecodable(raw: bytes, encoding: str) -> list[tuple[int, str]]:
    """Byte positions that the encoding has no character for, with the bytes in hexadecimal."""
    _noted.positions = []
    raw.decode(encoding, "auditor-note")
    positions: list[tuple[int, str]] = _noted.positions
    return positions
