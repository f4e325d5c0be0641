"""The claims of a block's titles and sales texts as arrays: what `auditor.claims.texts` reads, over columns.

Sales texts are cut into pieces, and each distinct piece into words, once; titles, of which hardly two are alike, into
words at once.  What is the listing's own becomes signs before sentences are told apart, and words that say nothing are
gone, so that a feed whose texts combine its brands, markings and phrases freely is few sentences.  What is kept between
blocks is capped.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.alone import beside_own, cut_in_pieces, read_alone
from auditor.claims.arrays import Ints, gathered, hashes, mix, starts_of, told_apart
from auditor.claims.lexicon import Lexicon
from auditor.claims.owns import Owns, owns_of
from auditor.claims.pieces import without_html
from auditor.claims.readings import Sayings
from auditor.claims.replaced import replaced_in, sentence_pattern, words_pattern
from auditor.claims.sentences import Claim
from auditor.claims.shapes import ON_ALL, ON_LIKELY, Shapes
from auditor.claims.texts import counts, said_of
from auditor.claims.titles import without_lists
from auditor.claims.vocabulary import Vocabulary
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
        if kept.vocabulary.words > _MOST_WORDS:
            kept.vocabulary.forget_words()
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
        pieces = cut_in_pieces(kept.vocabulary, without_html(texts), title)
        piece, bounds = gathered(pieces.of_texts, pieces.bounds, text)
        owner = np.repeat(own, np.diff(bounds))
        piece, owner, of = beside_own(kept.vocabulary, pieces, piece, owner, owns)
        read = read_alone(kept.vocabulary, pieces, piece, owner, owns, title)
        shapes, claims = kept.shapes[title], None
        while claims is None:
            numbers = shapes.numbers(kept.vocabulary, read.flat, read.starts)[read.of_pieces]
            sequence, ends = gathered(numbers, read.bounds, of)
            bounds_of_texts = ends[bounds]
            claims = shapes.read(sequence, bounds_of_texts)
        claiming = np.flatnonzero(claims)
        of_text = np.searchsorted(bounds_of_texts, claiming, side="right") - 1
        say = self._said_of_titles if title else self._said
        said = say(kept, of_text, claims[claiming], own, owns)
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


class Replaced(NamedTuple):
    """What the texts of a block say: the record of each claim, and the marking of the tire that is replaced."""

    rows: npt.NDArray[np.int64]
    markings: pa.Array


def replaced_in_column(column: pa.Array, lexicon: Lexicon, words: frozenset[str]) -> Replaced:
    """The claims of a column: the first sentence of each text that holds one of the words, each distinct one once."""
    texts = (column.fill_null("") if column.null_count else column).cast(pa.string())
    may = pc.match_substring_regex(texts, words_pattern(words))
    rows = np.flatnonzero(may.to_numpy(zero_copy_only=False))
    sentences_of = pc.struct_field(pc.extract_regex(texts.take(pa.array(rows)), sentence_pattern(words)), "sentence")
    coded = sentences_of.fill_null("").dictionary_encode()
    said = [replaced_in(text, lexicon, words) for text in coded.dictionary.to_pylist()]
    counts = np.array([len(one) for one in said], dtype=np.int64)
    codes = coded.indices.to_numpy(zero_copy_only=False)
    starts = np.cumsum(counts) - counts
    of_row = counts[codes] if len(codes) else counts
    first = np.repeat(starts[codes], of_row) if len(codes) else starts
    behind = np.arange(len(first)) - np.repeat(np.cumsum(of_row) - of_row, of_row)
    flat = pa.array([marking for one in said for marking in one], pa.string())
    return Replaced(np.repeat(rows, of_row), flat.take(pa.array(first + behind)))
