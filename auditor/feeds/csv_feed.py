"""Delimited text feeds: CSV and its dialects, plain or compressed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, cast

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.feeds.accounts import count_lines
from auditor.feeds.csv_pieces import Fault, Piece, TextShape, read_piece
from auditor.feeds.csv_split import TextSource, split_text
from auditor.feeds.csv_units import load, parts_of, pieces_of, plan_units
from auditor.feeds.dialect import Dialect
from auditor.feeds.faulty_spans import count_records
from auditor.feeds.model import Block, FileFeed, Limits, Rejected, WorkUnit
from auditor.feeds.record_spans import Marks

TEXT_SHOWN = 2000
SAMPLE_BYTES = 2 << 20
BLOCK_CELL_BYTES = 32 << 20


@dataclass(frozen=True, slots=True)
class _Read:
    """A piece with its first byte and its first record number."""

    start: int
    first: int
    piece: Piece


@dataclass(frozen=True, slots=True)
class CsvFeed(FileFeed):
    """A delimited text.  `path` is plain text in UTF-8 or a single-byte encoding; `source` is the file as sent."""

    dialect: Dialect
    data_stop: int  # blank lines at the very end are no records
    limits: Limits
    compression: str | None = None
    wide_encoding: str | None = None  # UTF-16 or UTF-32 of the file as sent, rewritten as UTF-8 in `path`
    byte_order_mark: bytes = b""  # of the wide encoding
    sheet: str | None = None
    format: str = "csv"

    def units(self) -> Iterator[WorkUnit]:
        """Stretches of whole records, up to 32 MiB or some 128k records each."""
        return plan_units(self.path, self.dialect.data_start, self.data_stop, self.shape().marks)

    def finer(self, unit: WorkUnit, records: int) -> Iterator[WorkUnit]:
        """Stretches of a few pieces."""
        return parts_of(unit, records)

    def read(self, unit: WorkUnit, columns: Sequence[int]) -> Block:
        """Reads a unit piece by piece, so that its whole text is never held."""
        return self._block(unit, list(self._pieces(unit, columns)), len(columns))

    def blocks(self, unit: WorkUnit, columns: Sequence[int]) -> Iterator[Block]:
        """A block for so many pieces of a unit as their asked cells fill BLOCK_CELL_BYTES."""
        pieces: list[_Read] = []
        size = 0
        for piece in self._pieces(unit, columns):
            pieces.append(piece)
            size += sum(chunk.nbytes for column in piece.piece.columns for chunk in column)
            if size >= BLOCK_CELL_BYTES:
                block = self._block(unit, pieces, len(columns))
                pieces.clear()
                size = 0
                yield block
                del block
        if pieces:
            yield self._block(unit, pieces, len(columns))

    def _pieces(self, unit: WorkUnit, columns: Sequence[int]) -> Iterator[_Read]:
        shape = self.shape()
        with self.path.open("rb", buffering=0) as file:
            for start, stop, first, records in pieces_of(unit):
                raw = self._load(cast(BinaryIO, file), start, stop, records)
                yield _Read(start, first, read_piece(raw, shape, columns, records, unit.careful))

    def _block(self, unit: WorkUnit, pieces: Sequence[_Read], columns: int) -> Block:
        nothing = pa.array([], pa.string())
        arrays = [
            pa.concat_arrays([chunk for read in pieces for chunk in read.piece.columns[position]] or [nothing])
            for position in range(columns)
        ]
        numbers = np.concatenate([read.piece.positions + read.first for read in pieces])
        faults = [self._rejected(fault, read.start, read.first) for read in pieces for fault in read.piece.faults]
        breaks = sum(read.piece.breaks for read in pieces)
        return Block(unit.index, arrays, numbers, tuple(faults), breaks)

    def counted_records(self, breaks: int) -> int:
        """Every line is a record, but for the line ends within cells."""
        mark = b"\r" if self.dialect.line_end == "\r" else b"\n"
        return count_lines(self.path, self.dialect.data_start, self.data_stop, mark) - breaks

    def sample(self, records: int) -> list[list[str]]:
        """The first cells of every column, and some from stretches further down."""
        cells: list[list[str]] = [[] for _ in self.headers]
        begin, size = self.dialect.data_start, self.data_stop - self.dialect.data_start
        starts = [begin] + [begin + size * step // 5 for step in range(1, 5) if size > 16 * SAMPLE_BYTES]
        for start in starts:
            for column, more in zip(cells, self._sample_at(start, records if start == begin else 200), strict=True):
                column.extend(more)
        return cells

    def _sample_at(self, start: int, records: int) -> list[list[str]]:
        with self.path.open("rb") as file:
            if start != self.dialect.data_start:
                file.seek(start)
                start += len(file.readline(SAMPLE_BYTES))
            for size in (SAMPLE_BYTES // 4, SAMPLE_BYTES):
                file.seek(start)
                raw = file.read(min(size, self.data_stop - start))
                count = count_records(
                    np.frombuffer(raw, np.uint8), self.shape().marks, start + len(raw) >= self.data_stop
                )
                if count.records >= records and not count.careful:
                    break
        if not count.used:
            return [[] for _ in self.headers]
        piece = read_piece(raw[: count.used], self.shape(), range(len(self.headers)), count.records, count.careful)
        whole = [pa.chunked_array(column, pa.string()) for column in piece.columns]
        return [column.slice(0, records).to_pylist() for column in whole]

    def split(self, released: Path, held: Path, disposition: npt.NDArray[np.uint8]) -> None:
        """Copies each record's own bytes; what stands above the data, titles and header, goes to both files."""
        source = TextSource(
            self.path,
            self.shape(),
            self.dialect.data_start,
            self.limits.record_bytes,
            self.compression,
            self.wide_encoding,
            self.byte_order_mark,
        )
        split_text(source, self.units(), released, held, disposition)

    def _load(self, file: BinaryIO, start: int, stop: int, records: int) -> memoryview:
        """The bytes of a piece, until the next one is loaded; of an endless record only enough to show it."""
        size = stop - start
        return load(file, start, size if records > 1 else min(size, self.limits.record_bytes + 1))

    def _rejected(self, fault: Fault, start: int, first: int) -> Rejected:
        text = fault.text.decode(self.dialect.encoding, "replace").rstrip("\r\n")[:TEXT_SHOWN]
        offset = None if self.wide_encoding else start + fault.offset
        return Rejected(self.name, self.sheet, first + fault.position, offset, fault.reason, text)

    def shape(self) -> TextShape:
        """The dialect as the record finder needs it."""
        dialect = self.dialect
        marks = Marks(
            delimiter=ord(dialect.delimiter),
            quote=ord(dialect.quote) if dialect.quote else 0,
            line_end=13 if dialect.line_end == "\r" else 10,
            columns=max(len(self.headers), 1),
            record_bytes=self.limits.record_bytes,
        )
        return TextShape(dialect.encoding, dialect.delimiter, dialect.quote, marks)


def end_of_data(path: Path, data_start: int) -> int:
    """The byte after the last record's line end: a run of blank lines at the end of the file is set aside."""
    size = path.stat().st_size
    with path.open("rb") as file:
        at = size
        while at > data_start:
            low = max(data_start, at - (1 << 16))
            file.seek(low)
            tail = file.read(at - low)
            kept = tail.rstrip(b"\r\n")
            if kept:
                line_end = tail[len(kept) :]
                one = 2 if line_end.startswith(b"\r\n") else min(1, len(line_end))
                if len(line_end) < 2 and low + len(tail) < size:  # the line end may go on in the part set aside
                    file.seek(low + len(kept))
                    one = 2 if file.read(2) == b"\r\n" else 1
                return low + len(kept) + one
            at = low
    return data_start
