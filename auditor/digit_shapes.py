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
    before = np.zeros_like(data)
    before[1:] = data[:-1]
    firsts = offsets[:-1][offsets[:-1] < len(data)]
    before[firsts] = 0
    digit_before = np.zeros_like(is_digit)
    digit_before[1:] = is_digit[:-1]
    digit_before[firsts] = False
    result = np.where(is_digit, np.uint8(_ANY), data)
    places = np.flatnonzero(is_digit & ~digit_before & (data == ord("0")))
    if len(places):
        grouped = np.isin(before[places], np.frombuffer(b",.", np.uint8)) & digit_before[np.maximum(places - 1, 0)]
        result[places[~grouped]] = ord("0")
    places = np.flatnonzero((data == ord("3")) & ~digit_before)
    if len(places):
        follows = data[np.minimum(places + 1, len(data) - 1)]
        result[places[np.isin(follows, np.frombuffer(b"Pp-", np.uint8))]] = ord("3")
    places = np.flatnonzero((data == ord("9")) & (before == ord("A")))
    result[places] = ord("9")
    return result
