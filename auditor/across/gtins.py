"""GTINs as numbers, over whole columns."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

LEAST = 100_000  # fewer digits are a counter or a filler, not a GTIN-8 whose zeros a spreadsheet dropped
_ZEROS = np.uint64(0x3030303030303030)


def gtin_numbers(texts: pa.Array) -> npt.NDArray[np.int64]:
    """The number of each GTIN with a fitting check digit, equal for GTIN-12, 13 and 14 of one item; 0 for the rest.

    `texts` is a `pa.Array` of strings without nulls.  Source of the check: GS1 General Specifications.
    """
    numbers, read = _digits(texts)
    other = np.flatnonzero(~read)
    if len(other):
        odd = pc.utf8_trim_whitespace(texts.take(pa.array(other)))
        again, read = _digits(pc.replace_substring_regex(odd, "[ -]", ""))
        numbers[other] = np.where(read, again, 0)
    return np.where(numbers < LEAST, 0, numbers)


def _digits(texts: pa.Array) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.bool_]]:
    """(number or 0, whether the text is blank or 1 to 14 digits)."""
    count = len(texts)
    buffers = texts.buffers()
    if count == 0 or buffers[2] is None:
        return np.zeros(count, dtype=np.int64), np.ones(count, dtype=np.bool_)
    offsets = np.frombuffer(buffers[1], dtype=np.int32)[texts.offset : texts.offset + count + 1].astype(np.int64)
    data = np.zeros(offsets[-1] - offsets[0] + 16, dtype=np.uint8)
    data[16:] = np.frombuffer(buffers[2], dtype=np.uint8)[offsets[0] : offsets[-1]]
    words = np.ndarray((len(data) - 7,), dtype="<u8", buffer=data, strides=(1,))
    ends, lengths = offsets[1:] - offsets[0] + 16, np.diff(offsets)
    low = _padded(words[ends - 8], np.minimum(lengths, 8))
    high = _padded(words[ends - 16], np.clip(lengths - 8, 0, 8))
    plain = _all_digits(low) & _all_digits(high) & (lengths <= 14)
    low, high = low & ~_ZEROS, high & ~_ZEROS
    fits = (_weighted(low) + _weighted(high)) % np.uint64(10) == 0
    value = (_eight(high) * np.uint64(100_000_000) + _eight(low)).astype(np.int64)
    return np.where(plain & fits, value, 0), plain


_KEPT = np.array([0] + [((1 << 64) - 1) ^ ((1 << (8 * (8 - size))) - 1) for size in range(1, 9)], dtype=np.uint64)


def _padded(words: Any, lengths: Any) -> Any:
    """The last `lengths` characters of words, with the digit zero before them."""
    kept = _KEPT[lengths]
    return (words & kept) | (_ZEROS & ~kept)


def _all_digits(words: Any) -> Any:
    upper = np.uint64(0xF0F0F0F0F0F0F0F0)
    beyond = (words & ~upper) + np.uint64(0x0606060606060606)
    return ((words & upper) == _ZEROS) & ((beyond & upper) == 0)


def _weighted(digits: Any) -> Any:
    """The sum of eight digits with weights 1 and 3 in turn from the right."""
    threes = np.uint64(0x00FF00FF00FF00FF)
    ones = np.uint64(0x0101010101010101)
    return ((digits & ~threes) * ones >> np.uint64(56)) + np.uint64(3) * ((digits & threes) * ones >> np.uint64(56))


def _eight(digits: Any) -> Any:
    """The number of eight digits, the leftmost in the lowest byte: pairs, then fours, then all."""
    pairs = (digits * np.uint64(10) + (digits >> np.uint64(8))) & np.uint64(0x00FF00FF00FF00FF)
    fours = (pairs * np.uint64(100) + (pairs >> np.uint64(16))) & np.uint64(0x0000FFFF0000FFFF)
    return (fours * np.uint64(10_000) + (fours >> np.uint64(32))) & np.uint64(0xFFFFFFFF)
