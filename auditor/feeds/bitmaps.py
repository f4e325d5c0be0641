"""Bitmaps over a stretch of bytes: a bit per byte, so that one step of numpy's looks at 64 bytes.

Bit i of word w stands for byte 64 w + i.
"""

from __future__ import annotations

import threading

import numpy as np
import numpy.typing as npt
import pyarrow as pa

Bytes = npt.NDArray[np.uint8]
Positions = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]
Bits = npt.NDArray[np.uint64]

_KEPT = 16 << 20  # bytes of scratch memory that a thread keeps at most, per buffer
_DOUBLINGS = tuple(np.uint64(1 << step) for step in range(6))
_ONE, _TOP = np.uint64(1), np.uint64(63)
_PAIRS, _FOURS, _EIGHTS = (np.uint64(mask) for mask in (0x5555555555555555, 0x3333333333333333, 0x0F0F0F0F0F0F0F0F))
_BYTES = np.uint64(0x0101010101010101)

_scratch = threading.local()


def _room(size: int, name: str) -> Flags:
    """A buffer that this thread keeps under `name`; fresh memory would cost more than the work."""
    kept: Flags | None = getattr(_scratch, name, None)
    if kept is None or len(kept) < size:
        kept = np.empty(size, bool)
        if size <= _KEPT:
            setattr(_scratch, name, kept)
    return kept[:size]


def positions(data: Bytes, value: int) -> Positions:
    """Where `data` holds `value`."""
    return np.flatnonzero(np.equal(data, value, out=_room(len(data), "flags")))


def holds(data: Bytes, value: int) -> bool:
    """Whether some byte is `value`."""
    return bool(np.equal(data, value, out=_room(len(data), "flags")).any())


def bits_of(data: Bytes, value: int) -> Bits:
    """The bitmap of the bytes that are `value`; bits beyond the data are 0."""
    flags = _room(-(-len(data) // 64) * 64, "flags")
    np.equal(data, value, out=flags[: len(data)])
    flags[len(data) :] = False
    bits: Bits = np.packbits(flags, bitorder="little").view("<u8")
    return bits


def bit_positions(bits: Bits, size: int) -> Positions:
    """Places of the set bits among the first `size`."""
    return np.flatnonzero(np.unpackbits(bits.view(np.uint8), count=size, bitorder="little").view(bool))


def last_position(data: Bytes, value: int) -> int:
    """Place of the last `value`, or -1; looks from the end in growing steps."""
    stop, step = len(data), 1 << 12
    while stop > 0:
        start = max(stop - step, 0)
        hits = np.flatnonzero(data[start:stop] == value)
        if len(hits):
            return start + int(hits[-1])
        stop, step = start, step * 4
    return -1


def last_bit(bits: Bits) -> int:
    """Place of the last set bit, or -1; looks from the end in growing steps."""
    stop, step = len(bits), 64
    while stop > 0:
        start = max(stop - step, 0)
        words = np.flatnonzero(bits[start:stop])
        if len(words):
            word = start + int(words[-1])
            return 64 * word + int(bits[word]).bit_length() - 1
        stop, step = start, step * 4
    return -1


def after(bits: Bits, first: bool) -> Bits:
    """The bitmap of the bytes whose neighbor before them is set; `first` answers for the first byte."""
    moved = bits << _ONE
    moved[1:] |= bits[:-1] >> _TOP
    if first:
        moved[0] |= _ONE
    return moved


def before(bits: Bits, size: int, last: bool) -> Bits:
    """The bitmap of the bytes whose neighbor after them is set; `last` answers for the last of the `size` bytes."""
    moved = bits >> _ONE
    moved[:-1] |= bits[1:] << _TOP
    if last:
        moved[-1] |= _ONE << np.uint64((size - 1) & 63)
    return moved


def running_parity(bits: Bits) -> tuple[Bits, bool]:
    """The bitmap of the bytes up to which, themselves included, an odd number of bits is set; and whether all are odd.

    Each doubling carries the parity twice as far within a word; whole words then carry it on.
    """
    parity = bits.copy()
    moved = np.empty_like(bits)
    for doubling in _DOUBLINGS:
        parity ^= np.left_shift(parity, doubling, out=moved)
    carried = np.bitwise_xor.accumulate(np.right_shift(parity, _TOP, out=moved))
    parity[1:] ^= np.negative(carried[:-1])
    return parity, bool(carried[-1])


def ranks(bits: Bits, positions: Positions) -> Positions:
    """How many bits are set before each place."""
    word, bit = positions >> 6, (positions & 63).astype(np.uint64)
    counts = _bits_set(bits)
    earlier = np.concatenate([np.zeros(1, np.int64), np.cumsum(counts)])[word]
    here = bits[np.minimum(word, len(bits) - 1)] & ((_ONE << bit) - _ONE)
    return earlier + _bits_set(here)


def count_set(bits: Bits) -> int:
    """How many bits are set."""
    counted: int = pa.Array.from_buffers(pa.bool_(), 64 * len(bits), [None, pa.py_buffer(bits)]).true_count
    return counted


def _bits_set(bits: Bits) -> Positions:
    """Bits set in each word, summed in pairs, fours, eights, and all eight bytes by one multiplication."""
    sums = bits - ((bits >> _ONE) & _PAIRS)
    sums = (sums & _FOURS) + ((sums >> np.uint64(2)) & _FOURS)
    sums = (sums + (sums >> np.uint64(4))) & _EIGHTS
    return ((sums * _BYTES) >> np.uint64(56)).astype(np.int64)
