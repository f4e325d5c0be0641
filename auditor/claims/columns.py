"""The claims of a block's titles and sales texts as arrays: what `auditor.claims.texts` reads, over columns.

Texts are cut into pieces, and each distinct piece into words, once.  What is the listing's own becomes signs before
sentences are told apart, and words that say nothing are gone, so that a feed whose texts combine its brands, markings
and phrases freely is few sentences.  What is kept between blocks is capped.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.arrays import Ints, any_of_each, gathered, hashes, kept_only, mix, starts_of, told_apart
from auditor.claims.lexicon import Lexicon
from auditor.claims.owns import Owns, owns_of
from auditor.claims.pieces import joined, pieces_of, without_html
from auditor.claims.readings import Sayings
from auditor.claims.sentences import Claim
from auditor.claims.shapes import ON_ALL, ON_LIKELY, Shapes
from auditor.claims.texts import counts, said_of
from auditor.claims.titles import without_lists
from auditor.claims.vocabulary import BITS, END, IDS, RAISED, UPPER_ID, Tokens, Vocabulary, in_parts, in_sentences
from auditor.columns.value_cache import Codes, MarkingCache, TextSnapshot, distinct, encoded
from auditor.trade.tables import Tables

_MOST_WORDS = 200_000
_MOST_TOKENS = 100_000
_MOST_SAID = 60_000
_MOST_ROOM = 600_000  # sentences times states


class _Kept:
    """What one thread keeps between blocks."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.vocabulary = Vocabulary(lexicon)
        self.shapes = {title: Shapes(lexicon, title) for title in (True, False)}
        self.sayings = Sayings()
        self.said: dict[tuple[object, ...], int] = {}  # sayings by claims and what they depend on

    @property
    def is_full(self) -> bool:
        """Whether it is time to begin anew."""
        room = sum(shapes.room for shapes in self.shapes.values())
        return len(self.vocabulary.tokens) > _MOST_TOKENS or len(self.said) > _MOST_SAID or room > _MOST_ROOM


class _Pieces(NamedTuple):
    """Texts as pieces, and the distinct pieces as tokens."""

    of_texts: Ints  # the distinct piece of every piece
    bounds: Ints  # of every text's pieces
    flat: Tokens
    starts: Ints


class ClaimReader:
    """Reads the claims of columns.  Every thread keeps what it has read; that only saves repeated reading."""

    def __init__(self, lexicon: Lexicon, tables: Tables, markings: MarkingCache) -> None:
        self._lexicon = lexicon
        self._tables = tables
        self._markings = markings
        self._local = threading.local()

    def owns(self, columns: Sequence[pa.Array | None], count: int) -> Owns:
        """What is the own of a block's records: from marking, size, service description, brand and model."""
        kept: _Kept | None = getattr(self._local, "kept", None)
        if kept is None or kept.is_full:
            kept = self._local.kept = _Kept(self._lexicon)
        if len(kept.vocabulary.words) > _MOST_WORDS:
            kept.vocabulary.words = {}
        return owns_of(kept.vocabulary, columns, count)

    def encode(self, column: pa.Array, owns: Owns, title: bool) -> tuple[Codes, TextSnapshot]:
        """The code of every record's reading, and what the readings claim; reading 0 is that of no text.

        `owns` are those that this thread asked for last.
        """
        if not pa.types.is_dictionary(column.type):
            texts = column.fill_null("").cast(pa.string())
            codes, snapshot = self._encoded(texts, np.arange(len(texts)), owns.places, owns, title)
            return codes.astype(np.int32), snapshot
        known, places = encoded(column)
        texts = pa.concat_arrays([known.cast(pa.string()).fill_null(""), pa.array([""])])
        text = np.where(places < 0, len(known), places)
        first, of_record = distinct([text, owns.places])
        codes, snapshot = self._encoded(texts, text[first], owns.places[first], owns, title)
        return codes[of_record].astype(np.int32), snapshot

    def _encoded(
        self, texts: pa.StringArray, text: Ints, own: Ints, owns: Owns, title: bool
    ) -> tuple[Ints, TextSnapshot]:
        """Reads the texts `text`, each beside its `own`."""
        kept: _Kept = self._local.kept
        pieces = _cut(kept.vocabulary, without_html(texts))
        piece, bounds = gathered(pieces.of_texts, pieces.bounds, text)
        quotes = any_of_each(owns.quoting(pieces.flat), pieces.starts)
        names = any_of_each(owns.naming(pieces.flat), pieces.starts)
        owner = np.repeat(own, np.diff(bounds))
        owner = np.where(quotes[piece], owner, owns.namesakes[owner])  # a name's piece is read once for all its tires
        alone, piece, owner, of = _beside_own(piece, owner, quotes | names)
        flat, ends = gathered(kept.vocabulary.plain(pieces.flat), pieces.starts, alone)
        signed, signed_ends = owns.signed(*gathered(pieces.flat, pieces.starts, piece), owner)
        ends = np.concatenate([ends, signed_ends[1:] + len(flat)])
        flat, ends = _without_runs(np.concatenate([flat, signed]), ends)
        starts, of_piece = in_sentences(kept.vocabulary, flat, ends)
        if title and len(starts):
            flat, starts, of_piece = in_parts(kept.vocabulary, flat, starts, of_piece)
        of_first = np.searchsorted(of_piece, np.arange(len(ends)))
        shapes, read = kept.shapes[title], None
        while read is None:
            sequence, ends = gathered(shapes.numbers(kept.vocabulary, flat, starts), of_first, of)
            bounds_of_texts = ends[bounds]
            read = shapes.read(sequence, bounds_of_texts)
        claiming = np.flatnonzero(read)
        of_text = np.searchsorted(bounds_of_texts, claiming, side="right") - 1
        say = self._said_of_titles if title else self._said
        said = say(kept, of_text, read[claiming], own, owns)
        blank = pc.equal(texts, "").to_numpy(zero_copy_only=False)[text]
        return kept.sayings.readings(blank, *said)

    def _said(self, kept: _Kept, of: Ints, claims: Ints, own: Ints, owns: Owns) -> tuple[Ints, Ints]:
        """What sentences say, with the texts `of` them."""
        shapes = kept.shapes[False]
        levels, keys = self._levels(shapes.depends[claims], own[of], owns)
        first, ids = told_apart(claims * len(keys) + levels)
        sayings = np.zeros(len(first), np.int64)
        for number, (one, claim) in enumerate(zip(first.tolist(), claims[first].tolist(), strict=True)):
            key = claim, keys[levels[one]]
            found = kept.said.get(key)
            if found is None:
                found = kept.said[key] = self._saying(kept, shapes.claims[claim], owns, int(own[of[one]]))
            sayings[number] = found
        return of, sayings[ids]

    def _said_of_titles(self, kept: _Kept, of: Ints, claims: Ints, own: Ints, owns: Owns) -> tuple[Ints, Ints]:
        """What titles say as a whole, for several values of a field name what there is; with the texts of them."""
        if not len(of):
            return of, claims
        shapes = kept.shapes[True]
        starts = starts_of(of)
        ends = np.append(starts[1:], len(of))
        _, sequence = told_apart(hashes(mix(claims), starts))
        levels, keys = self._levels(np.maximum.reduceat(shapes.depends[claims], starts), own[of[starts]], owns)
        first, ids = told_apart(sequence * len(keys) + levels)
        sayings = np.zeros(len(first), np.int64)
        for number, one in enumerate(first.tolist()):
            numbers = tuple(claims[starts[one] : ends[one]].tolist())
            key = numbers, keys[levels[one]]
            found = kept.said.get(key)
            if found is None:
                left = without_lists([claim for part in numbers for claim in shapes.claims[part]], self._lexicon)
                found = kept.said[key] = self._saying(kept, left, owns, int(own[of[starts[one]]]))
            sayings[number] = found
        return of[starts], sayings[ids]

    def _saying(self, kept: _Kept, claims: Sequence[Claim], owns: Owns, own: int) -> int:
        """The saying of claims beside one of the own markings."""
        mine = owns.own(own)
        return kept.sayings.number(said_of((claim for claim in claims if counts(claim, mine)), self._tables))

    def _levels(self, depends: Ints, own: Ints, owns: Owns) -> tuple[Ints, list[object]]:
        """What of the own marking claims depend on: places in a list of nothing, what figures are weighed by, all."""
        levels = np.zeros(len(own), np.int64)
        keys: list[object] = [None]
        for level in (ON_LIKELY, ON_ALL):
            some = np.flatnonzero(depends == level)
            used = np.zeros(len(owns.size), np.bool_)
            used[own[some]] = True
            which = np.flatnonzero(used)
            if level == ON_LIKELY:
                found, places = owns.likely(which, self._markings)
            else:
                found, places = [owns.own(one) for one in which.tolist()], np.arange(len(which))
            levels[some] = len(keys) + places[(np.cumsum(used) - 1)[own[some]]]
            keys += found
        return levels, keys


def _cut(vocabulary: Vocabulary, texts: pa.StringArray) -> _Pieces:
    cut = pieces_of(texts, vocabulary.lexicon)
    found = _coded(vocabulary, cut.texts, cut.bounds)
    if len(cut.texts) == len(texts):
        return found
    bits = np.append(vocabulary.table[BITS][found.flat & IDS], 0)
    some = found.starts[1:] > found.starts[:-1]
    ended = some & (bits[found.starts[1:] - 1] & END > 0)
    begun = some & (bits[found.starts[:-1]] & RAISED > 0)
    inner = np.ones(len(cut.texts), np.bool_)
    inner[cut.bounds[1:] - 1] = False
    if ended[found.of_texts[inner]].all() and begun[found.of_texts[cut.raised]].all():
        return found
    # A full stop within a word too long to be read as one, a link for example.
    return _coded(vocabulary, texts, np.arange(len(texts) + 1))


def _coded(vocabulary: Vocabulary, pieces: pa.StringArray, bounds: Ints) -> _Pieces:
    coded = pieces.dictionary_encode()
    flat, starts = vocabulary.cut(joined(coded.dictionary))
    return _Pieces(coded.indices.to_numpy().astype(np.int64), bounds, flat, starts)


def _without_runs(flat: Tokens, bounds: Ints) -> tuple[Tokens, Ints]:
    """Of several tokens of filler in a row only the last is kept."""
    filler = flat <= UPPER_ID
    keep = np.ones(len(flat), np.bool_)
    keep[:-1] = ~(filler[:-1] & filler[1:])
    keep[bounds[1:][bounds[1:] > bounds[:-1]] - 1] = True
    return kept_only(keep, flat, bounds)


def _beside_own(piece: Ints, own: Ints, maybe_own: npt.NDArray[np.bool_]) -> tuple[Ints, Ints, Ints, Ints]:
    """The pieces that are read alone, the distinct pairs of a piece and its own, and the place of every piece."""
    beside = np.flatnonzero(maybe_own[piece])
    used = np.zeros(len(maybe_own), np.bool_)
    used[piece] = True
    used &= ~maybe_own
    alone = np.flatnonzero(used)
    of = (np.cumsum(used) - 1)[piece]
    theirs, owners = piece[beside], own[beside]
    first, ids = told_apart(theirs * (int(owners.max(initial=0)) + 1) + owners)
    of[beside] = ids + len(alone)
    return alone, theirs[first], owners[first], of
