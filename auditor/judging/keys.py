"""Stable keys of findings: a 96-bit polynomial hash that runs alike over one text and over columns of texts.

Not a defence against forged texts; a key only has to be the same tomorrow and different for different mistakes.
"""

from __future__ import annotations

import hashlib
from typing import Any

_MASK = (1 << 64) - 1
_BASES = (0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F)  # odd, so that powers never vanish modulo 2^64
_MIX = (0xBF58476D1CE4E5B9, 0x94D049BB133111EB)


def hash_text(text: str) -> str:
    """24 hexadecimal digits."""
    data = text.encode("utf-8", "surrogatepass")
    halves = []
    for base in _BASES:
        total, weight = len(data), 1
        for byte in data:
            total = (total + byte * weight) & _MASK
            weight = (weight * base) & _MASK
        halves.append(_finish(total))
    return f"{halves[0]:016x}{halves[1] >> 32:08x}"


def _finish(value: int) -> int:
    value = ((value ^ (value >> 30)) * _MIX[0]) & _MASK
    value = ((value ^ (value >> 27)) * _MIX[1]) & _MASK
    return value ^ (value >> 31)


def hash_texts(texts: Any) -> Any:
    """The same for a `pa.Array` of strings without nulls; a `pa.Array` of strings."""
    import numpy as np
    import pyarrow as pa

    count = len(texts)
    if count == 0:
        return pa.array([], pa.string())
    offsets = np.frombuffer(texts.buffers()[1], dtype=np.int32)[texts.offset : texts.offset + count + 1]
    data = np.frombuffer(texts.buffers()[2] or b"", dtype=np.uint8)
    joined = np.empty((count, 12), dtype=np.uint8)
    for start in range(0, count, _TEXTS_AT_ONCE):
        some = slice(start, min(start + _TEXTS_AT_ONCE, count))
        halves = _totals(data, offsets[some.start : some.stop + 1].astype(np.int64))
        halves = mixed(halves).astype(">u8").view(np.uint8)
        joined[some, :8], joined[some, 8:] = halves[:, :8], halves[:, 8:12]
    digits = np.frombuffer(b"0123456789abcdef", dtype=np.uint8)
    text = np.empty((count, 24), dtype=np.uint8)
    text[:, 0::2], text[:, 1::2] = digits[joined >> 4], digits[joined & 15]
    ends = np.arange(0, 24 * (count + 1), 24, dtype=np.int32)
    return pa.Array.from_buffers(pa.string(), count, [None, pa.py_buffer(ends), pa.py_buffer(text)])


_TEXTS_AT_ONCE = 4096  # so that their bytes, each as wide as a sum, stay few
LONG_TEXT_BYTES = 256


def _totals(data: Any, offsets: Any) -> Any:
    """The sums of weighed bytes of some texts, for both halves of their hashes: an array of texts x 2."""
    import numpy as np

    lengths = np.diff(offsets)
    short = lengths <= LONG_TEXT_BYTES
    widest = int(lengths[short].max(initial=0))
    filled = np.arange(widest) < np.where(short, lengths, 0)[:, None]
    table = np.zeros(filled.shape, dtype=np.uint8)
    text = data[offsets[0] : offsets[-1]]
    table[filled] = text if short.all() else text[np.repeat(short, lengths)]
    totals = table.astype(np.uint64) @ _weights(widest)
    for position in np.flatnonzero(~short).tolist():  # one by one: a cell of that length is an accident, not a feed
        text = data[offsets[position] : offsets[position + 1]]
        totals[position] = text.astype(np.uint64) @ _weights(len(text))
    return totals + lengths.astype(np.uint64)[:, None]


def _weights(count: int) -> Any:
    """The powers of both bases, modulo 2^64."""
    import numpy as np

    powers = np.ones((count, 2), dtype=np.uint64)
    powers[1:] = np.array(_BASES, dtype=np.uint64)
    return np.multiply.accumulate(powers, axis=0)


def hash_numbers(texts: Any) -> tuple[Any, Any]:
    """Two stable 64-bit hashes of every text of a `pa.Array` of strings without nulls; both 0 for an empty text.

    Read eight bytes at a time, so that columns of item numbers cost little.  Equal in both means equal texts, as
    surely as accident allows.
    """
    import numpy as np

    count = len(texts)
    buffers = texts.buffers()
    if count == 0 or buffers[2] is None:
        return np.zeros(count, dtype=np.uint64), np.zeros(count, dtype=np.uint64)
    offsets = np.frombuffer(buffers[1], dtype=np.int32)[texts.offset : texts.offset + count + 1].astype(np.int64)
    data = np.zeros(offsets[-1] - offsets[0] + 8, dtype=np.uint8)
    data[:-8] = np.frombuffer(buffers[2], dtype=np.uint8)[offsets[0] : offsets[-1]]
    starts, lengths = offsets[:-1] - offsets[0], np.diff(offsets)
    one, two = _word_hashes(data, starts, np.minimum(lengths, LONG_TEXT_BYTES))
    long = np.flatnonzero(lengths > LONG_TEXT_BYTES)
    for position in long.tolist():  # an item number of that length is an accident, not a feed
        digest = hashlib.blake2b(
            data[starts[position] : starts[position] + lengths[position]].tobytes(), digest_size=16
        )
        one[position], two[position] = np.frombuffer(digest.digest(), dtype="<u8")
    filled = lengths > 0
    return np.where(filled, np.maximum(one, np.uint64(1)), np.uint64(0)), np.where(filled, two, np.uint64(0))


def _word_hashes(data: Any, starts: Any, lengths: Any) -> tuple[Any, Any]:
    """Both hashes over the words of texts; `data` ends with eight spare bytes."""
    import numpy as np

    words = np.ndarray((len(data) - 7,), dtype="<u8", buffer=data, strides=(1,))
    masks = np.array([(1 << (8 * size)) - 1 for size in range(9)], dtype=np.uint64)
    one, two = lengths.astype(np.uint64), ~lengths.astype(np.uint64)
    active: Any = slice(None)
    left, at = lengths, starts
    for _ in range(-(-int(lengths.max(initial=0)) // 8)):
        if (left <= 0).any():
            ongoing = np.flatnonzero(left > 0)
            left, at = left[ongoing], at[ongoing]
            active = ongoing if isinstance(active, slice) else active[ongoing]
        word = words[at] & masks[np.minimum(left, 8)]
        one[active] = _stirred(one[active] ^ word, 0)
        two[active] = _stirred(two[active] ^ word, 1)
        left, at = left - 8, at + 8
    return mixed(one), mixed(two)


def _stirred(values: Any, base: int) -> Any:
    import numpy as np

    values = values * np.uint64(_BASES[base])
    return values ^ (values >> np.uint64(29 + base * 3))


def mixed(values: Any) -> Any:
    """An array of uint64 spread evenly over all bits; the same number always gives the same one."""
    import numpy as np

    values = (values ^ (values >> np.uint64(30))) * np.uint64(_MIX[0])
    values = (values ^ (values >> np.uint64(27))) * np.uint64(_MIX[1])
    return values ^ (values >> np.uint64(31))
