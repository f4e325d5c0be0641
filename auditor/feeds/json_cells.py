"""Lines of JSON objects as columns of text: Arrow's reader where it can, one by one where it cannot."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.json as pa_json

from auditor.feeds.csv_pieces import joined
from auditor.feeds.json_values import LEVELS, NOTHING, Key, flat
from auditor.feeds.record_spans import CR, LF, REASONS, SOUND, Spans
from auditor.feeds.typed_cells import as_text

DEEPEST = 400  # levels that Arrow's reader is given: it calls itself for each, and a hundred thousand end the process
_OPEN, _CLOSE = ord("{"), ord("}")
_EXACT = float(1 << 53)  # whole numbers beyond have neighbors that a float cannot hold
_TYPES = {"text": pa.string(), "int": pa.int64(), "float": pa.float64(), "truth": pa.bool_(), "nothing": pa.string()}
HALF_CHARACTER = "The record holds half of a character (a lone surrogate)."


@dataclass(frozen=True, slots=True)
class Parsed:
    """Columns of the sound objects, their places, and (place, byte offset, reason, text) of the others."""

    columns: list[pa.Array]
    positions: npt.NDArray[np.int64]
    faults: list[tuple[int, int, str, str]]


def parse_lines(
    raw: bytes, spans: Spans, keys: Sequence[Key], known: Mapping[int, str], levels: int = LEVELS
) -> Parsed:
    """Parses the lines of one piece.  `known` gives places of lines that are no objects, and why."""
    if not known and not spans.faults.any() and _is_utf8(raw) and _one_object_each(raw, spans):
        columns = _by_arrow(raw, keys, len(spans))
        if columns is not None:
            return Parsed(columns, np.arange(len(spans), dtype=np.int64), [])
    return _one_by_one(raw, spans, [asked.name for asked in keys], known, levels)


def _one_object_each(raw: bytes, spans: Spans) -> bool:
    """Whether every line begins and ends as an object does, and none is nested so deeply that Arrow's reader would
    end the process.  Arrow passes over blank lines and takes two objects of one line, which would be miscounted.
    """
    data = np.frombuffer(raw, np.uint8)
    last = spans.stops - 1
    last = last - (data[last] == LF)
    last = last - (data[np.maximum(last, 0)] == CR)
    if (data[spans.starts] != _OPEN).any() or (data[np.maximum(last, 0)] != _CLOSE).any():
        return False
    if raw.count(b"[") + raw.count(b"{") - len(spans) < DEEPEST:
        return True
    opened = np.flatnonzero((data == _OPEN) | (data == ord("[")))
    return int(np.diff(np.searchsorted(opened, spans.starts), append=len(opened)).max()) < DEEPEST


def _is_utf8(raw: bytes) -> bool:
    try:
        raw.decode()
    except UnicodeDecodeError:
        return False
    return True


def _by_arrow(raw: bytes, keys: Sequence[Key], records: int) -> list[pa.Array] | None:
    """All asked columns at once; None where some line is no object, types mix, or a number would lose its text.

    The asked keys alone are read, in the types they had so far: a feed that names its keys anew in every object would
    make a column of each.
    """
    wide = [replace(asked, kind="float") if asked.kind == "int" else asked for asked in keys]
    for attempt in (keys, wide) if wide != list(keys) else (keys,):
        schema = _schema(attempt)
        if schema is None:
            return None
        try:
            table = pa_json.read_json(
                pa.BufferReader(raw),
                read_options=pa_json.ReadOptions(use_threads=False, block_size=max(1 << 20, len(raw) + 1)),
                parse_options=pa_json.ParseOptions(
                    explicit_schema=schema, newlines_in_values=False, unexpected_field_behavior="ignore"
                ),
            )
        except (pa.ArrowInvalid, pa.ArrowNotImplementedError):
            continue
        columns = [_column(table, asked) for asked in keys]
        if table.num_rows == records and not any(map(_loses_digits, columns)):
            return [as_text(column) for column in columns]
    return None


def _loses_digits(column: pa.Array) -> bool:
    """Whether a number was read as the nearest one that fits."""
    return bool(
        pa.types.is_floating(column.type) and pc.any(pc.greater_equal(pc.abs(column), _EXACT), min_count=1).as_py()
    )


_Members = dict[str, "pa.DataType | _Members"]  # of an object: the type of each value, or the members of an inner one


def _schema(keys: Sequence[Key]) -> pa.Schema | None:
    """The asked keys as columns; None where one of them holds what Arrow cannot give as text."""
    outermost: _Members = {}
    for asked in sorted(keys, key=lambda key: -len(key.path)):  # what holds others is known before it is asked for
        kind = _TYPES.get(asked.kind)
        if kind is None:
            return None
        members = outermost
        for key in asked.path[:-1]:
            inner = members.setdefault(key, {})
            if not isinstance(inner, dict):
                return None
            members = inner
        if members.setdefault(asked.path[-1], kind) is not kind and asked.kind != NOTHING:
            return None  # an object in some lines, and a value in others
    return pa.schema(_fields(outermost))


def _fields(members: _Members) -> list[pa.Field]:
    return [
        pa.field(key, pa.struct(_fields(kind)) if isinstance(kind, dict) else kind) for key, kind in members.items()
    ]


def _column(table: pa.Table, asked: Key) -> pa.Array:
    column = joined(table.column(asked.path[0]))
    for key in asked.path[1:]:
        column = pc.struct_field(column, column.type.get_field_index(key))
    # A key that holds nothing where it is no object.
    return pa.nulls(len(column), pa.string()) if pa.types.is_struct(column.type) else column


def _has_half_character(record: dict[str, str]) -> bool:
    r"""Whether an escape such as \ud83d stands alone: half of a character, which no text can hold."""
    try:
        "".join(record.values()).encode()
    except UnicodeEncodeError:
        return True
    return False


def _one_by_one(raw: bytes, spans: Spans, keys: Sequence[str], known: Mapping[int, str], levels: int) -> Parsed:
    """For stretches with mixed types or broken lines: Python's reader, object by object."""
    texts: list[list[str | None]] = [[] for _ in keys]
    positions: list[int] = []
    faults: list[tuple[int, int, str, str]] = []
    bounds = zip(spans.starts.tolist(), spans.stops.tolist(), spans.faults.tolist(), strict=True)
    for position, (start, stop, fault) in enumerate(bounds):
        line = raw[start:stop]
        reason = known.get(position) or (REASONS[fault] if fault != SOUND else "")
        value: object = None
        if not reason:
            try:
                value = json.loads(line)
                reason = "" if isinstance(value, dict) else "The line is no JSON object."
            except UnicodeDecodeError:
                reason = "The record holds bytes that are not utf-8."
            except RecursionError:
                reason = "The object is nested too deeply."
            except ValueError as error:
                reason = f"The line is not valid JSON ({str(error).rstrip('.')})."
        if reason or not isinstance(value, dict):
            faults.append((position, start, reason, line.decode("utf-8", "replace").strip()))
            continue
        record = flat(value, levels)
        if _has_half_character(record):
            faults.append((position, start, HALF_CHARACTER, line.decode("utf-8", "replace").strip()))
            continue
        positions.append(position)
        for column, key in zip(texts, keys, strict=True):
            column.append(record.get(key))
    return Parsed([pa.array(column, pa.string()) for column in texts], np.array(positions, np.int64), faults)
