"""Check digits of a column of GTINs at once; the array twin of `auditor.checks.identities.gtin_is_faulty`."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

Rows = npt.NDArray[np.int64]

_BLANK_GTINS = pa.array(["", "-", "n/a", "na", "none", "null", "0", "unknown", "nan"])
_GTIN_WEIGHTS = np.array([3, 1] * 7, dtype=np.uint16)  # of 14 digits, from the left
_GTIN_LENGTHS = (8, 11, 12, 13, 14)


def gtin_faults(column: pa.Array) -> npt.NDArray[np.bool_]:
    """Which texts are no GTINs with a fitting check digit; see `auditor.checks.identities.gtin_is_faulty`."""
    if pa.types.is_dictionary(column.type):
        faults = gtin_faults(column.dictionary)
        indices = column.indices.fill_null(-1).to_numpy(zero_copy_only=False)
        return np.where(indices < 0, False, faults[indices]) if len(faults) else np.zeros(len(column), np.bool_)
    faulty = np.zeros(len(column), dtype=np.bool_)
    left = np.ones(len(column), dtype=np.bool_)
    if column.null_count == 0 and pa.types.is_string(column.type) and column.buffers()[2] is not None:
        for rows, digits in _plain_gtins(column):
            faulty[rows] = (digits @ _GTIN_WEIGHTS[-digits.shape[1] :]) % 10 != 0
            left[rows] = False
    rest = np.flatnonzero(left)
    if len(rest):
        faulty[rest] = _odd_gtin_faults(column.take(pa.array(rest)))
    return faulty


def _plain_gtins(column: pa.Array) -> Iterator[tuple[Rows, npt.NDArray[np.uint16]]]:
    """(records, digits) of the texts that are digits only, by the lengths that GTINs have."""
    ends = np.frombuffer(column.buffers()[1], dtype=np.int32)[column.offset : column.offset + len(column) + 1]
    text = np.frombuffer(column.buffers()[2], dtype=np.uint8)
    lengths = np.diff(ends)
    for length in _GTIN_LENGTHS:
        rows = np.flatnonzero(lengths == length)
        if len(rows) == 0:
            continue
        if len(rows) == len(column):
            digits = text[ends[0] : ends[-1]].reshape(len(column), length) - np.uint8(48)
        else:
            digits = text[ends[rows][:, None] + np.arange(length, dtype=np.int32)] - np.uint8(48)
        plain = digits.max(axis=1) <= 9
        if not plain.all():
            rows, digits = rows[plain], digits[plain]
        yield rows, digits.astype(np.uint16)


def _odd_gtin_faults(column: pa.Array) -> npt.NDArray[np.bool_]:
    """The same for texts with blanks, dashes or other lengths."""
    texts = pc.replace_substring_regex(pc.utf8_trim_whitespace(column.fill_null("")), "[ -]", "")
    blank = pc.is_in(pc.utf8_lower(texts), value_set=_BLANK_GTINS).to_numpy(zero_copy_only=False)
    sound = pc.match_substring_regex(texts, "^[0-9]{1,14}$")
    plain = pc.utf8_lpad(pc.if_else(sound, texts, "0"), 14, "0")
    ok = sound.to_numpy(zero_copy_only=False)
    offsets = np.frombuffer(plain.buffers()[1], dtype=np.int32)[plain.offset :]
    data = np.frombuffer(plain.buffers()[2], dtype=np.uint8)[offsets[0] : offsets[0] + 14 * len(plain)]
    digits = data.reshape(len(plain), 14).astype(np.uint16) - 48
    faulty: npt.NDArray[np.bool_] = (((digits @ _GTIN_WEIGHTS) % 10 != 0) | ~ok) & ~blank
    return faulty
