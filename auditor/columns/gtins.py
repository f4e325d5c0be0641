"""Check digits of a column of GTINs at once; the array twin of `auditor.judging.checks.identities.gtin_is_faulty`."""

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
    """Which texts are no GTINs with a fitting check digit; see `auditor.judging.checks.identities.gtin_is_faulty`."""
    if pa.types.is_dictionary(column.type):
        faults = gtin_faults(column.dictionary)
        indices = column.indices.fill_null(-1).to_numpy(zero_copy_only=False)
        return np.where(indices < 0, False, faults[indices]) if len(faults) else np.zeros(len(column), np.bool_)
    faulty = np.zeros(len(column), dtype=np.bool_)
    left = np.ones(len(column), dtype=np.bool_)
    if column.null_count == 0 and pa.types.is_string(column.type) and column.buffers()[2] is not None:
        for rows, sound in _plain_gtins(column):
            faulty[rows] = ~sound
            left[rows] = False
    rest = np.flatnonzero(left)
    if len(rest):
        faulty[rest] = _odd_gtin_faults(column.take(pa.array(rest)))
    return faulty


def _plain_gtins(column: pa.Array) -> Iterator[tuple[Rows, npt.NDArray[np.bool_]]]:
    """(records, whether the last digit fits) of the texts that are digits only, by the lengths that GTINs have."""
    ends = np.frombuffer(column.buffers()[1], dtype=np.int32)[column.offset : column.offset + len(column) + 1]
    text = np.frombuffer(column.buffers()[2], dtype=np.uint8)
    lengths = np.diff(ends)
    for length in _GTIN_LENGTHS:
        rows = np.flatnonzero(lengths == length)
        if len(rows) == 0:
            continue
        # The first and the last eight characters as numbers; the two overlap where the text has fewer than sixteen.
        first, last = (_eights(text, ends[rows], len(rows) == len(column), at, length) for at in (0, length - 8))
        plain = _digits_only(first) & _digits_only(last)
        if not plain.all():
            rows, first, last = rows[plain], first[plain], last[plain]
        yield rows, _FITS[_weighed(first & _BEGINNINGS[length - 8], length) + _weighed(last & _DIGITS, 8)]


def _eights(
    text: npt.NDArray[np.uint8], starts: npt.NDArray[np.int32], together: bool, at: int, length: int
) -> npt.NDArray[np.uint64]:
    """Eight characters of each text, from place `at` on; `together` where the texts follow each other."""
    if together:
        return np.ndarray(
            (len(starts),), dtype="<u8", buffer=text, offset=int(starts[0]) + at, strides=(length,)
        ).copy()
    return np.ndarray((len(text) - 7,), dtype="<u8", buffer=text, strides=(1,))[starts.astype(np.intp) + at]


_DIGITS = np.uint64(0x0F0F0F0F0F0F0F0F)  # what a digit's character holds beyond "0"
_SIXES, _ZEROS = np.uint64(0x0606060606060606), np.uint64(0x3030303030303030)
_HIGH = np.uint64(0xF0F0F0F0F0F0F0F0)
_BEGINNINGS = [np.uint64(0x0F0F0F0F0F0F0F0F & ((1 << 8 * count) - 1)) for count in range(7)]
_EVERY_OTHER, _ADDED = np.uint64(0x00FF00FF00FF00FF), np.uint64(0x0001000100010001)
_FITS = np.arange(9 * 4 * 7 + 1) % 10 == 0  # by weighed sum


def _digits_only(words: npt.NDArray[np.uint64]) -> npt.NDArray[np.bool_]:
    """Whether all eight characters are digits: their upper halves are those of "0", and so with 6 added."""
    found: npt.NDArray[np.bool_] = ((words & _HIGH) == _ZEROS) & (((words + _SIXES) & _HIGH) == _ZEROS)
    return found


def _weighed(words: npt.NDArray[np.uint64], length: int) -> npt.NDArray[np.intp]:
    """The sum of eight digits, every other one threefold; the last of `length` digits counts once."""
    even = ((words & _EVERY_OTHER) * _ADDED) >> np.uint64(48)  # of the first, third, fifth and seventh digit
    odd = (((words >> np.uint64(8)) & _EVERY_OTHER) * _ADDED) >> np.uint64(48)
    once, threefold = (even, odd) if length % 2 else (odd, even)
    return (once + threefold * np.uint64(3)).astype(np.intp)


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
