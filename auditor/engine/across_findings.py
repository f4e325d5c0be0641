"""Findings across listings, kept in a file per feed until they meet the feed's own findings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
import pyarrow as pa

from auditor.engine.table_files import read_tables, whole_records

Tables = Iterator[pa.Table]


class AcrossFindings:
    """Takes findings by feed, then record, and gives those of a feed back a part at a time."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._feeds: set[int] = set()

    def take(self, found: Iterable[tuple[int, pa.Table]]) -> Iterator[tuple[int, pa.Table]]:
        """Keeps all (feed number, findings) and passes them on."""
        writer: pa.RecordBatchFileWriter | None = None
        try:
            for number, table in found:
                if number not in self._feeds:
                    if writer is not None:
                        writer.close()
                    writer = pa.ipc.new_file(str(self._path(number)), table.schema)
                    self._feeds.add(number)
                assert writer is not None
                writer.write_table(table.combine_chunks())
                yield number, table
        finally:
            if writer is not None:
                writer.close()

    def of(self, number: int) -> Tables:
        """The findings of a feed by record, in parts that never end within a record."""
        if number in self._feeds:
            yield from whole_records(read_tables(self._path(number)))

    def _path(self, number: int) -> Path:
        return self._folder / f"extras-{number}.arrow"


class RecordCursor:
    """Cuts a stream of findings ordered by record at records asked for."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables
        self._next: pa.Table | None = next(tables, None)

    def before(self, record: int) -> Tables:
        """The findings of records below `record` that were not given before."""
        while self._next is not None:
            end = int(np.searchsorted(self._next["record"].to_numpy(), record))
            if end:
                yield self._next.slice(0, end)
            if end < self._next.num_rows:
                self._next = self._next.slice(end)
                return
            self._next = next(self._tables, None)

    @property
    def end(self) -> int | None:
        """The last record of the piece that comes next; None where nothing is left."""
        return None if self._next is None else int(self._next["record"][-1].as_py())
