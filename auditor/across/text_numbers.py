"""Numbers of 64 bits that stand for texts while listings are compared with each other.

A cryptographic hash takes texts one by one: 1.1 s for the item and part numbers of a million listings, where the
matrix product here takes 0.1 s.
"""

from __future__ import annotations

import hashlib
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

Numbers = npt.NDArray[np.uint64]
LONG_TEXT_BYTES = 48
_WORDS = LONG_TEXT_BYTES // 8
_MIX = (np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB))


def mixed(values: Numbers) -> Numbers:
    """Numbers spread evenly over all bits; the same number always gives the same one, and no two give one."""
    values = (values ^ (values >> np.uint64(30))) * _MIX[0]
    values = (values ^ (values >> np.uint64(27))) * _MIX[1]
    return values ^ (values >> np.uint64(31))


# For each word of a text and for its length; odd, so that two texts that differ in one word never share a sum.
_WEIGHTS = (mixed(np.arange(1, 2 * (_WORDS + 1) + 1, dtype=np.uint64)) | np.uint64(1)).reshape(_WORDS + 1, 2)


def hash_numbers(texts: Any) -> tuple[Numbers, Numbers]:
    """Two stable numbers of every text of a `pa.Array` of strings without nulls; both 0 for an empty text.

    Equal in both means equal texts, as surely as accident allows.
    """
    sizes = pc.binary_length(texts)
    lengths = sizes.to_numpy(zero_copy_only=False).astype(np.uint64)
    long = np.flatnonzero(lengths > LONG_TEXT_BYTES)
    short = pc.if_else(pc.greater(sizes, LONG_TEXT_BYTES), "", texts) if len(long) else texts
    numbers = _words(short) @ _WEIGHTS[:-1] + lengths[:, None] * _WEIGHTS[-1]
    for position, text in zip(long.tolist(), texts.take(pa.array(long)).to_pylist(), strict=True):
        # An item number of that length is an accident, not a feed.
        digest = hashlib.blake2b(text.encode("utf-8", "surrogatepass"), digest_size=16).digest()
        numbers[position] = np.frombuffer(digest, dtype="<u8")
    one, two = mixed(numbers[:, 0]), mixed(numbers[:, 1])
    filled = lengths > 0
    return np.where(filled, np.maximum(one, np.uint64(1)), np.uint64(0)), np.where(filled, two, np.uint64(0))


def _words(texts: Any) -> Numbers:
    """The bytes of texts, filled up with zeros, as words of eight: an array of texts x words."""
    padded = pc.ascii_rpad(texts, LONG_TEXT_BYTES, "\0")
    data = padded.buffers()[2]
    if data is None:
        return np.zeros((0, _WORDS), dtype=np.uint64)
    words = np.frombuffer(data, dtype="<u8", count=_WORDS * len(padded), offset=padded.offset * LONG_TEXT_BYTES)
    return words.reshape(len(padded), _WORDS)
