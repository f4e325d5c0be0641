"""Puts changes into Parquet feeds, keeping schema, types, row groups and compression."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from auditor.feeds.parquet_feed import ParquetFeed
from auditor.feeds.typed_cells import as_text
from auditor.outputs.corrected.model import Change, Changes, changed_records, fits, number_or_none


def apply_to_parquet(feed: ParquetFeed, target: Path, changes: Changes) -> list[Change]:
    """Writes the feed with the changes to `target`; returns those made, in record order.

    Columns inside structs are left as they are, and so is a cell whose column cannot hold the suggestion.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    made: list[Change] = []
    with pq.ParquetFile(feed.path) as file:
        compression = "none"
        if file.metadata.num_row_groups and file.metadata.num_columns:
            compression = file.metadata.row_group(0).column(0).compression.lower()
        if compression == "uncompressed":
            compression = "none"
        with pq.ParquetWriter(target, file.schema_arrow, compression=compression) as writer:
            first = 1
            for group in range(file.metadata.num_row_groups):
                table = file.read_row_group(group)
                table, here = _edited(table, first, feed, changes)
                made += here
                first += table.num_rows
                writer.write_table(table, row_group_size=max(table.num_rows, 1))
    return sorted(made, key=lambda change: (change.record, change.position))


def _edited(table: pa.Table, first: int, feed: ParquetFeed, changes: Changes) -> tuple[pa.Table, list[Change]]:
    by_column: dict[int, list[Change]] = defaultdict(list)
    for record in changed_records(changes, first, table.num_rows):
        for position, change in changes[record].items():
            top, members = feed.leaves[position]
            if not members:
                by_column[top].append(change)
    made: list[Change] = []
    for top, wanted in by_column.items():
        column = table.column(top).combine_chunks()
        if isinstance(column, pa.ChunkedArray):
            column = pa.concat_arrays(column.chunks)
        new, here = _edited_column(column, first, wanted)
        table = table.set_column(top, table.schema.field(top), new)
        made += here
    return table, made


def _edited_column(column: pa.Array, first: int, changes: list[Change]) -> tuple[pa.Array, list[Change]]:
    kind = column.type.value_type if pa.types.is_dictionary(column.type) else column.type
    rows = pa.array([change.record - first for change in changes])
    texts = as_text(column.take(rows)).to_pylist()
    values: list[Any] = []
    made: list[Change] = []
    for change, text in zip(changes, texts, strict=True):
        value = _as_type(change.after, kind) if text is not None and fits(text, change) else None
        if value is not None:
            values.append(value)
            made.append(change)
    if not made:
        return column, []
    mask = np.zeros(len(column), bool)
    mask[[change.record - first for change in made]] = True
    plain = pc.cast(column, kind)
    new = pc.replace_with_mask(plain, pa.array(mask), pa.array([value.as_py() for value in values], kind))
    return (new.dictionary_encode().cast(column.type) if kind != column.type else new), made


def _as_type(text: str, kind: pa.DataType) -> pa.Scalar | None:
    """The text as a value of the column's type; None where it has none or would lose something."""
    if pa.types.is_string(kind) or pa.types.is_large_string(kind) or pa.types.is_string_view(kind):
        return pa.scalar(text, kind)
    number = number_or_none(text.strip())
    if number is None or not (pa.types.is_integer(kind) or pa.types.is_floating(kind) or pa.types.is_decimal(kind)):
        return None
    try:
        return pa.scalar(text.strip(), pa.string()).cast(kind)
    except (pa.ArrowInvalid, pa.ArrowNotImplementedError):
        return None
