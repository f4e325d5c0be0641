"""Sales texts cut into pieces, of which those that were told apart in blocks before are not cut into words again.

Shops put the same sentences into many texts.  A piece is known by a mark of its bytes; one that may hold a name, by
that and by a mark of its listing's names.  What quotes a marking is read anew.  The table has a fixed size, and two
places for each piece, so that it may come to be half full before pieces that are met again push each other out.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.claims.batch.alone import Pieces, beside_own, edges, read_alone
from auditor.claims.batch.arrays import Ints, any_of_each, gathered, mix
from auditor.claims.batch.owns import Owns
from auditor.claims.batch.pieces import pieces_of
from auditor.claims.batch.shapes import Shapes
from auditor.claims.batch.vocabulary import IDS, Vocabulary
from auditor.claims.terms.lexicon import Lexicon
from auditor.columns.marks import Marks, marks_of

_PLACES = 19  # places in the table, as a power of two: 6 MiB, of which those that were met are held
_FIRST = np.uint64(64 - _PLACES)  # what a mark is shifted by to be the first of its places
_SECOND = np.uint64(64 - 2 * _PLACES)  # and the second
_UNKNOWN = -1
_ALONE = np.uint64(0xA24BAED4963EE407)  # in the place of names: of pieces that hold none


class KnownPieces:
    """The shape of each piece that is one sentence, by its mark."""

    def __init__(self) -> None:
        self.names: set[int] = set()  # what names began with so far, without case
        self.clear()

    def clear(self) -> None:
        """Forgets all pieces."""
        self._marks = np.zeros(1 << _PLACES, np.uint64)
        self._shapes = np.zeros(1 << _PLACES, np.int32)

    def begin(self, owns: Owns) -> None:
        """To be told of the names of a block: with a new one no piece is known any more to hold none."""
        begins = owns.begins_of_names()
        if not self.names.issuperset(begins):
            self.names.update(begins)
            self.clear()

    def of(self, marks: Marks) -> Ints:
        """The shapes of pieces; -1 of those that are not known, and of those without a mark."""
        places = _places(marks, _FIRST)
        there = self._marks[places] == marks
        elsewhere = np.flatnonzero(~there)
        places[elsewhere] = second = _places(marks[elsewhere], _SECOND)
        there[elsewhere] = self._marks[second] == marks[elsewhere]
        there &= marks > 0
        return np.where(there, self._shapes[places], _UNKNOWN).astype(np.int64)

    def keep(self, marks: Marks, shapes: Ints) -> None:
        """Keeps the shapes of pieces, in their second places where others are in the first and none in those."""
        places, second = _places(marks, _FIRST), _places(marks, _SECOND)
        first, other = self._marks[places], self._marks[second]
        aside = (first > 0) & (first != marks) & ((other == 0) | (other == marks))
        places[aside] = second[aside]
        self._marks[places], self._shapes[places] = marks, shapes


def _places(marks: Marks, shift: np.uint64) -> Ints:
    """One of the places of each mark."""
    return (marks >> shift).astype(np.int64) & ((1 << _PLACES) - 1)


class Cut(NamedTuple):
    """Texts beside their own as pieces, one after another."""

    texts: pa.StringArray
    own: Ints
    bounds: Ints  # of every text's pieces
    inner: npt.NDArray[np.bool_]  # that are not the last of a text: they have to end a sentence
    raised: npt.NDArray[np.bool_]  # that have to begin with a capital for the cut before them to be right


def cut_beside(texts: pa.StringArray, text: Ints, own: Ints, lexicon: Lexicon) -> Cut:
    """The pieces of the texts `text`, each beside its `own`."""
    cut = pieces_of(texts, lexicon)
    inner, raised = np.ones(len(cut.texts), np.bool_), np.zeros(len(cut.texts), np.bool_)
    inner[cut.bounds[1:] - 1] = False
    raised[cut.raised] = True
    if len(text) == len(texts) and (text[1:] > text[:-1]).all():
        return Cut(cut.texts, np.repeat(own, np.diff(cut.bounds)), cut.bounds, inner, raised)
    places, bounds = gathered(np.arange(len(cut.texts)), cut.bounds, text)
    own = np.repeat(own, np.diff(bounds))
    return Cut(cut.texts.take(pa.array(places)), own, bounds, inner[places], raised[places])


def claims_of(
    cut: Cut, owns: Owns, vocabulary: Vocabulary, shapes: Shapes, known: KnownPieces
) -> tuple[Ints, Ints] | None:
    """The claims of the sentences of all texts, and where each text begins; None where a cut is not right."""
    known.begin(owns)
    marks, names = marks_of(cut.texts), owns.marks_of_names
    while True:
        found = known.of(_keyed(marks, _ALONE))
        left = np.flatnonzero(found == _UNKNOWN)
        found[left] = known.of(_keyed(marks[left], names[cut.own[left]]))
        left = left[found[left] == _UNKNOWN]
        coded = cut.texts.take(pa.array(left)).dictionary_encode()
        of_left = coded.indices.to_numpy().astype(np.int64)
        pieces = Pieces(of_left, cut.bounds, *vocabulary.cut_in_words(coded.dictionary))
        begun, ended = edges(vocabulary, pieces)
        if not (ended[of_left[cut.inner[left]]].all() and begun[of_left[cut.raised[left]]].all()):
            return None
        piece, own, of = beside_own(vocabulary, pieces, of_left, cut.own[left], owns)
        read = read_alone(vocabulary, pieces, piece, own, owns, title=False)
        claims = None
        while claims is None:
            shape = shapes.numbers(vocabulary, read.flat, read.starts)[read.of_pieces]
            sequence, ends = _joined(found, left, *gathered(shape, read.bounds, of))
            claims = shapes.read(sequence, ends[cut.bounds])
            if claims is None and len(left) < len(found):
                break  # what was known may be something else now
        if claims is not None:
            break
        known.clear()
    own_marks = np.zeros(len(coded.dictionary), np.uint64)
    own_marks[of_left] = marks[left]
    held = (vocabulary.holding(tokens)[pieces.words & IDS] for tokens in (owns.quoting(), owns.folded_to(known.names)))
    quotes, named = (any_of_each(flags, pieces.starts) for flags in held)
    fit = (begun & ended & ~quotes & (own_marks > 0))[piece] & (np.diff(read.bounds) == 1)
    keys = _keyed(own_marks[piece[fit]], np.where(named[piece[fit]], names[own[fit]], _ALONE))
    known.keep(keys, shape[read.bounds[:-1][fit]])
    return claims, ends[cut.bounds]


def _keyed(marks: Marks, names: npt.NDArray[np.uint64] | np.uint64) -> Marks:
    """Marks of pieces beside names; those that have none stay so."""
    return np.where(marks > 0, mix(marks ^ names), 0).astype(np.uint64)


def _joined(found: Ints, left: Ints, rest: Ints, ends: Ints) -> tuple[Ints, Ints]:
    """The shapes of all pieces, of which those that were `left` are any number of sentences, and the bounds of each."""
    counts = np.ones(len(found), np.int64)
    counts[left] = np.diff(ends)
    bounds = np.zeros(len(found) + 1, np.int64)
    np.cumsum(counts, out=bounds[1:])
    sequence = np.repeat(found, counts)
    sequence[sequence == _UNKNOWN] = rest
    return sequence, bounds
