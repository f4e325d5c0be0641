"""Texts cut into sentences whose digits no longer differ.

Sales texts say the same sentences again and again, and titles the same words around other numbers.  So there are few
distinct sentences, and what is asked of a sentence needs to be asked once.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.claims.words import UNITS
from auditor.columns.digit_shapes import Bytes, Offsets

Places = npt.NDArray[np.int64]
_STEP = 1 << 18  # bytes looked at together: they stay in the processor's cache
_DOT, _LINE_END, _BLANK = ord("."), ord("\n"), ord(" ")
_LIKE_LETTERS = 31  # the last bytes of the long s and of the kelvin sign, which patterns take for s and k


class Sentences(NamedTuple):
    """Sentences of texts, in text order and without a gap between them; empty texts may have none."""

    first: Places  # of each text, and behind the last one their number
    bounds: Offsets  # among all characters
    keys: pa.StringArray  # the sentences with every digit written 0


def sentences_of(data: Bytes, offsets: Offsets) -> Sentences:
    """Cuts texts (`data` their characters, joined, `offsets` their bounds) behind dots and ends of lines.

    A dot behind a word that may be a unit or a short form ("max. load", "2,205 lbs. (1,000 kg)") ends nothing.
    """
    zeroed, stops = _zeroed_with_stops(data)
    starts = _sentence_starts(data, stops)
    first = np.searchsorted(starts, offsets) + np.arange(len(offsets))
    bounds = np.concatenate([offsets, starts])
    bounds.sort(kind="stable")  # two sorted runs: a merge
    keys = pa.StringArray.from_buffers(len(bounds) - 1, pa.py_buffer(bounds), pa.py_buffer(zeroed))
    return Sentences(first, bounds, keys)


def _zeroed_with_stops(data: Bytes) -> tuple[Bytes, Places]:
    """The characters with every digit written 0, and the places of the dots and ends of lines."""
    lines = bool(np.any(data[:_STEP] == _LINE_END))  # in most feeds no text has several lines
    zeroed = np.empty(len(data), np.uint8)
    above, flags = np.empty(_STEP, np.uint8), np.empty(_STEP, np.bool_)
    stops = []
    for start in range(0, len(data), _STEP):
        characters = data[start : start + _STEP]
        count = len(characters)
        value, flag = above[:count], flags[:count]
        np.subtract(characters, np.uint8(48), out=value)
        np.less(value, 10, out=flag)
        np.multiply(value, flag.view(np.uint8), out=value)
        np.subtract(characters, value, out=zeroed[start : start + count])
        np.equal(characters, _DOT, out=flag)
        if lines:
            np.logical_or(flag, characters == _LINE_END, out=flag)
        stops.append(np.flatnonzero(flag) + start)
    return zeroed, np.concatenate(stops) if stops else np.zeros(0, np.int64)


def _sentence_starts(data: Bytes, stops: Places) -> Offsets:
    """Where a sentence begins behind a stop: so that the one before ends with a blank or with the end of a line."""
    stops = stops[(stops >= 3) & (stops + 1 < len(data))]
    before = _LETTER[data[stops - 3]] << 10 | _LETTER[data[stops - 2]] << 5 | _LETTER[data[stops - 1]]
    dots = data[stops] == _DOT
    ends = (data[stops + 1] == _BLANK) & ~_SHORT_FORMS[before] | ~dots
    starts: Offsets = (stops[ends] + 1 + dots[ends]).astype(np.int32)
    return starts


def _letters() -> npt.NDArray[np.int16]:
    """For every byte the number of its letter, in small or capital letters the same; 0 where it is none."""
    numbers = np.zeros(256, dtype=np.int16)
    numbers[ord("A") : ord("Z") + 1] = numbers[ord("a") : ord("z") + 1] = np.arange(1, 27)
    numbers[[0xBF, 0xAA]] = _LIKE_LETTERS
    return numbers


def _short_forms(words: list[str]) -> npt.NDArray[np.bool_]:
    """For the last three letters, or bytes, before a dot whether one of some words may stand there."""
    found = np.zeros((32, 32, 32), dtype=np.bool_)
    for word in words:
        ending: list[int | slice] = [int(_LETTER[byte]) for byte in word.encode()[-3:]]
        if "/" in word:  # "km/h"
            ending = ending[-2:]
        found[tuple([slice(None)] * (3 - len(ending)) + ending)] = True
    found[_LIKE_LETTERS] = found[:, _LIKE_LETTERS] = found[:, :, _LIKE_LETTERS] = True
    return found.ravel()


_LETTER = _letters()
_SHORT_FORMS = _short_forms([*UNITS, "max", "approx", "li"])
