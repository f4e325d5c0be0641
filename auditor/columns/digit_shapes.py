"""Shapes of texts: a text in which every digit is written `5`, but for those that the token pattern tells apart."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pyarrow as pa

Bytes = npt.NDArray[np.uint8]
Offsets = npt.NDArray[np.int32]
_ANY = ord("5")


def characters_of(texts: pa.StringArray) -> tuple[Bytes, Offsets]:
    """The characters of texts, joined, and the bounds of the texts in them."""
    offsets = np.frombuffer(texts.buffers()[1], dtype=np.int32)[texts.offset : texts.offset + len(texts) + 1]
    data = texts.buffers()[2]
    if data is None:
        return np.zeros(0, np.uint8), np.zeros(len(texts) + 1, np.int32)
    characters = np.frombuffer(data, dtype=np.uint8)[offsets[0] : offsets[-1]]
    return characters, offsets - offsets[0]


def shapes_of(texts: pa.StringArray) -> pa.DictionaryArray:
    """The shape of every text, as codes into the distinct shapes."""
    data, offsets = characters_of(texts)
    shapes = pa.StringArray.from_buffers(len(texts), pa.py_buffer(offsets), pa.py_buffer(masked(data, offsets)))
    return shapes.dictionary_encode()


def masked(data: Bytes, offsets: npt.NDArray[np.int32]) -> Bytes:
    """The characters of texts (joined, `offsets` their bounds) with digits that do not matter written `5`.

    Kept are what the token pattern tells apart: a zero that begins a number, `3` in "3PMSF", `9` in "A9".
    """
    is_digit = (data - np.uint8(48)) < 10
    result = np.where(is_digit, np.uint8(_ANY), data)
    positions = np.flatnonzero((data == ord("0")) | (data == ord("3")) | (data == ord("9")))
    if len(positions) == 0:
        return result
    first = np.zeros(len(data), dtype=np.bool_)
    first[offsets[:-1][offsets[:-1] < len(data)]] = True
    digit = data[positions]
    before = np.where(first[positions], np.uint8(0), data[positions - 1])
    begins = (before - np.uint8(48)) >= 10
    zeros = positions[begins & (digit == ord("0"))]
    if len(zeros):
        behind = np.where(first[zeros] | first[zeros - 1], np.uint8(0), data[zeros - 2])
        sign = np.where(first[zeros], np.uint8(0), data[zeros - 1])
        grouped = ((sign == ord(",")) | (sign == ord("."))) & ((behind - np.uint8(48)) < 10)
        result[zeros[~grouped]] = ord("0")
    threes = positions[begins & (digit == ord("3"))]
    follows = data[np.minimum(threes + 1, len(data) - 1)]
    result[threes[(follows == ord("P")) | (follows == ord("p")) | (follows == ord("-"))]] = ord("3")
    result[positions[(digit == ord("9")) & (before == ord("A"))]] = ord("9")
    return result
