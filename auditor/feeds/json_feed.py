"""JSON feeds: one object per line, or one document with a list of objects, which may hold others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.errors import FeedError
from auditor.feeds.accounts import count_lines
from auditor.feeds.csv_pieces import TextShape, gather, piece_spans
from auditor.feeds.csv_units import parts_of, pieces_of, plan_units
from auditor.feeds.json_cells import Parsed, parse_lines
from auditor.feeds.json_keys import SAMPLE_BYTES, lines_at
from auditor.feeds.json_values import LEVELS, Key, flat_object, whole_text
from auditor.feeds.model import HELD, RELEASED, Block, FileFeed, Limits, Rejected, WorkUnit
from auditor.feeds.record_spans import REASONS, TOO_LONG, Marks
from auditor.feeds.spool import create_packed
from auditor.feeds.stopping import raise_if_stopped

TEXT_SHOWN = 2000


@dataclass(frozen=True, slots=True)
class JsonFeed(FileFeed):
    """Objects of a JSON source, one per line in `path`; headers are the keys, `outer.inner` where nested."""

    data_start: int
    data_stop: int
    limits: Limits
    compression: str | None = None
    before: str = ""  # what stands before and after the objects, where the source is one document
    after: str = ""
    keys: tuple[Key, ...] = ()  # one per header
    further: tuple[int, ...] = ()  # where objects begin that have keys which the first ones have not
    levels: int = LEVELS  # of objects within objects whose members are columns
    objects: int | None = None  # lines that were made of one document
    fault: str | None = None  # why the last of them is no object
    sheet: str | None = None
    format: str = "jsonl"

    def _marks(self) -> Marks:
        return Marks(0, 0, 10, 1, self.limits.record_bytes)

    def _shape(self) -> TextShape:
        return TextShape("utf-8", ",", "", self._marks())

    def units(self) -> Iterator[WorkUnit]:
        """Stretches of whole lines."""
        return plan_units(self.path, self.data_start, self.data_stop, self._marks())

    def finer(self, unit: WorkUnit, records: int) -> Iterator[WorkUnit]:
        """Stretches of a few pieces."""
        return parts_of(unit, records)

    def read(self, unit: WorkUnit, columns: Sequence[int]) -> Block:
        """Reads the asked keys; a line that is no JSON object is rejected."""
        keys = [self.keys[position] for position in columns]
        parts: list[list[pa.Array]] = [[] for _ in columns]
        numbers: list[npt.NDArray[np.int64]] = []
        rejected: list[Rejected] = []
        for start, raw, first, records in self._pieces(unit):
            parsed = self._parse(raw, keys, first, records, unit.careful)
            for part, column in zip(parts, parsed.columns, strict=True):
                part.append(column)
            numbers.append(parsed.positions + first)
            rejected += [
                Rejected(self.name, None, first + position, start + offset, reason, text[:TEXT_SHOWN])
                for position, offset, reason, text in parsed.faults
            ]
        arrays = [pa.concat_arrays(part) for part in parts]
        return Block(unit.index, arrays, np.concatenate(numbers), tuple(rejected))

    def _parse(self, raw: bytes, keys: Sequence[Key], first: int, records: int, careful: bool) -> Parsed:
        if records == 1 and len(raw) > self.limits.record_bytes:
            text = raw[:TEXT_SHOWN].decode("utf-8", "replace")
            nothing = [pa.array([], pa.string()) for _ in keys]
            return Parsed(nothing, np.zeros(0, np.int64), [(0, 0, REASONS[TOO_LONG], text)])
        spans = piece_spans(np.frombuffer(raw, np.uint8), self._shape(), records, careful)
        last = (self.objects or 0) - first
        known = {last: self.fault} if self.fault and 0 <= last < records else {}
        return parse_lines(raw, spans, keys, known, self.levels)

    def blocks(self, unit: WorkUnit, columns: Sequence[int]) -> Iterator[Block]:
        """One block per unit."""
        yield self.read(unit, columns)

    def _pieces(self, unit: WorkUnit) -> Iterator[tuple[int, bytes, int, int]]:
        with self.path.open("rb") as file:
            for start, stop, first, records in pieces_of(unit):
                file.seek(start)
                yield start, file.read(stop - start), first, records

    def counted_records(self, breaks: int) -> int:
        """Every line holds one object."""
        lines = count_lines(self.path, self.data_start, self.data_stop, b"\n")
        if self.objects is not None and lines != self.objects:
            raise FeedError(f"The JSON document holds {self.objects:,} objects, but {lines:,} were kept.")
        return lines

    def sample(self, records: int) -> list[list[str]]:
        """The first values of every key, also of those that the first objects have not."""
        if self.data_start >= self.data_stop:
            return [[] for _ in self.headers]
        lines = _first_lines(self.path, self.data_start, records)
        lines += lines_at(self.path, self.further, self.limits.record_bytes)
        rows = [flat_object(line.decode("utf-8", "replace").encode(), self.levels) or {} for line in lines]
        return [[whole_text(row.get(header, "")) for row in rows] for header in self.headers]

    def split(self, released: Path, held: Path, disposition: npt.NDArray[np.uint8]) -> None:
        """Copies each object's own text; a document gets its brackets and whatever stood around the list again."""
        with create_packed(released, self.compression) as out, create_packed(held, self.compression) as other:
            for target, wanted in ((out, RELEASED), (other, HELD)):
                target.write(self.before.encode("utf-8", "surrogateescape"))
                written = False
                for unit in self.units():
                    for _, raw, first, records in self._pieces(unit):
                        raise_if_stopped()
                        spans = piece_spans(np.frombuffer(raw, np.uint8), self._shape(), records, unit.careful)
                        chosen = np.flatnonzero(disposition[first - 1 : first - 1 + records] == wanted)
                        text = gather(memoryview(raw), spans, chosen)
                        if self.format == "json" and text:
                            text = (b",\n" if written else b"") + text.rstrip(b"\n").replace(b"\n", b",\n")
                            written = True
                        target.write(text)
                if self.format == "json":
                    target.write(b"\n" if written else b"")
                target.write(self.after.encode("utf-8", "surrogateescape"))


def _first_lines(path: Path, start: int, records: int) -> list[bytes]:
    with path.open("rb") as file:
        file.seek(start)
        return [line for line in file.read(SAMPLE_BYTES).split(b"\n")[:records] if line.strip()]
