"""Tokens of many texts as one array: gathered, cut into sentences and parts, and marked so that equal ones meet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.claims.lexicon import Lexicon
from auditor.claims.sentences import MOST_TOKENS
from auditor.claims.titles import CODE, CUT, FIRST, LETTER, SECOND, WHOLE, effect, joined
from auditor.claims.words import ENDS, UPPER
from auditor.columns.value_cache import distinct

Ints = npt.NDArray[np.int64]
_ODD = np.uint64(0x9E3779B97F4A7C15)


def gathered(values: Ints, starts: Ints, places: npt.NDArray[Any]) -> tuple[Ints, Ints]:
    """The values of the stretches `places`, one after another, and the bounds of each; -1 is an empty stretch."""
    begins = np.where(places < 0, 0, starts[places])
    lengths = np.where(places < 0, 0, starts[places + 1] - begins)
    bounds = np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64)
    index = np.arange(bounds[-1], dtype=np.int64) + np.repeat(begins - bounds[:-1], lengths)
    return values[index], bounds


def without_runs(flat: Ints, bounds: Ints) -> tuple[Ints, Ints]:
    """Of several tokens of filler in a row only the last is kept."""
    filler = flat < 2
    gone = np.zeros(len(flat), np.bool_)
    gone[:-1] = filler[:-1] & filler[1:]
    lasts = bounds[1:] - 1
    gone[lasts[(lasts >= 0) & (bounds[1:] > bounds[:-1])]] = False
    kept_before = np.concatenate([[0], np.cumsum(~gone)]).astype(np.int64)
    return flat[~gone], kept_before[bounds]


def in_sentences(tokens: Sequence[str], flat: Ints, bounds: Ints, lexicon: Lexicon) -> tuple[Ints, Ints]:
    """Where sentences begin, and the pair of each; the twin of `auditor.claims.sentences.sentences`."""
    if not len(flat):
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    ends = np.array([token in ENDS for token in tokens])[flat]
    shortened = np.array([token.casefold() in lexicon.abbreviations for token in tokens])[flat]
    raised = np.array([token == UPPER or token[0].isupper() for token in tokens])[flat]
    begins = np.array([lexicon.begins_sentence(token) for token in tokens])[flat]
    digits = np.array([token[0].isdigit() for token in tokens])[flat]
    dot = np.array([token == "." for token in tokens])[flat]
    inner = np.zeros(len(flat), np.bool_)
    edges = bounds[(bounds > 0) & (bounds < len(flat))]
    unit = np.zeros(len(flat), np.bool_)  # behind a number
    unit[1:] = digits[:-1]
    unit[edges] = False
    inner[1:-1] = dot[1:-1] & shortened[:-2] & ~np.where(unit[:-2], raised[2:], begins[2:])
    inner[edges] = False
    inner[edges - 1] = False
    begin = np.zeros(len(flat), np.bool_)
    begin[1:] = (ends & ~inner)[:-1]
    begin[0] = True
    begin[edges] = True
    starts = np.flatnonzero(begin)
    lengths = np.diff(np.append(starts, len(flat)))
    if int(lengths.max()) > MOST_TOKENS + 1:
        within = np.arange(len(flat)) - np.repeat(starts, lengths)
        begin |= within % (MOST_TOKENS + 1) == 0
        starts = np.flatnonzero(begin)
    return starts, np.searchsorted(bounds, starts, side="right") - 1


def in_parts(
    tokens: Sequence[str], flat: Ints, starts: Ints, of_pair: Ints, lexicon: Lexicon
) -> tuple[Ints, Ints, Ints]:
    """Sentences of titles cut into parts; the twin of `auditor.claims.titles.parts`."""
    effects = np.array([effect(token, lexicon) for token in tokens])[flat]
    first = np.zeros(len(flat), np.bool_)
    first[starts] = True
    at = 1 + np.flatnonzero((effects[1:] & SECOND > 0) & (effects[:-1] & FIRST > 0) & ~first[1:])
    third = np.append(np.where(first, -1, flat)[1:], -1)[at]
    one, pairs = distinct([flat[at - 1], flat[at], third])
    threes = zip(flat[at - 1][one].tolist(), flat[at][one].tolist(), third[one].tolist(), strict=True)
    does = [joined(tokens[a], tokens[b], tokens[c] if c >= 0 else "", lexicon) for a, b, c in threes]
    together = effects.copy()
    together[at] |= np.array(does, np.int64)[pairs]
    union = np.bitwise_or.reduceat(together, starts)
    whole = (union & WHOLE > 0) | (union & (LETTER | CODE) == LETTER | CODE)
    lengths = np.diff(np.append(starts, len(flat)))
    gone = (effects & CUT > 0) & np.repeat(~whole, lengths)
    first[1:] |= gone[:-1]
    left = ~gone
    return flat[left], np.flatnonzero(first[left]), np.repeat(of_pair, lengths)[left & first]


def hashes(values: Ints, starts: Ints) -> npt.NDArray[np.uint64]:
    """A 64-bit mark of each stretch of values: a sum of mixed values, each times a power of an odd number."""
    lengths = np.diff(np.append(starts, len(values)))
    within = np.arange(len(values)) - np.repeat(starts, lengths)
    powers = np.ones(int(lengths.max()) + 1, np.uint64)
    powers[1:] = _ODD
    powers = np.multiply.accumulate(powers)
    mixed = (values.astype(np.uint64) + np.uint64(1)) * np.uint64(0xD6E8FEB86659FD93)
    mixed ^= mixed >> np.uint64(32)
    mixed *= np.uint64(0xD6E8FEB86659FD93)
    mixed ^= mixed >> np.uint64(29)
    sums: npt.NDArray[np.uint64] = np.add.reduceat(mixed * powers[within], starts)
    return sums + lengths.astype(np.uint64) * np.uint64(0x8CB92BA72F3D8DD7)
