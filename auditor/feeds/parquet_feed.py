"""Parquet feeds: row groups as work units, needed columns only, cells as a person would write them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from auditor.errors import FeedError
from auditor.feeds.json_values import FEW_LEVELS, LEVELS
from auditor.feeds.model import Block, FileFeed, Limits, Rejected, WorkUnit
from auditor.feeds.parquet_parts import part_at
from auditor.feeds.parquet_split import ParquetSource, split_parquet
from auditor.feeds.typed_cells import as_text

Leaf = tuple[int, tuple[int, ...]]  # position of the top-level column, and in each struct that of its member
BATCH_RECORDS = 1 << 17
BATCH_BYTES = 26 << 20  # of text; titles and sales texts make batches shorter
MOST_PARTS = 8  # of a row group
SAMPLE_BYTES = 16 << 20  # of a column, to judge it by
SAMPLED_GROUPS = 2  # row groups that columns are judged by
FEW_DISTINCT_BYTES = 8.0  # encoded bytes per value, below which a text column is taken to have few distinct values


@dataclass(frozen=True, slots=True)
class ParquetFeed(FileFeed):
    """A Parquet file.  `leaves` are the readable columns: top-level ones, and members of structs."""

    top_names: tuple[str, ...]  # top-level column names
    leaves: tuple[Leaf, ...]  # per header
    group_records: tuple[int, ...]
    few_distinct: frozenset[int]  # top-level positions read as dictionaries
    limits: Limits
    codec: str = "snappy"  # of the column chunks
    cell_bytes: tuple[float, ...] = ()  # mean encoded size of a cell, per top-level column
    sheet: str | None = None
    format: str = "parquet"

    def units(self) -> Iterator[WorkUnit]:
        """One unit per row group."""
        first = 1
        for group, records in enumerate(self.group_records):
            yield WorkUnit(group, first, records, group, group + 1)
            first += records

    def finer(self, unit: WorkUnit, records: int) -> Iterator[WorkUnit]:
        """Stretches of a row group: few, and none small, for whoever begins within it reads it from its beginning."""
        whole = unit.records or 0
        parts = min(MOST_PARTS, max(round(whole / records), 1))
        if parts == 1:
            yield unit
            return
        size = -(-whole // parts)
        for begin in range(0, whole, size):
            held = min(size, whole - begin)
            yield replace(unit, first_record=unit.first_record + begin, records=held, cuts=(begin, size))

    def read(self, unit: WorkUnit, columns: Sequence[int]) -> Block:
        """A whole row group as one block."""
        blocks = list(self.blocks(unit, columns))
        if len(blocks) == 1:
            return blocks[0]
        arrays = [one_array([block.columns[position] for block in blocks]) for position in range(len(columns))]
        numbers = np.concatenate([block.records for block in blocks]) if blocks else np.zeros(0, np.int64)
        rejected = tuple(record for block in blocks for record in block.rejected)
        return Block(unit.index, arrays, numbers, rejected)

    def blocks(self, unit: WorkUnit, columns: Sequence[int]) -> Iterator[Block]:
        """The row group in batches of at most some 128k records, decoded as they are taken.

        A row group whose pages are damaged gives its readable records, then one rejection per lost record.
        """
        if unit.cuts:
            yield from self._part(unit, columns)
            return
        first = unit.first_record
        names, order = self._wanted(columns)
        try:
            for batch in self._batches(unit, names):
                yield self._block(unit, first, batch, order, columns)
                first += batch.num_rows
            if first < unit.first_record + (unit.records or 0):
                yield self._lost(unit, first, columns, "its pages end before its records do")
        except (OSError, pa.ArrowException) as error:
            yield self._lost(unit, first, columns, str(error))

    def _part(self, unit: WorkUnit, columns: Sequence[int]) -> Iterator[Block]:
        """A part of a row group.  Of a damaged one the same is read as of the whole row group, and the same lost."""
        begin, size = unit.cuts
        names, order = self._wanted(columns)
        try:
            state = self.path.stat()
            file = self.path, state.st_dev, state.st_ino, state.st_size, state.st_mtime_ns
            how = (file, unit.start, size, tuple(names), self.few_distinct)
            batch = part_at(how, begin, self.group_records[unit.start], lambda: self._parts(unit, names))
            if batch is not None and batch.num_rows == unit.records:
                yield self._block(unit, unit.first_record, batch, order, columns)
                return
        except (OSError, pa.ArrowException):
            pass
        whole = replace(unit, first_record=unit.first_record - begin, records=self.group_records[unit.start], cuts=())
        for block in self.blocks(whole, columns):
            some = _within(block, unit)
            if len(some.records) or some.rejected:
                yield some

    def _parts(self, unit: WorkUnit, names: Sequence[str]) -> Iterator[pa.RecordBatch]:
        """The parts of a row group, from its beginning on."""
        batches: Iterator[pa.RecordBatch] = self._open(self.few_distinct).iter_batches(
            batch_size=unit.cuts[1], row_groups=[unit.start], columns=list(names), use_threads=False
        )
        return batches

    def _wanted(self, columns: Sequence[int]) -> tuple[list[str], list[int]]:
        """(names of the columns to read, positions of the columns that Arrow returns for them)."""
        wanted = {self.top_names[self.leaves[position][0]] for position in columns} or {self.top_names[0]}
        names = [name for name in dict.fromkeys(self.top_names) if name in wanted]
        # Arrow returns the columns in the order asked for, all of one name together.
        order = [position for name in names for position, other in enumerate(self.top_names) if other == name]
        return names, order

    def _block(
        self, unit: WorkUnit, first: int, batch: pa.RecordBatch, order: Sequence[int], columns: Sequence[int]
    ) -> Block:
        numbers = np.arange(first, first + batch.num_rows, dtype=np.int64)
        return Block(unit.index, [as_text(self._leaf(batch, order, position)) for position in columns], numbers)

    def counted_records(self, breaks: int) -> int:
        """What the footer says of the whole file."""
        return int(pq.read_metadata(self.path).num_rows)

    def _batches(self, unit: WorkUnit, names: Sequence[str]) -> Iterator[pa.RecordBatch]:
        if not unit.records:
            return
        record_bytes = sum(size for name, size in zip(self.top_names, self.cell_bytes, strict=False) if name in names)
        parts = max(round(unit.records * record_bytes / BATCH_BYTES), round(unit.records / BATCH_RECORDS), 1)
        yield from self._open(self.few_distinct).iter_batches(
            batch_size=-(-unit.records // parts), row_groups=[unit.start], columns=list(names), use_threads=False
        )

    def _open(self, dictionaries: frozenset[int] = frozenset()) -> pq.ParquetFile:
        chosen = [self.top_names[position] for position in sorted(dictionaries)]
        return pq.ParquetFile(self.path, read_dictionary=chosen, buffer_size=1 << 18, pre_buffer=False)

    def _leaf(self, batch: pa.RecordBatch, order: Sequence[int], position: int) -> pa.Array:
        top, members = self.leaves[position]
        column = batch.column(order.index(top))
        for member in members:
            column = pc.struct_field(column, member)
        return column

    def _lost(self, unit: WorkUnit, first: int, columns: Sequence[int], why: str) -> Block:
        reason = (
            f"Row group {unit.start + 1} of the Parquet file is damaged ({why.strip().splitlines()[0].rstrip('.')})."
        )
        lost = range(first, unit.first_record + (unit.records or 0))
        rejected = tuple(Rejected(self.name, None, number, None, reason, "") for number in lost)
        return Block(unit.index, [pa.array([], pa.string()) for _ in columns], np.zeros(0, np.int64), rejected)

    def sample(self, records: int) -> list[list[str]]:
        """The first cells of every column, as text."""
        for group, held in enumerate(self.group_records):
            if held:
                unit = WorkUnit(0, 1, min(held, records), group, group + 1)
                cells: list[list[str]] = [[] for _ in self.headers]
                for block in self.blocks(unit, range(len(self.headers))):
                    wanted = min([records - len(cells[0]), *map(_sampled, block.columns)])
                    for column, more in zip(cells, block.columns, strict=True):
                        # Arrow lists a dictionary's texts thirty times as slowly as plain ones.
                        texts = more.slice(0, wanted).cast(pa.string())
                        column.extend(text or "" for text in texts.to_pylist())
                    if len(cells[0]) >= records or wanted < len(block.records):
                        break
                return cells
        return [[] for _ in self.headers]

    def split(self, released: Path, held: Path, disposition: npt.NDArray[np.uint8]) -> None:
        """Filters the row groups, batch by batch; schema, types and compression stay as they are."""
        types = self._open().schema_arrow.types
        sizes = self.cell_bytes or (0.0,) * len(types)
        many = [
            self.top_names[position]
            for position, (kind, size) in enumerate(zip(types, sizes, strict=True))
            if pa.types.is_string(kind) and size > FEW_DISTINCT_BYTES and position not in self.few_distinct
        ]
        few = frozenset(self.top_names[position] for position in self.few_distinct)
        source = ParquetSource(
            self.name, self.path, self.codec, self.group_records, few, frozenset(many), sum(self.cell_bytes)
        )
        split_parquet(source, released, held, disposition)


def _within(block: Block, unit: WorkUnit) -> Block:
    """The records of a block that a unit holds."""
    first, end = unit.first_record, unit.first_record + (unit.records or 0)
    start, stop = np.searchsorted(block.records, [first, end]).tolist()
    rejected = tuple(one for one in block.rejected if one.record is not None and first <= one.record < end)
    columns = [column.slice(start, stop - start) for column in block.columns]
    return Block(block.unit, columns, block.records[start:stop], rejected)


def _sampled(column: pa.Array) -> int:
    """How many cells of a column may be listed: few where they are long, above all where a dictionary repeats them."""
    texts = column.dictionary if pa.types.is_dictionary(column.type) else column
    longest = pc.max(pc.binary_length(texts)).as_py() or 0
    return max(1, SAMPLE_BYTES // max(longest, 1))


def one_array(arrays: Sequence[pa.Array]) -> pa.Array:
    """Several arrays of one column as one; dictionaries are unified."""
    if len(arrays) == 1:
        return arrays[0]
    if not arrays:
        return pa.array([], pa.string())
    if len({array.type for array in arrays}) > 1:
        arrays = [array.cast(pa.string()) for array in arrays]
    joined = pa.chunked_array(arrays)
    if pa.types.is_dictionary(joined.type):
        joined = joined.unify_dictionaries()
        indices = pa.concat_arrays([chunk.indices for chunk in joined.chunks])
        return pa.DictionaryArray.from_arrays(indices, joined.chunk(0).dictionary)
    return pa.concat_arrays(joined.chunks)


@dataclass(frozen=True, slots=True)
class ParquetShape:
    """What the file's own metadata says; see ParquetFeed for the fields."""

    headers: tuple[str, ...]
    top_names: tuple[str, ...]
    leaves: tuple[Leaf, ...]
    group_records: tuple[int, ...]
    few_distinct: frozenset[int]
    codec: str
    cell_bytes: tuple[float, ...] = ()


def parquet_shape(path: Path, name: str, limits: Limits | None = None) -> ParquetShape:
    """Reads the metadata.  Raises FeedError for a file that is no Parquet, is cut short, or unpacks to too much."""
    try:
        file = pq.ParquetFile(path)
    except (OSError, pa.ArrowException) as error:
        reason = (str(error).strip().splitlines() or ["unreadable"])[0].rstrip(".")
        raise FeedError(f"{name}: not a whole Parquet file ({reason}); ask for it again.") from error
    headers, leaves = _columns(file.schema_arrow, (limits or Limits()).columns)
    data = file.metadata
    groups = tuple(data.row_group(group).num_rows for group in range(data.num_row_groups))
    if min(groups, default=0) < 0 or sum(groups) != data.num_rows:
        raise FeedError(f"{name}: the footer of the Parquet file contradicts itself; ask for it again.")
    _check_size(path, name, data, limits or Limits())
    schema = file.schema_arrow
    if not _readable(file, groups):
        return ParquetShape(headers, tuple(schema.names), leaves, groups, frozenset(), "snappy")
    few, codec = _few_distinct(data, schema), _compression(data)
    sizes = _cell_bytes(data, schema)
    return ParquetShape(headers, tuple(schema.names), leaves, groups, few, codec, sizes)


def _columns(schema: pa.Schema, most: int) -> tuple[tuple[str, ...], tuple[Leaf, ...]]:
    """Headers and places of all columns; where structs would make more than `most`, inner ones stay whole."""
    for levels in (LEVELS, FEW_LEVELS):
        found = [(place, *one) for place, field in enumerate(schema) for one in _columns_of(field, levels)]
        if len(found) <= most:
            break
    return tuple(header for _, header, _ in found), tuple((place, members) for place, _, members in found)


def _columns_of(field: pa.Field, levels: int) -> Iterator[tuple[str, tuple[int, ...]]]:
    """The header of each column that a field holds, `outer.inner` in structs, and its place in each of them."""
    if not pa.types.is_struct(field.type) or levels < 2:
        yield field.name, ()
        return
    for place, member in enumerate(field.type):
        for header, members in _columns_of(member, levels - 1):
            yield f"{field.name}.{header}", (place, *members)


def _check_size(path: Path, name: str, data: pq.FileMetaData, limits: Limits) -> None:
    """Refuses a file whose pages unpack beyond the limits for packed feeds."""
    packed = path.stat().st_size
    unpacked = sum(max(data.row_group(group).total_byte_size, 0) for group in range(data.num_row_groups))
    if unpacked > min(limits.unpacked_bytes, max(64 << 20, packed * limits.unpacked_ratio)):
        raise FeedError(
            f"{name}: the pages unpack to {unpacked:,} bytes from {packed:,}, which is beyond the limit for packed "
            "feeds; send it less tightly packed or raise the limit."
        )


def _readable(file: pq.ParquetFile, groups: tuple[int, ...]) -> bool:
    """Whether the sampled row groups begin soundly.

    Reading says so with an error; Arrow's access to the metadata of a damaged column would end the process.
    """
    try:
        for group in [group for group, records in enumerate(groups[:SAMPLED_GROUPS]) if records]:
            next(iter(file.iter_batches(batch_size=1, row_groups=[group], use_threads=False)))
    except (OSError, pa.ArrowException, StopIteration):
        return False
    return True


def _few_distinct(metadata: pq.FileMetaData, schema: pa.Schema) -> frozenset[int]:
    """Positions of text columns whose pages are dictionary-encoded and small, judged by the first row groups."""
    chosen: list[int] = []
    # Of columns with one name, Arrow cannot be told which to read as a dictionary.
    by_name = {name: at for at, name in enumerate(schema.names) if schema.names.count(name) == 1}
    for leaf in range(metadata.num_columns if metadata.num_row_groups else 0):
        chunks = [
            metadata.row_group(group).column(leaf) for group in range(min(metadata.num_row_groups, SAMPLED_GROUPS))
        ]
        position = by_name.get(chunks[0].path_in_schema)
        if position is None or not (pa.types.is_string(schema.field(position).type)):
            continue
        values = sum(chunk.num_values for chunk in chunks)
        size = sum(chunk.total_uncompressed_size for chunk in chunks)
        if values and all(chunk.has_dictionary_page for chunk in chunks):
            small = size / values <= FEW_DISTINCT_BYTES or values <= 4096
            if small:
                chosen.append(position)
    return frozenset(chosen)


def _cell_bytes(metadata: pq.FileMetaData, schema: pa.Schema) -> tuple[float, ...]:
    """Mean bytes of a cell as encoded, per top-level column, judged by the first row groups."""
    sizes = dict.fromkeys(schema.names, 0)
    groups = [metadata.row_group(group) for group in range(min(metadata.num_row_groups, SAMPLED_GROUPS))]
    for group in groups:
        for leaf in range(metadata.num_columns):
            chunk = group.column(leaf)
            path = chunk.path_in_schema
            name = path if path in sizes else path.split(".", 1)[0]
            sizes[name] = sizes.get(name, 0) + chunk.total_uncompressed_size
    records = max(sum(group.num_rows for group in groups), 1)
    return tuple(sizes[name] / records for name in schema.names)


def _compression(metadata: pq.FileMetaData) -> str:
    if not metadata.num_row_groups or not metadata.num_columns:
        return "snappy"
    name = str(metadata.row_group(0).column(0).compression).lower()
    return "none" if name in {"uncompressed", "unknown"} else name
