"""What of columns is read on its own: texts cut into pieces, and each distinct one beside its own into sentences."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.claims.batch.arrays import Ints, any_of_each, gathered, hashes, told_apart, without_runs
from auditor.claims.batch.owns import Owns
from auditor.claims.batch.vocabulary import (
    BEGINS,
    BITS,
    DIGIT,
    DOT,
    END,
    IDS,
    RAISED,
    SHORTENED,
    UPPER_ID,
    Tokens,
    Vocabulary,
)
from auditor.claims.sentences import MOST_TOKENS
from auditor.claims.texts import COUNTED, CUT, DIGITS_OF_ARTICLE, FIRST, SECOND, SIGN, is_whole, joined
from auditor.columns.value_cache import distinct

_MOST_WORDS_AT_ONCE = 65_536  # what is made of them stays in the processor's cache


class Pieces(NamedTuple):
    """Texts as pieces, and the distinct pieces as words."""

    of_texts: Ints  # the distinct piece of every piece
    bounds: Ints  # of every text's pieces
    words: Ints
    starts: Ints  # of every piece's words


class Alone(NamedTuple):
    """What is read on its own: sentences, or parts of titles, each distinct one of a stretch of pieces once."""

    flat: Tokens
    starts: Ints
    of_pieces: Ints  # which of them every sentence of the pieces is
    bounds: Ints  # of every piece's


def in_words(vocabulary: Vocabulary, texts: pa.StringArray, title: bool) -> Pieces:
    """Whole texts as words, each distinct one once; titles are seldom twice the same."""
    bounds = np.arange(len(texts) + 1)
    if title:
        return Pieces(bounds[:-1], bounds, *vocabulary.cut_in_words(texts))
    coded = texts.dictionary_encode()
    return Pieces(coded.indices.to_numpy().astype(np.int64), bounds, *vocabulary.cut_in_words(coded.dictionary))


def edges(vocabulary: Vocabulary, pieces: Pieces) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_]]:
    """Which of the distinct pieces begin with a capital, and which end a sentence."""
    bits = vocabulary.table[BITS]
    first, last = (np.append(bits[tokens], 0)[pieces.words & IDS] for tokens in vocabulary.first_and_last)
    some = pieces.starts[1:] > pieces.starts[:-1]
    ended = some & (np.append(last, 0)[pieces.starts[1:] - 1] & END > 0)
    return some & (np.append(first, 0)[pieces.starts[:-1]] & RAISED > 0), ended


def beside_own(vocabulary: Vocabulary, pieces: Pieces, piece: Ints, own: Ints, owns: Owns) -> tuple[Ints, Ints, Ints]:
    """The distinct pairs of a piece and its own, and the place of every piece among them.

    A piece that holds nothing of any own marking or name is read once, one that holds a name once for all its tires.
    """
    if (piece[1:] > piece[:-1]).all():
        return piece, own, np.arange(len(piece))  # each is there once
    quoting, naming = (vocabulary.holding(tokens)[pieces.words & IDS] for tokens in (owns.quoting(), owns.naming()))
    quotes, names = (any_of_each(flags, pieces.starts)[piece] for flags in (quoting, naming))
    own = np.where(quotes, own, np.where(names, owns.namesakes[own], 0))
    first, of = told_apart(piece * (int(own.max(initial=0)) + 1) + own)
    return piece[first], own[first], of


def read_alone(vocabulary: Vocabulary, pieces: Pieces, piece: Ints, own: Ints, owns: Owns, title: bool) -> Alone:
    """What is read on its own of some pieces, each beside its own."""
    (fillers, raised), found = owns.fillers(), []
    words_before = np.append(0, np.cumsum(np.diff(pieces.starts)[piece]))
    start = 0
    while start < len(piece):
        stop = int(np.searchsorted(words_before, words_before[start] + _MOST_WORDS_AT_ONCE))
        stop = max(start + 1, min(stop, len(piece)))
        words, bounds = _words_of(pieces, piece[start:stop])
        ids = words & IDS
        words, bounds = without_runs(fillers[ids], raised[ids], words, bounds)
        flat, bounds = owns.signed(*vocabulary.tokens_of(words, bounds), own[start:stop], title=title)
        flat, bounds = without_runs(flat <= UPPER_ID, flat == UPPER_ID, flat, bounds)
        starts, of = _in_sentences(vocabulary, flat, bounds)
        if title and len(starts):
            flat, starts, of = _in_parts(vocabulary, flat, starts, of)
        found.append(_distinct(vocabulary, flat, starts, np.bincount(of, minlength=stop - start)))
        start = stop
    return _united(found)


def _words_of(pieces: Pieces, some: Ints) -> tuple[Ints, Ints]:
    if len(some) and some[-1] - some[0] == len(some) - 1 and (some[1:] > some[:-1]).all():
        bounds = pieces.starts[some[0] : some[-1] + 2]
        return pieces.words[bounds[0] : bounds[-1]], bounds - bounds[0]
    return gathered(pieces.words, pieces.starts, some)


class _Sentences(NamedTuple):
    """The distinct sentences of a stretch of pieces."""

    flat: Tokens
    lengths: Ints
    marks: npt.NDArray[np.uint64]
    of_pieces: Ints  # which of them every sentence of the pieces is
    counts: Ints  # sentences of every piece


def _distinct(vocabulary: Vocabulary, flat: Tokens, starts: Ints, counts: Ints) -> _Sentences:
    if not len(starts):
        return _Sentences(flat[:0], starts, np.zeros(0, np.uint64), starts, counts)
    marks = hashes(vocabulary.mixed(flat), starts)
    first, ids = told_apart(marks)
    flat, bounds = gathered(flat, np.append(starts, len(flat)), first)
    return _Sentences(flat, np.diff(bounds), marks[first], ids, counts)


def _united(found: list[_Sentences]) -> Alone:
    """The distinct sentences of all stretches."""
    if not found:
        return Alone(np.zeros(0, np.int64), *(np.zeros(size, np.int64) for size in (0, 0, 1)))
    flats, lengths, marks, ids, counts = zip(*found, strict=True)
    first, of_all = told_apart(np.concatenate(marks))
    before = np.cumsum([0, *(len(one) for one in marks)])
    flat, starts = gathered(np.concatenate(flats), np.append(0, np.cumsum(np.concatenate(lengths))), first)
    of = np.concatenate([one + start for one, start in zip(ids, before.tolist(), strict=False)])
    return Alone(flat, starts[:-1], of_all[of], np.append(0, np.cumsum(np.concatenate(counts))))


def _in_sentences(vocabulary: Vocabulary, flat: Tokens, bounds: Ints) -> tuple[Ints, Ints]:
    """Where sentences begin, and the stretch of each; the twin of `auditor.claims.sentences.sentences`."""
    if not len(flat):
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    bits = vocabulary.table[BITS][flat & IDS]
    begin = np.zeros(len(flat) + 1, np.bool_)
    begin[1:] = bits & END > 0
    dots = np.flatnonzero(bits & DOT)
    dots = dots[(dots > 0) & (dots < len(flat) - 1)]
    dots = dots[bits[dots - 1] & SHORTENED > 0]
    if len(dots):
        edge = np.zeros(len(flat) + 1, np.bool_)
        edge[bounds] = True
        dots = dots[~edge[dots] & ~edge[dots + 1]]
        unit = ~edge[dots - 1] & (bits[dots - 2] & DIGIT > 0)  # behind a number
        follows = bits[dots + 1]
        begin[dots[np.where(unit, follows & RAISED, follows & BEGINS) == 0] + 1] = False
    begin[bounds] = True
    starts = np.flatnonzero(begin[:-1])
    lengths = np.diff(np.append(starts, len(flat)))
    if int(lengths.max()) > MOST_TOKENS + 1:
        within = np.arange(len(flat)) - np.repeat(starts, lengths)
        begin[:-1] |= within % (MOST_TOKENS + 1) == 0
        starts = np.flatnonzero(begin[:-1])
    return starts, np.searchsorted(bounds, starts, side="right") - 1


def _in_parts(vocabulary: Vocabulary, flat: Tokens, starts: Ints, of: Ints) -> tuple[Tokens, Ints, Ints]:
    """Sentences of titles cut into parts; the twin of `auditor.claims.texts.parts`."""
    ids = flat & IDS
    effects = vocabulary.effects(ids)
    first = np.zeros(len(flat), np.bool_)
    first[starts] = True
    articles = np.flatnonzero(flat >> 32 >= 10 ** (DIGITS_OF_ARTICLE - 1))
    if len(articles):
        counted = np.append(effects & COUNTED > 0, False)
        begins = np.append(first, True)
        beside = (counted[articles - 1] & ~first[articles]) | (counted[articles + 1] & ~begins[articles + 1])
        effects[articles[~beside]] = CUT
    at = np.flatnonzero(effects & SECOND)
    at = at[~first[at]]
    at = at[effects[at - 1] & FIRST > 0]
    together = effects
    if len(at):
        third = np.append(np.where(first, -1, ids)[1:], -1)[at]
        one, pairs = distinct([ids[at - 1], ids[at], third])
        threes = zip(ids[at - 1][one].tolist(), ids[at][one].tolist(), third[one].tolist(), strict=True)
        tokens = vocabulary.tokens
        does = [joined(tokens[a], tokens[b], tokens[c] if c >= 0 else "", vocabulary.lexicon) for a, b, c in threes]
        together = effects.copy()
        together[at] |= np.array(does, effects.dtype)[pairs]
    whole = is_whole(np.bitwise_or.reduceat(together, starts))
    gone = effects & CUT > 0
    begins = gone[:-1] | ((effects[1:] ^ effects[:-1]) & SIGN > 0)
    if whole.any():
        parted = np.repeat(~whole, np.diff(np.append(starts, len(flat))))
        gone &= parted
        begins &= parted[1:]
    first[1:] |= begins
    left = np.flatnonzero(~gone)
    parts = np.flatnonzero(first[left])
    return flat[left], parts, of[np.searchsorted(starts, left[parts], side="right") - 1]
