"""Writes the released and held files of a Parquet feed: dictionaries stay dictionaries, reading and writing overlap."""

from __future__ import annotations

import base64
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.parquet as pq

from auditor.errors import FeedError
from auditor.feeds.model import HELD, REJECTED, RELEASED
from auditor.feeds.stopping import raise_if_stopped

GROUP_RECORDS = 1 << 17  # in a row group of the released and held files
GROUP_BYTES = 32 << 20  # and of cells as encoded; long texts make row groups shorter
BATCH_RECORDS = 1 << 14  # decoded and filtered at a time: what the processor's caches hold
BATCH_BYTES = 8 << 20
FEWEST_RECORDS = 256  # in a batch, however long its texts


@dataclass(frozen=True, slots=True)
class ParquetSource:
    """What is known of the file that is to be parted."""

    name: str  # of the feed, for messages
    path: Path
    codec: str
    group_records: tuple[int, ...]
    few_distinct: frozenset[str]  # text columns that are read as dictionaries
    many_distinct: frozenset[str]  # text columns for which a dictionary is of no use
    record_bytes: float  # as encoded

    def open(self) -> pq.ParquetFile:
        """The file, with a dictionary for each column of few distinct texts."""
        return pq.ParquetFile(
            self.path, read_dictionary=sorted(self.few_distinct), buffer_size=1 << 20, pre_buffer=False
        )


def split_parquet(source: ParquetSource, released: Path, held: Path, disposition: npt.NDArray[np.uint8]) -> None:
    """Filters the row groups batch by batch; schema, types and compression stay as they are.

    While one row group is encoded, the next one is read.  Raises FeedError where records that were audited cannot be
    read whole.
    """
    released.parent.mkdir(parents=True, exist_ok=True)
    held.parent.mkdir(parents=True, exist_ok=True)
    counts = np.bincount(disposition, minlength=HELD + 1)
    encoder = _Encoder()
    parts = []
    try:
        for target, wanted in ((released, RELEASED), (held, HELD)):
            parts.append(_Part(source, target, wanted, bool(4 * counts[wanted] >= 3 * len(disposition)), encoder))
        first = 0
        for group, records in enumerate(source.group_records):
            _copy(source, group, disposition[first : first + records], parts)
            first += records
        for part in parts:
            part.finish()
    finally:
        encoder.close()
        for part in parts:
            part.writer.close()


def _copy(source: ParquetSource, group: int, dispositions: npt.NDArray[np.uint8], parts: Sequence[_Part]) -> None:
    """Hands the records of a row group to the parts, as far as they could be read when they were audited."""
    kept = np.flatnonzero(dispositions != REJECTED)
    dispositions = dispositions[: int(kept[-1]) + 1] if len(kept) else dispositions[:0]
    if not len(dispositions):  # none was readable
        return
    at = 0
    try:
        for batch in _batches(source, group, _batch_records(source)):
            at += _take(batch, dispositions[at:], parts)
            if at >= len(dispositions):
                break
    except (OSError, pa.ArrowException):
        at += _copy_damaged(source, group, dispositions, at, parts)
    for part in parts:
        part.end_of_group()


def _copy_damaged(
    source: ParquetSource, group: int, dispositions: npt.NDArray[np.uint8], at: int, parts: Sequence[_Part]
) -> int:
    """The rest of the readable records of a row group that is damaged behind them, in one batch that ends with them."""
    try:
        whole = next(_batches(source, group, len(dispositions)))
    except (OSError, pa.ArrowException) as error:
        why = (str(error).strip().splitlines() or ["unreadable"])[0].rstrip(".")
        raise FeedError(
            f"{source.name}: row group {group + 1} is damaged in a column that no rule reads ({why}), so that its "
            "listings cannot be parted into released and held; ask for the file again."
        ) from error
    return _take(whole.slice(at), dispositions[at:], parts)


def _batches(source: ParquetSource, group: int, records: int) -> Iterator[pa.RecordBatch]:
    batches: Iterator[pa.RecordBatch] = source.open().iter_batches(
        batch_size=records, row_groups=[group], use_threads=False
    )
    return batches


def _batch_records(source: ParquetSource) -> int:
    fitting = int(BATCH_BYTES / max(source.record_bytes, 1.0))
    return min(BATCH_RECORDS, max(FEWEST_RECORDS, fitting))


def _take(batch: pa.RecordBatch, dispositions: npt.NDArray[np.uint8], parts: Sequence[_Part]) -> int:
    raise_if_stopped()
    here = dispositions[: batch.num_rows]
    batch = batch.slice(0, len(here))
    for part in parts:
        part.take(batch, here == part.wanted)
    return len(here)


class _Encoder:
    """A thread that encodes one row group at a time, in the order in which they come."""

    def __init__(self) -> None:
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="encode")
        self._last: Future[None] | None = None

    def write(self, writer: pq.ParquetWriter, table: pa.Table) -> None:
        """Has a table written as one row group, once the table before is done."""
        self.wait()
        self._last = self._pool.submit(writer.write_table, table, table.num_rows)

    def wait(self) -> None:
        """Returns when all is written; raises what writing raised."""
        if self._last is not None:
            last, self._last = self._last, None
            last.result()

    def close(self) -> None:
        """Ends the thread; a table that is being written is finished first."""
        self._pool.shutdown(wait=True, cancel_futures=True)


class _Part:
    """The released or the held file: gathers filtered batches into row groups of a useful size."""

    def __init__(
        self, source: ParquetSource, target: Path, wanted: int, keeps_dictionaries: bool, encoder: _Encoder
    ) -> None:
        """`keeps_dictionaries` is for a part that takes most records: a small part would carry many idle values."""
        self.wanted = wanted
        self._encoder = encoder
        self._schema = _schema(source) if keeps_dictionaries else source.open().schema_arrow
        self._cast = not keeps_dictionaries and bool(source.few_distinct)
        self._most = max(1, min(GROUP_RECORDS, int(GROUP_BYTES / max(source.record_bytes, 1.0))))
        self._batches: list[pa.RecordBatch] = []
        self._records = 0
        self.writer = _writer(source, target, self._schema)

    def take(self, batch: pa.RecordBatch, chosen: npt.NDArray[np.bool_]) -> None:
        """Adds the chosen records; writes a row group when there are enough."""
        count = int(np.count_nonzero(chosen))
        if not count:
            return
        if count < len(chosen):
            batch = batch.filter(pa.array(chosen))
        self._batches.append(batch.cast(self._schema) if self._cast else batch)
        self._records += count
        if self._records >= self._most:
            self._write()

    def end_of_group(self) -> None:
        """The next records have other dictionaries, so what is a useful size already becomes a row group."""
        if 2 * self._records >= self._most:
            self._write()

    def finish(self) -> None:
        """Writes what is left."""
        if self._batches:
            self._write()
        self._encoder.wait()

    def _write(self) -> None:
        table = pa.Table.from_batches(self._batches)
        self._batches, self._records = [], 0
        self._encoder.write(self.writer, table.combine_chunks() if self._cast else _one_dictionary(table))


def _schema(source: ParquetSource) -> pa.Schema:
    """The schema of the file, as it is read: with dictionaries."""
    schema = pq.ParquetFile(source.path).schema_arrow
    for name in source.few_distinct:
        position = schema.get_field_index(name)
        schema = schema.set(position, schema.field(position).with_type(pa.dictionary(pa.int32(), pa.string())))
    return schema


def _writer(source: ParquetSource, target: Path, schema: pa.Schema) -> pq.ParquetWriter:
    """A writer of tables of `schema` whose file says that its columns have the types of the source."""
    file = pq.ParquetFile(source.path)
    paths = [file.schema.column(position).path for position in range(len(file.schema))]
    writer = pq.ParquetWriter(
        target,
        schema,
        compression=source.codec,
        store_schema=False,
        use_dictionary=[path for path in paths if path not in source.many_distinct],
        # The least and greatest text of a column of dictionaries would cost a third of all that writing costs.
        write_statistics=[path for path in paths if path not in source.few_distinct],
    )
    original = file.schema_arrow
    stored = base64.b64encode(original.serialize().to_pybytes())
    writer.add_key_value_metadata({**(original.metadata or {}), b"ARROW:schema": stored})
    return writer


def _one_dictionary(table: pa.Table) -> pa.Table:
    """The table with one dictionary per column; the writer would give up a dictionary that changes on the way."""
    for column in table.columns:
        if pa.types.is_dictionary(column.type):
            first = column.chunk(0).dictionary
            if any(not chunk.dictionary.equals(first) for chunk in column.chunks[1:]):
                return table.unify_dictionaries()
    return table
