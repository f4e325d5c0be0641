"""`folded.parquet`: every finding that is folded under one of its column, with the key it would have alone."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from types import TracebackType
from typing import Protocol

import pyarrow as pa
import pyarrow.parquet as pq

from auditor.engine.feed_run import FeedRun

# Of findings that wait until their feed is known; what folding needs of any finding.
WAITING = [
    *("record", "supplier", "sku", "part_number", "gtin", "key", "rule", "grade", "source", "field", "column"),
    *("stated", "derived", "deviation", "marking", "direction", "order"),
]
# What its own row in a supplier's file needs, beside what is known of the column as a whole.
_ROW = ("supplier", "sku", "part_number", "gtin", "rule", "field", "column", "stated", "derived", "marking")
FOLDED_SCHEMA: pa.Schema = pa.schema(
    [
        ("feed", pa.string()),
        ("sheet", pa.string()),
        ("record", pa.int64()),
        ("grade", pa.string()),
        ("key", pa.string()),
        ("column_key", pa.string()),
        *((name, pa.string()) for name in _ROW),
    ]
)
_REPEATING = ["feed", "sheet", "grade", "column_key", "supplier", "rule", "field", "column", "derived", "marking"]
_ROW_GROUP = 1 << 16


class FoldedSink(Protocol):
    """What takes folded findings."""

    def append(self, run: FeedRun, findings: pa.Table, column_keys: pa.Array, *, whole_rows: bool) -> None:
        """Takes findings by record, and the keys of the findings that they are folded under.

        With `whole_rows` all findings of a record are folded under one, which counts records.
        """


class FoldedWriter:
    """Streams folded findings to a file, in the order of feeds and records.

    One row group is written in a thread of its own while the next one is gathered.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / "folded.parquet"
        # Identifiers are all different: looking for repetition in them takes longer than writing them.
        self._file = pq.ParquetWriter(
            self.path, FOLDED_SCHEMA, compression="zstd", compression_level=1, use_dictionary=_REPEATING
        )
        self._waiting = FOLDED_SCHEMA.empty_table()
        self._beside = ThreadPoolExecutor(1, "folded")
        self._written: Future[None] | None = None

    def append(self, run: FeedRun, findings: pa.Table, column_keys: pa.Array, *, whole_rows: bool = False) -> None:
        """See `FoldedSink`; the file has every finding, whatever is counted."""
        count = findings.num_rows
        table = pa.table(
            {
                "feed": pa.repeat(pa.scalar(run.feed.name, pa.string()), count),
                "sheet": pa.repeat(pa.scalar(run.feed.sheet, pa.string()), count),
                **{name: findings[name] for name in ("record", "grade", "key")},
                "column_key": column_keys,
                **{name: findings[name] for name in _ROW},
            }
        )
        self._waiting = pa.concat_tables([self._waiting, table.cast(FOLDED_SCHEMA)])
        while self._waiting.num_rows >= _ROW_GROUP:  # the same row groups, wherever the parts that came in ended
            self._write(self._waiting.slice(0, _ROW_GROUP))
            self._waiting = self._waiting.slice(_ROW_GROUP)

    def _write(self, group: pa.Table) -> None:
        """Begins to write a row group once the one before is written; raises what became of that."""
        self._settle()
        self._written = self._beside.submit(lambda: self._file.write_table(group.combine_chunks()))

    def _settle(self) -> None:
        written, self._written = self._written, None
        if written is not None:
            written.result()

    def __enter__(self) -> FoldedWriter:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            if kind is None and self._waiting.num_rows:
                self._write(self._waiting)
            self._settle()
        finally:
            self._beside.shutdown()
            self._file.close()
