"""What the audit of a unit leaves: files in the run's work folder, named after its feed and its place in it.

Whoever audits a unit writes them, a thread or a process; whoever puts the feed together reads them in the order of the
units.  Nothing else passes from one to the other but a few counts.
"""

from __future__ import annotations

import pickle
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import TracebackType
from typing import IO, Any, Literal, NamedTuple

import pyarrow as pa

from auditor.engine.table_files import read_tables
from auditor.mapping.shared_parts import shared

Tables = Literal["findings", "waiting", "samples", "cells"]
Objects = Literal["pieces", "rejected"]  # of a piece: its counts, and what its listings are compared by
Kind = Tables | Objects | Literal["whole"]  # the last: all that a small unit leaves
WHOLE: frozenset[Kind] = frozenset(("whole",))
_SPOOLED_ROWS = 1 << 15  # findings in one piece of a file: a block may hold a million


def _pickled(one: object) -> bytes:
    return pickle.dumps(one, protocol=pickle.HIGHEST_PROTOCOL)


def part_path(folder: Path, kind: Kind, feed: int, part: int) -> Path:
    return folder / f"{kind}-{feed}-{part}"


class PartWriter:
    """Writes the files of one unit; those of an attempt that broke off are written over."""

    def __init__(self, folder: Path, feed: int, part: int) -> None:
        self._where = folder, feed, part
        self._tables: dict[Tables, pa.RecordBatchFileWriter] = {}
        self._objects: dict[Objects, IO[bytes]] = {}

    @property
    def kinds(self) -> frozenset[Kind]:
        """The files that were written."""
        return frozenset((*self._tables, *self._objects))

    def table(self, kind: Tables, table: pa.Table | None) -> None:
        """Adds rows, where there are any."""
        if table is None:
            return
        if kind not in self._tables:
            folder, feed, part = self._where
            self._tables[kind] = pa.ipc.new_file(str(part_path(folder, kind, feed, part)), table.schema)
        self._tables[kind].write_table(table.combine_chunks(), max_chunksize=_SPOOLED_ROWS)

    def object(self, kind: Objects, one: object) -> None:
        """Adds an object."""
        if kind not in self._objects:
            folder, feed, part = self._where
            self._objects[kind] = part_path(folder, kind, feed, part).open("wb")
        self._objects[kind].write(_pickled(one))

    def __enter__(self) -> PartWriter:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for file in (*self._tables.values(), *self._objects.values()):
            file.close()


class Within(NamedTuple):
    """Where all that a small unit left stands: in the file of which unit, from which byte on, how many bytes."""

    feed: int
    part: int
    start: int
    size: int

    def read(self, folder: Path) -> bytes:
        """The bytes."""
        with part_path(folder, "whole", self.feed, self.part).open("rb", buffering=0) as file:
            file.seek(self.start)
            return file.read(self.size)


class Left:
    """What a small unit leaves, kept until it goes to the file; it is used as a `PartWriter`."""

    def __init__(self) -> None:
        self.held: dict[Tables | Objects, list[Any]] = {}

    def table(self, kind: Tables, table: pa.Table | None) -> None:
        """Adds rows, where there are any."""
        if table is not None:
            stream = pa.BufferOutputStream()
            with pa.ipc.new_stream(stream, table.schema) as writer:
                writer.write_table(table)
            self.object(kind, stream.getvalue().to_pybytes())

    def object(self, kind: Tables | Objects, one: object) -> None:
        """Adds an object."""
        self.held.setdefault(kind, []).append(one)


class TogetherWriter:
    """Writes what small units leave to one file: to create a file for each would cost more than their rules."""

    def __init__(self, folder: Path, feed: int, part: int) -> None:
        """The file is called after the first of the units."""
        self._where = feed, part
        self._file = part_path(folder, "whole", feed, part).open("wb")
        self._end = 0

    def add(self, left: Left) -> Within:
        """Adds what one unit left."""
        # Each kind by itself, so that who wants one does not make the objects of the others.
        by_kind = {kind: _pickled(objects) for kind, objects in left.held.items()}
        size = self._file.write(_pickled(by_kind))
        self._end += size
        return Within(*self._where, self._end - size, size)

    def __enter__(self) -> TogetherWriter:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()


@dataclass(slots=True)
class FeedParts:
    """The files of a feed's units, in order, as far as they were taken in."""

    folder: Path
    feed: int
    kinds: list[frozenset[Kind]] = field(default_factory=list)  # by unit
    within: dict[int, Within] = field(default_factory=dict)  # units whose files are parts of another one's

    def add(self, kinds: frozenset[Kind], within: Within | None = None) -> int:
        """Takes in the next unit; its place."""
        self.kinds.append(shared(kinds))
        if within is not None:
            self.within[len(self.kinds) - 1] = within
        return len(self.kinds) - 1

    def tables(self, kind: Tables) -> Iterator[pa.Table]:
        """The rows of a kind, a piece at a time."""
        for part in range(len(self.kinds)):
            for stream in self._held(kind, part):
                yield pa.ipc.open_stream(stream).read_all()
            for path in self._paths(kind, (part,)):
                yield from read_tables(path)

    def objects(self, kind: Objects, parts: Sequence[int] | None = None) -> Iterator[Any]:
        """The objects of a kind, of all units or of some."""
        for part in range(len(self.kinds)) if parts is None else parts:
            yield from self._held(kind, part)
            for path in self._paths(kind, (part,)):
                with path.open("rb") as file:
                    while True:
                        try:
                            yield pickle.load(file)
                        except EOFError:
                            break

    def remove(self, kind: Kind, part: int) -> None:
        """Removes a file that is no longer needed; one that holds other things as well stays."""
        for path in self._paths(kind, (part,)):
            path.unlink()

    def of_feed(self, name: str) -> Path:
        """Where something of the feed as a whole lies."""
        return self.folder / f"{name}-{self.feed}.arrow"

    def _held(self, kind: Tables | Objects, part: int) -> list[Any]:
        """What a small unit left of a kind; nothing of those that only larger ones have."""
        if "whole" not in self.kinds[part] or kind in ("waiting", "samples"):
            return []
        within = self.within.get(part)
        path = part_path(self.folder, "whole", self.feed, part)
        by_kind = pickle.loads(path.read_bytes() if within is None else within.read(self.folder))
        held: list[Any] = pickle.loads(by_kind[kind]) if kind in by_kind else []
        return held

    def _paths(self, kind: Kind, parts: Sequence[int]) -> Iterator[Path]:
        for part in parts:
            if kind in self.kinds[part]:
                yield part_path(self.folder, kind, self.feed, part)
