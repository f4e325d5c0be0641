"""Columns of GTINs: their numbers and their check digits; the array twin of `auditor.judging.checks.identities`."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

LEAST = 100_000  # fewer digits are a counter or a filler, not a GTIN-8 whose zeros a spreadsheet dropped
_LONGEST = 14
_WEIGHTS = np.array([3, 1] * 7, dtype=np.uint8)  # from the left; source: GS1 General Specifications, check digit
Flags = npt.NDArray[np.bool_]


def gtin_faults(column: pa.Array, is_faulty: Callable[[str], bool]) -> Flags:
    """Which texts are no GTINs with a fitting check digit.

    `is_faulty` tells it of one text, and is asked of those that are not digits alone.
    """
    if pa.types.is_dictionary(column.type):
        faults = gtin_faults(column.dictionary, is_faulty)
        indices = column.indices.fill_null(-1).to_numpy(zero_copy_only=False)
        return np.where(indices < 0, False, faults[indices]) if len(faults) else np.zeros(len(column), np.bool_)
    texts = column.fill_null("")
    numbers, sound = _padded(texts)
    faulty = ~(sound & _fitting(numbers))
    doubtful = np.flatnonzero(faulty & ~_numbers_of_digits(texts) | _zeros(texts))
    if len(doubtful):
        some = texts.take(pa.array(doubtful)).dictionary_encode()
        told = np.array([is_faulty(text) for text in some.dictionary.to_pylist()], np.bool_)
        faulty[doubtful] = told[some.indices.to_numpy(zero_copy_only=False)]
    return faulty


def _zeros(texts: pa.Array) -> Flags:
    zeros: Flags = pc.equal(texts, "0").to_numpy(zero_copy_only=False)
    return zeros


def gtin_numbers(texts: pa.Array) -> npt.NDArray[np.int64]:
    """The number of each GTIN with a fitting check digit, equal for GTIN-12, 13 and 14 of one item; 0 for the rest.

    `texts` is a `pa.Array` of strings without nulls.
    """
    padded, sound = _padded(texts)
    numbers: npt.NDArray[np.int64] = pc.cast(padded, pa.int64()).to_numpy()
    return np.where(sound & _fitting(padded) & (numbers >= LEAST), numbers, 0)


def _padded(texts: pa.Array) -> tuple[pa.Array, Flags]:
    """(14 digits each, zeros for a text that is no number of 1 to 14 digits; which ones are)."""
    sound = _numbers_of_digits(texts)
    odd = np.flatnonzero(~sound)
    if len(odd):
        bare = _bare(texts.take(pa.array(odd)))
        sound[odd] = _numbers_of_digits(bare)
        mask = np.zeros(len(texts), dtype=np.bool_)
        mask[odd] = True
        texts = pc.replace_with_mask(texts, pa.array(mask), bare)
    if not sound.all():
        texts = pc.if_else(pa.array(sound), texts, "0")
    return pc.ascii_lpad(texts, _LONGEST, "0"), sound


def _numbers_of_digits(texts: pa.Array) -> Flags:
    """Which texts are 1 to 14 digits of ASCII; other scripts' digits are longer than a byte."""
    digits = pc.and_(pc.ascii_is_decimal(texts), pc.less_equal(pc.binary_length(texts), _LONGEST))
    flags: Flags = digits.to_numpy(zero_copy_only=False)
    return flags.copy()


def _bare(texts: pa.Array) -> pa.Array:
    """Texts without the blanks and dashes that people group digits with."""
    return pc.replace_substring_regex(pc.utf8_trim_whitespace(texts), "[ -]", "")


def _fitting(padded: pa.Array) -> Flags:
    """Whether the weighed sum of each text's 14 digits, the last among them, is a multiple of ten."""
    if isinstance(padded, pa.ChunkedArray):
        padded = padded.combine_chunks()
    start = padded.offset * _LONGEST
    data = np.frombuffer(padded.buffers()[2] or b"", dtype=np.uint8)[start : start + _LONGEST * len(padded)]
    digits = data.reshape(len(padded), _LONGEST) - ord("0")
    sums = digits @ _WEIGHTS  # at most 9 x 28, which a byte holds
    fitting: Flags = (sums % 10 == 0) & (sums > 0)  # zeros alone fit by their sum, but are nobody's number
    return fitting
