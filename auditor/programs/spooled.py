"""A table of a program, written as the Parquet feed that the audit reads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

ROW = "row of the given table"  # carried through the audit, to divide the rows as they were given


def spool(table: pa.Table, path: Path) -> dict[str, str]:
    """Writes a table as a feed; returns the given header of each column whose header had to change.

    Headers that repeat get a number, since Parquet's readers find columns by name.  Columns of types that Parquet
    cannot hold are written as text.
    """
    headers = _unique([*table.column_names, ROW])
    columns = [storable(column) for column in table.columns]
    columns.append(pa.array(np.arange(table.num_rows)).cast(pa.string()))
    pq.write_table(pa.table(columns, names=headers), path)
    return {new: given for new, given in zip(headers, table.column_names, strict=False) if new != given}


def rows_in(path: Path) -> npt.NDArray[np.int64]:
    """Positions of the given rows that ended up in a released or held file."""
    if not path.is_file():
        return np.zeros(0, np.int64)
    return pq.read_table(path, columns=[ROW])[ROW].cast(pa.int64()).to_numpy()


def without_row(reason: str) -> str:
    """Why a table was not audited, without the header that its caller did not give."""
    return reason.replace(f", {ROW!r}", "").replace(repr(ROW), "missing")


def findings_of(folder: Path, headers: Mapping[str, str]) -> pa.Table:
    """The findings of a finished audit; `headers` are the given headers of columns that had to be renamed."""
    findings = pq.read_table(folder / "findings.parquet")
    if not headers:
        return findings
    columns = pa.array([headers.get(name, name) for name in findings["column"].to_pylist()], pa.string())
    return findings.set_column(findings.column_names.index("column"), "column", columns)


def storable(column: pa.ChunkedArray) -> pa.ChunkedArray:
    """The column in a type that Parquet can hold: encodings undone, views as texts, all else as it prints itself."""
    if column.num_chunks == 0:
        return pa.chunked_array([pa.array([], pa.string())])
    chunks = [plain_array(chunk) for chunk in column.chunks]
    if not all(_holds(chunk.type) for chunk in chunks):
        chunks = [
            pa.array([None if value is None else str(value) for value in c.to_pylist()], pa.string()) for c in chunks
        ]
    return pa.chunked_array(chunks)


def plain_array(array: pa.Array) -> pa.Array:
    """An array without encodings and views; extension types as they print themselves."""
    kind = array.type
    if isinstance(kind, pa.BaseExtensionType):
        return pa.array([None if value is None else str(value) for value in array.to_pylist()], pa.string())
    if pa.types.is_run_end_encoded(kind):
        return plain_array(without_runs(array))
    if pa.types.is_dictionary(kind):
        return plain_array(array.dictionary).take(array.indices)
    if pa.types.is_string_view(kind):
        return array.cast(pa.string())
    if pa.types.is_binary_view(kind):
        return array.cast(pa.binary())
    return array


def without_runs(array: pa.Array) -> pa.Array:
    """A run-end encoded array as one of its values, whatever these are: Arrow decodes no runs of dictionaries."""
    if not pa.types.is_dictionary(array.type.value_type):
        return pc.run_end_decode(array)
    places = np.arange(array.offset, array.offset + len(array))
    return array.values.take(pa.array(np.searchsorted(array.run_ends.to_numpy(), places, side="right")))


@cache
def _holds(kind: Any) -> bool:
    try:
        pq.write_table(pa.table({"column": pa.array([], kind)}), pa.BufferOutputStream())
    except (pa.ArrowException, TypeError, NotImplementedError):
        return False
    return True


def _unique(headers: Sequence[str]) -> list[str]:
    taken: set[str] = set(headers)
    seen: set[str] = set()
    found = []
    for header in headers:
        name, number = header, 1
        while name in seen or (number > 1 and name in taken):
            number += 1
            name = f"{header} ({number})"
        seen.add(name)
        found.append(name)
    return found
