"""A DataFrame's columns for Arrow, whatever pandas keeps them in."""

from __future__ import annotations

from typing import Any

import pyarrow as pa

from auditor.errors import FieldError
from auditor.programs.values import cell_text


def table_of_pandas(frame: Any) -> pa.Table:
    """Every column of a DataFrame, by position: names may repeat, and need not be texts.

    What Arrow has no type for (mixed values, complex numbers, whole numbers of any length) becomes text, each value
    as a person writes it.
    """
    names = [header_of(name) for name in frame.columns]
    columns = [_column(name, frame.iloc[:, position]) for position, name in enumerate(names)]
    return pa.table(columns, names=names)


def header_of(name: object) -> str:
    """A column's name as a header; the levels of a many-level name stand one after the other."""
    if isinstance(name, tuple):
        return " ".join(str(level) for level in name if str(level) and not str(level).startswith("Unnamed:"))
    return str(name)


def _column(name: str, column: Any) -> pa.Array:
    try:
        found = pa.Array.from_pandas(column)
    except (pa.ArrowException, TypeError, ValueError, OverflowError):
        found = None
    if found is None or isinstance(found.type, pa.BaseExtensionType):
        texts = [_text(name, value) for value in column.tolist()]
        return pa.array(texts, pa.string())
    return found


def _text(name: str, value: object) -> str:
    """A value as text; one that no listing field could hold is carried along as it prints itself."""
    try:
        text = cell_text(name, value)
    except FieldError:
        text = str(value)
    return text.encode("utf-8", "replace").decode("utf-8")  # half a surrogate pair is no text to anyone
