"""Columns of texts cleaned, and cut where a sentence ends for certain, so that what texts share is read once."""

from __future__ import annotations

import html

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.arrays import Ints
from auditor.claims.lexicon import Lexicon
from auditor.claims.words import ENTITY, HTML_STEPS, TEXT_STEPS

_ANY_STEP = "|".join(f"(?:{pattern})" for pattern, _ in TEXT_STEPS)
_LETTERS = 8  # of the word before a full stop that are looked at


def without_html(texts: pa.StringArray) -> pa.StringArray:
    """Entities resolved and HTML taken off: the first half of `auditor.claims.words.clean` over an array."""
    entities = pc.match_substring_regex(texts, ENTITY.source)
    if pc.any(entities).as_py():
        resolved = pa.array([html.unescape(text) for text in texts.filter(entities).to_pylist()], pa.string())
        texts = pc.replace_with_mask(texts, entities, resolved)
    marked = pc.match_substring(texts, "<")
    if pc.any(marked).as_py():
        some = texts.filter(marked)
        for pattern, instead in HTML_STEPS:
            some = pc.replace_substring_regex(some, pattern, instead)
        texts = pc.replace_with_mask(texts, marked, some)
    return texts


def joined(texts: pa.StringArray) -> pa.StringArray:
    """Parts of a size joined and lines marked: the second half."""
    touched = pc.match_substring_regex(texts, _ANY_STEP)
    if not pc.any(touched).as_py():
        return texts
    some = texts.filter(touched)
    for pattern, instead in TEXT_STEPS:
        where = pc.match_substring_regex(some, pattern)
        if pc.any(where).as_py():
            changed = pc.replace_substring_regex(some.filter(where), pattern, instead)
            some = pc.replace_with_mask(some, where, changed)
    return pc.replace_with_mask(texts, touched, some)


def cleaned(texts: pa.StringArray) -> pa.StringArray:
    """`auditor.claims.words.clean` over an array."""
    return joined(without_html(texts))


def pieces_of(texts: pa.StringArray, lexicon: Lexicon) -> tuple[pa.StringArray, Ints]:
    """The pieces of texts one after another, and the bounds of each text's.

    Cutting early is no fault, but a cut has to be at the end of a sentence and where nothing is joined over it.
    """
    _, offsets, data = texts.buffers()
    bounds = np.frombuffer(offsets, np.int32, texts.offset + len(texts) + 1)[texts.offset :]
    if data is None or not len(texts) or bounds[-1] == bounds[0]:
        return texts, np.arange(len(texts) + 1)
    cuts = _cuts(np.frombuffer(data, np.uint8, int(bounds[-1])), bounds, lexicon)
    behind = np.searchsorted(bounds, cuts, side="right")
    inside = (behind > 0) & (bounds[behind - 1] < cuts)
    cuts, behind = cuts[inside], behind[inside]
    all_bounds = np.insert(bounds, behind, cuts.astype(np.int32))
    pieces = pa.StringArray.from_buffers(len(all_bounds) - 1, pa.py_buffer(all_bounds.astype(np.int32)), data)
    return pieces, np.arange(len(bounds)) + np.searchsorted(cuts, bounds)


def _cuts(data: npt.NDArray[np.uint8], bounds: npt.NDArray[np.int32], lexicon: Lexicon) -> Ints:
    """Where the next piece begins: behind the full stop of a word that is not shortened, and behind lines."""
    dots = np.flatnonzero(data[:-1] == 46)
    dots = dots[data[dots + 1] == 32]
    begins = bounds[np.searchsorted(bounds, dots, side="right") - 1]
    inside = dots - begins > 1
    dots, begins = dots[inside], begins[inside]
    before, second = data[dots - 1], data[dots - 2]
    letter = _is_letter(before)
    ends = (before == 41) | _is_digit(before) | (letter & ((before > 96) | _is_letter(second)))
    dots = dots[ends & ~_shortened(data, dots, begins, lexicon)]
    lines = np.flatnonzero(data[:-1] == 10)
    follows = data[lines + 1]
    lines = lines[(follows == 32) | _is_letter(follows) | _is_digit(follows)]
    return np.sort(np.concatenate([dots, lines])) + 1 if len(lines) else dots + 1


def _is_letter(data: npt.NDArray[np.uint8]) -> npt.NDArray[np.bool_]:
    return (data | 32) - np.uint8(97) < 26


def _is_digit(data: npt.NDArray[np.uint8]) -> npt.NDArray[np.bool_]:
    return data - np.uint8(48) < 10


def _shortened(data: npt.NDArray[np.uint8], dots: Ints, begins: Ints, lexicon: Lexicon) -> npt.NDArray[np.bool_]:
    """Whether the letters before full stops may be those of an abbreviation."""
    word = np.zeros(len(dots), np.uint64)
    within = np.ones(len(dots), np.bool_)
    foreign = np.zeros(len(dots), np.bool_)
    for back in range(1, _LETTERS + 1):
        within &= dots - back >= begins
        letter = data[np.maximum(dots - back, 0)]
        foreign |= within & (letter > 127)
        within &= _is_letter(letter)
        word = np.where(within, word << np.uint64(8) | (letter | 32), word)
    known = [one.encode()[::-1][:_LETTERS] for one in lexicon.abbreviations]
    return foreign | np.isin(word, np.array([int.from_bytes(one, "big") for one in known], np.uint64))
