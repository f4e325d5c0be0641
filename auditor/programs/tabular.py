"""Tables of any library as Arrow tables, and Arrow tables as what that library's users hold.

A kind of table is told by its own library, which whoever hands it over has loaded; none is loaded for it here.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.errors import UsageError
from auditor.programs.pandas_columns import table_of_pandas
from auditor.programs.spooled import without_runs

Rows = npt.NDArray[np.int64]
_PIECE = 30_000  # rows


@dataclass(frozen=True, slots=True)
class Tabular:
    """A table as it was given: its cells as Arrow columns, and how to answer in the same kind."""

    table: pa.Table
    rows: Callable[[Rows], Any]  # some rows of what was given, by position
    dressed: Callable[[pa.Table], Any]  # an Arrow table as the kind that was given
    index: Any = None  # of a pandas frame, for what stands beside its rows


def tabular(data: Any) -> Tabular | None:
    """What was given as a table, or None where it is none.

    A reader is read to its end, a lazy frame and a relation are computed, a data set is loaded: all rows have to fit
    into memory; what does not is for files.
    """
    for kind in (_arrow, _pandas, _polars, _duckdb, _stream):
        found = kind(data)
        if found is not None:
            return found
    return None


def _arrow(data: Any) -> Tabular | None:
    if isinstance(data, pa.Table):
        return _of_table(data, lambda table: table)
    if isinstance(data, pa.RecordBatch):
        return _of_table(pa.Table.from_batches([data]), _one_batch)
    if isinstance(data, pa.RecordBatchReader):
        return _of_table(data.read_all(), lambda table: table.to_reader())
    dataset = sys.modules.get("pyarrow.dataset")
    if dataset is not None and isinstance(data, dataset.Dataset):
        return _of_table(data.to_table(), dataset.dataset)
    return None


def _pandas(data: Any) -> Tabular | None:
    pandas = sys.modules.get("pandas")
    if pandas is None or not isinstance(data, pandas.DataFrame):
        return None
    return Tabular(table_of_pandas(data), lambda rows: data.iloc[rows], lambda table: table.to_pandas(), data.index)


def _polars(data: Any) -> Tabular | None:
    polars = sys.modules.get("polars")
    if polars is None or not isinstance(data, polars.DataFrame | polars.LazyFrame):
        return None
    lazy = isinstance(data, polars.LazyFrame)
    frame = data.collect() if lazy else data
    columns = [_polars_column(column, polars) for column in frame.get_columns()]

    def like_given(found: Any) -> Any:
        return found.lazy() if lazy else found

    return Tabular(
        pa.table(columns, names=frame.columns),
        lambda rows: like_given(frame[rows]),
        lambda table: like_given(polars.from_arrow(table)),
    )


def _polars_column(column: Any, polars: Any) -> pa.Array:
    if column.dtype == polars.Object:  # Python's own objects, which Arrow has no type for
        return pa.array([None if value is None else str(value) for value in column.to_list()], pa.string())
    if "Int128" in str(column.dtype):  # longer than Arrow's whole numbers
        column = column.cast(polars.String)
    return column.to_arrow()


def _duckdb(data: Any) -> Tabular | None:
    duckdb = sys.modules.get("duckdb")
    if duckdb is None or not isinstance(data, duckdb.DuckDBPyRelation):
        return None
    return _of_table(data.to_arrow_table(), duckdb.from_arrow)


def _stream(data: Any) -> Tabular | None:
    """Anything else that speaks Arrow's C interfaces; it is answered with Arrow tables."""
    if hasattr(data, "__arrow_c_stream__") or hasattr(data, "__arrow_c_array__"):
        try:
            return _of_table(pa.table(data), lambda table: table)
        except pa.ArrowInvalid as error:
            raise UsageError(
                f"audit() takes a table; this {type(data).__name__} is a column, or broken: {error}."
            ) from error
    return None


def _of_table(table: pa.Table, dressed: Callable[[pa.Table], Any]) -> Tabular:
    return Tabular(table, lambda rows: dressed(_taken(table, pa.array(rows))), dressed)


def _taken(table: pa.Table, rows: pa.Array) -> pa.Table:
    """Some rows of a table; Arrow takes none out of views and run-end encodings, which are undone and made again."""
    columns = []
    for column in table.columns:
        kind = column.type
        if pa.types.is_run_end_encoded(kind) and pa.types.is_dictionary(kind.value_type):
            column = _runs_of_one(pa.chunked_array([without_runs(c) for c in column.chunks]).take(rows), kind)
        elif pa.types.is_run_end_encoded(kind):
            plain = pa.chunked_array([pc.run_end_decode(chunk) for chunk in column.chunks], kind.value_type)
            column = pc.run_end_encode(plain.take(rows), kind.run_end_type)
        elif pa.types.is_string_view(kind) or pa.types.is_binary_view(kind):
            column = column.cast(pa.large_string() if pa.types.is_string_view(kind) else pa.large_binary())
            column = column.take(rows).cast(kind)
        else:
            column = column.take(rows)
        columns.append(column)
    return pa.table(columns, schema=table.schema)


def _runs_of_one(column: pa.ChunkedArray, kind: pa.DataType) -> pa.ChunkedArray:
    """Dictionaries as runs, which Arrow does not look for among them; in pieces whose ends fit into any type."""
    pieces = [chunk.slice(at, _PIECE) for chunk in column.chunks for at in range(0, len(chunk), _PIECE)]
    made = [
        pa.RunEndEncodedArray.from_arrays(pa.array(range(1, len(piece) + 1), kind.run_end_type), piece)
        for piece in pieces
    ]
    return pa.chunked_array(made, kind)


def _one_batch(table: pa.Table) -> pa.RecordBatch:
    arrays = [column.combine_chunks() if column.num_chunks != 1 else column.chunk(0) for column in table.columns]
    return pa.RecordBatch.from_arrays(arrays, schema=table.schema)
