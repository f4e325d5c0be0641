"""Lines of JSON objects as columns of text: Arrow's reader where it can, one by one where it cannot."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.json as pa_json

from auditor.feeds.csv_pieces import joined
from auditor.feeds.json_values import flat
from auditor.feeds.record_spans import REASONS, SOUND, Spans
from auditor.feeds.typed_cells import as_text

HALF_CHARACTER = "The record holds half of a character (a lone surrogate)."


@dataclass(frozen=True, slots=True)
class Parsed:
    """Columns of the sound objects, their places, and (place, byte offset, reason, text) of the others."""

    columns: list[pa.Array]
    positions: npt.NDArray[np.int64]
    faults: list[tuple[int, int, str, str]]


def parse_lines(raw: bytes, spans: Spans, keys: Sequence[str], cut_short: str | None) -> Parsed:
    """Parses the lines of one piece.  `cut_short` is the reason for a last line that the document broke off in."""
    if not spans.faults.any() and _is_utf8(raw):  # Arrow's reader does not look
        columns = _by_arrow(raw, keys, len(spans))
        if columns is not None:
            return Parsed(columns, np.arange(len(spans), dtype=np.int64), [])
    return _one_by_one(raw, spans, keys, cut_short)


def _is_utf8(raw: bytes) -> bool:
    try:
        raw.decode()
    except UnicodeDecodeError:
        return False
    return True


def _by_arrow(raw: bytes, keys: Sequence[str], records: int) -> list[pa.Array] | None:
    """All columns at once; None where some line is no object, types mix, or a number would lose its text."""
    try:
        table = pa_json.read_json(
            pa.BufferReader(raw),
            read_options=pa_json.ReadOptions(use_threads=False, block_size=max(1 << 20, len(raw) + 1)),
            parse_options=pa_json.ParseOptions(newlines_in_values=False),
        )
    except (pa.ArrowInvalid, pa.ArrowNotImplementedError):
        return None
    if table.num_rows != records:
        return None
    columns: list[pa.Array] = []
    for key in keys:
        column = _column(table, key)
        if column is None:
            column = pa.nulls(records, pa.string())
        elif pa.types.is_nested(column.type) or pa.types.is_temporal(column.type):
            return None
        columns.append(as_text(column))
    return columns


def _column(table: pa.Table, key: str) -> pa.Array | None:
    names = table.column_names
    if names.count(key) == 1:
        return joined(table.column(key))
    outer, _, inner = key.partition(".")
    if inner and names.count(outer) == 1:
        column = joined(table.column(outer))
        if pa.types.is_struct(column.type) and column.type.get_field_index(inner) >= 0:
            return pc.struct_field(column, inner)
        if pa.types.is_struct(column.type) or pa.types.is_null(column.type):
            return None
    return None


def _has_half_character(record: dict[str, str]) -> bool:
    r"""Whether an escape such as \ud83d stands alone: half of a character, which no text can hold."""
    try:
        "".join(record.values()).encode()
    except UnicodeEncodeError:
        return True
    return False


def _one_by_one(raw: bytes, spans: Spans, keys: Sequence[str], cut_short: str | None) -> Parsed:
    """For stretches with mixed types or broken lines: Python's reader, object by object."""
    texts: list[list[str | None]] = [[] for _ in keys]
    positions: list[int] = []
    faults: list[tuple[int, int, str, str]] = []
    bounds = zip(spans.starts.tolist(), spans.stops.tolist(), spans.faults.tolist(), strict=True)
    for position, (start, stop, fault) in enumerate(bounds):
        line = raw[start:stop]
        reason = REASONS[fault] if fault != SOUND else ""
        value: object = None
        if not reason:
            try:
                value = json.loads(line)
                reason = "" if isinstance(value, dict) else "The line is no JSON object."
            except UnicodeDecodeError:
                reason = "The record holds bytes that are not utf-8."
            except (ValueError, RecursionError) as error:
                reason = cut_short or f"The line is not valid JSON ({str(error).rstrip('.')})."
        if reason or not isinstance(value, dict):
            faults.append((position, start, reason, line.decode("utf-8", "replace").strip()))
            continue
        record = flat(value)
        if _has_half_character(record):
            faults.append((position, start, HALF_CHARACTER, line.decode("utf-8", "replace").strip()))
            continue
        positions.append(position)
        for column, key in zip(texts, keys, strict=True):
            column.append(record.get(key))
    return Parsed([pa.array(column, pa.string()) for column in texts], np.array(positions, np.int64), faults)
