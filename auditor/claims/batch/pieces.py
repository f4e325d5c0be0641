"""Columns of texts cleaned, and cut where a sentence ends for certain, so that what texts share is read once."""

from __future__ import annotations

import html
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.arrays import Ints
from auditor.claims.terms.lexicon import Lexicon
from auditor.claims.terms.words import ENTITY, HTML_STEPS, TEXT_STEPS

_ANY_STEP = "|".join(f"(?:{pattern})" for pattern, _ in TEXT_STEPS)
_LETTERS = 8  # of the word before a full stop that are looked at


def without_html(texts: pa.StringArray) -> pa.StringArray:
    """Entities resolved and HTML taken off: the first half of `auditor.claims.terms.words.clean` over an array."""
    data = texts.buffers()[2]
    held = np.frombuffer(data, np.uint8) if data is not None else np.zeros(0, np.uint8)
    if np.any(held == ord("&")):
        entities = pc.match_substring_regex(texts, ENTITY.source)
        resolved = pa.array([html.unescape(text) for text in texts.filter(entities).to_pylist()], pa.string())
        texts = pc.replace_with_mask(texts, entities, resolved)
        held = np.frombuffer(texts.buffers()[2] or b"", np.uint8)
    if np.any(held == ord("<")):
        marked = pc.match_substring(texts, "<")
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


class Pieces(NamedTuple):
    """Texts cut into pieces."""

    texts: pa.StringArray  # the pieces one after another
    bounds: Ints  # of every text's
    raised: Ints  # pieces that must begin with a capital for the cut before them to be right


def pieces_of(texts: pa.StringArray, lexicon: Lexicon) -> Pieces:
    """The pieces of texts.

    Cutting less is no fault, but a cut has to be at the end of a sentence and where nothing is joined over it.
    """
    _, offsets, data = texts.buffers()
    bounds = np.frombuffer(offsets, np.int32, texts.offset + len(texts) + 1)[texts.offset :]
    if data is None or not len(texts) or bounds[-1] == bounds[0]:
        return Pieces(texts, np.arange(len(texts) + 1), np.zeros(0, np.int64))
    cuts, raised = _cuts(np.frombuffer(data, np.uint8, int(bounds[-1])), bounds, lexicon)
    before = np.searchsorted(cuts, bounds)
    text = np.repeat(np.arange(len(texts)), np.diff(before))
    all_bounds = np.insert(bounds, text + 1, cuts.astype(np.int32))
    pieces = pa.StringArray.from_buffers(len(all_bounds) - 1, pa.py_buffer(all_bounds), data)
    return Pieces(pieces, np.arange(len(bounds)) + before, (np.arange(len(cuts)) + text + 1)[raised])


def _cuts(
    data: npt.NDArray[np.uint8], bounds: npt.NDArray[np.int32], lexicon: Lexicon
) -> tuple[Ints, npt.NDArray[np.bool_]]:
    """Where the next piece begins: behind a full stop that ends a sentence for certain, and behind lines.

    A unit behind a number is a word for itself where a capital follows; of such cuts the second array tells.
    """
    dots = np.flatnonzero(data[:-1] == 46)
    dots = dots[data[dots + 1] == 32]
    edges = np.searchsorted(dots, bounds)
    begins = np.repeat(bounds[:-1].astype(np.int64), np.diff(edges))
    dots = dots[edges[0] :]
    inside = (dots - begins > 1) & (dots + 1 < np.repeat(bounds[1:], np.diff(edges)))
    dots, begins = dots[inside], begins[inside]
    before, second = data[dots - 1], data[dots - 2]
    letter = _is_letter(before)
    whole = (before > 96) & (second != 46)  # no "m.p.h."
    ends = (before == 41) | _is_digit(before) | (letter & (whole | _is_letter(second)))
    raised = np.zeros(len(dots), np.bool_)
    some = np.flatnonzero(ends & letter & _endings(lexicon)[second | 32, before | 32])
    some = some[_shortened(data, dots[some], begins[some], lexicon)]
    ends[some] = raised[some] = _measured(data, dots[some], begins[some])
    dots, raised = dots[ends] + 1, raised[ends]
    lines = np.flatnonzero(data[:-1] == 10) + 1
    if not len(lines):
        return dots, raised
    lines = lines[(data[lines] == 32) | _is_letter(data[lines]) | _is_digit(data[lines])]
    lines = lines[(lines > bounds[0]) & ~np.isin(lines, bounds)]
    order = np.argsort(np.concatenate([dots, lines]), kind="stable")
    return np.concatenate([dots, lines])[order], np.append(raised, np.zeros(len(lines), np.bool_))[order]


def _is_letter(data: npt.NDArray[np.uint8]) -> npt.NDArray[np.bool_]:
    return (data | 32) - np.uint8(97) < 26


def _is_digit(data: npt.NDArray[np.uint8]) -> npt.NDArray[np.bool_]:
    return data - np.uint8(48) < 10


@lru_cache(maxsize=8)
def _endings(lexicon: Lexicon) -> npt.NDArray[np.bool_]:
    """By its last two bytes whether a word may be an abbreviation."""
    endings = np.zeros((256, 256), np.bool_)
    for one in lexicon.abbreviations:
        *_, second, last = b"\0" + one.encode()
        endings[second if second else slice(None), last] = True
    return endings


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


def _measured(data: npt.NDArray[np.uint8], dots: Ints, begins: Ints) -> npt.NDArray[np.bool_]:
    """Whether a short unit stands behind a number, and a capital letter behind the full stop: "1,653 lbs. It"."""
    at = dots - 1
    for step in (_is_letter, lambda byte: byte == 32, lambda byte: _is_digit(byte) | (byte == 44) | (byte == 46)):
        for _ in range(_LETTERS):
            there = data[np.maximum(at, 0)]
            at = at - ((at >= begins) & step(there))
    number = _is_digit(data[np.minimum(at + 1, len(data) - 1)])
    apart = (at < begins) | (data[np.maximum(at, 0)] == 32)
    follows = data[np.minimum(dots + 2, len(data) - 1)]
    return number & apart & (follows > 64) & (follows < 91)
