"""Columns of texts that repeat, kept as codes into their distinct texts: asked once per text, moved as numbers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

Codes = npt.NDArray[np.int64]


def coded(column: pa.ChunkedArray) -> pa.DictionaryArray:
    """A column as one array of codes; it stays as it is where it was read so."""
    whole = column.combine_chunks()
    whole = pa.concat_arrays(whole.chunks) if isinstance(whole, pa.ChunkedArray) else whole
    return whole if pa.types.is_dictionary(whole.type) else whole.dictionary_encode()


def names_and_codes(column: pa.ChunkedArray) -> tuple[list[str | None], Codes]:
    """(texts, place of each row's text among them); the last text is None, for rows without one."""
    found = coded(column)
    codes = pc.fill_null(found.indices, len(found.dictionary)).to_numpy().astype(np.int64)
    return [*found.dictionary.to_pylist(), None], codes


def is_among(column: pa.ChunkedArray, texts: Sequence[str]) -> npt.NDArray[np.bool_]:
    """Which rows hold one of some texts."""
    names, codes = names_and_codes(column)
    return np.array([name in texts for name in names], dtype=np.bool_)[codes]


def by_texts(rows: pa.Table, names: Sequence[str]) -> Iterator[tuple[tuple[str | None, ...], npt.NDArray[np.int64]]]:
    """(texts, places of the rows that hold them) for all that stand together in some columns, at least one row."""
    columns = [names_and_codes(rows[name]) for name in names]
    wide = np.zeros(rows.num_rows, dtype=np.int64)
    for texts, codes in columns:
        wide = wide * len(texts) + codes
    if (wide == wide[0]).all():  # as is usual
        yield tuple(texts[codes[0]] for texts, codes in columns), np.arange(len(wide))
        return
    for one in np.unique(wide).tolist():
        places = np.flatnonzero(wide == one)
        yield tuple(texts[codes[places[0]]] for texts, codes in columns), places


def everywhere(text: str, count: int) -> pa.DictionaryArray:
    """A column that holds one text."""
    return pa.DictionaryArray.from_arrays(pa.array(np.zeros(count, dtype=np.int32)), pa.array([text], pa.string()))


def one_of(texts: Sequence[str], places: npt.NDArray[Any]) -> pa.DictionaryArray:
    """A column that holds one of a few texts in each row, by its place among them."""
    return pa.DictionaryArray.from_arrays(pa.array(places.astype(np.int32)), pa.array(list(texts), pa.string()))


def written_out(table: pa.Table) -> pa.Table:
    """The same table with plain texts in place of codes."""
    columns = [column.cast(pa.string()) if pa.types.is_dictionary(column.type) else column for column in table.columns]
    return pa.table(columns, names=table.column_names)
