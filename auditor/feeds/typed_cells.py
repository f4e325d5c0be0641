"""Typed cells as text, the way a person would write them: 850.0 is "850", 10.50 is "10.5"."""

from __future__ import annotations

from datetime import date, datetime, time

import pyarrow as pa
import pyarrow.compute as pc


def as_text(column: pa.Array) -> pa.Array:
    """An Arrow array as pa.string(), or as a dictionary of int32 and string where it came as a dictionary."""
    kind = column.type
    if pa.types.is_dictionary(kind):
        if pa.types.is_string(kind.value_type) and pa.types.is_int32(kind.index_type):
            return column
        return pa.DictionaryArray.from_arrays(column.indices.cast(pa.int32()), as_text(column.dictionary))
    if pa.types.is_string(kind):
        return column
    if pa.types.is_large_string(kind) or pa.types.is_string_view(kind) or pa.types.is_integer(kind):
        return column.cast(pa.string())
    if pa.types.is_floating(kind):
        return _floats(column)
    if pa.types.is_decimal(kind):
        return _without_zeros(column.cast(pa.string()))
    if pa.types.is_boolean(kind):
        return pc.if_else(column, "true", "false")
    if pa.types.is_temporal(kind) and not pa.types.is_duration(kind):
        return _moments(column)
    if pa.types.is_binary(kind) or pa.types.is_large_binary(kind) or pa.types.is_fixed_size_binary(kind):
        return _from_bytes(column)
    if pa.types.is_null(kind):
        return pa.nulls(len(column), pa.string())
    # Lists and maps: no listing field has these; their text is kept readable.
    return pa.array([None if value is None else str(value) for value in column.to_pylist()], pa.string())


def _floats(column: pa.Array) -> pa.Array:
    if pa.types.is_float16(column.type):
        column = column.cast(pa.float32())
    # A whole number beyond 1e15 would come out with an exponent.
    whole = pc.and_(pc.equal(column, pc.floor(column)), pc.less(pc.abs(column), 9.0e18))
    if len(column) and column.null_count < len(column) and pc.all(whole).as_py():
        return column.cast(pa.int64()).cast(pa.string())
    # Infinity stays what it is, a text that no field can hold: a blank would pass in silence.
    return pc.if_else(pc.is_nan(column), pa.scalar(None, pa.string()), column.cast(pa.string()))


def _without_zeros(text: pa.Array) -> pa.Array:
    return pc.replace_substring_regex(text, pattern=r"^(-?\d+)(?:\.0+|(\.\d*?[1-9])0*)?$", replacement=r"\1\2")


def _moments(column: pa.Array) -> pa.Array:
    text = column.cast(pa.string())
    return pc.replace_substring_regex(text, pattern=r"[ T]00:00:00(?:\.0+)?$", replacement="")


def _from_bytes(column: pa.Array) -> pa.Array:
    try:
        return column.cast(pa.binary()).cast(pa.string())
    except pa.ArrowInvalid:
        return pa.array(
            [None if value is None else value.decode("utf-8", "replace") for value in column.to_pylist()],
            pa.string(),
        )


def cell_text(value: object) -> str:
    """One cell of a workbook or a JSON document as text.  Booleans are "true"/"false", dates ISO, nothing is ""."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        if value.is_integer() and abs(value) < 9e18:
            return str(int(value))
        return repr(value)
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(sep=" ")
    if isinstance(value, date):
        return value.isoformat()
    return str(value)
