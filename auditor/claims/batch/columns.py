"""The claims of a block's titles and sales texts as arrays: what `auditor.claims.texts` reads, over columns.

Sales texts are cut into pieces, and each distinct piece into words, once; titles, of which hardly two are alike, into
words at once.  What is the listing's own becomes signs before sentences are told apart, and words that say nothing are
gone, so that a feed whose texts combine its brands, markings and phrases freely is few sentences.  What is kept between
blocks is capped.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.alone import beside_own, in_words, read_alone
from auditor.claims.batch.arrays import Ints, gathered, hashes, mix, starts_of, told_apart
from auditor.claims.batch.figures import Figures
from auditor.claims.batch.known_pieces import KnownPieces, claims_of, cut_beside
from auditor.claims.batch.labelled_column import LabelledColumn, LabelledLines
from auditor.claims.batch.owns import Owns, owns_of
from auditor.claims.batch.pieces import without_html
from auditor.claims.batch.quotes import Quotes
from auditor.claims.batch.sayings import Sayings
from auditor.claims.batch.shapes import ON_ALL, ON_LOADS, ON_SPEED, Shapes
from auditor.claims.batch.title_patterns import are_plain, hold_rim, matches
from auditor.claims.batch.vocabulary import Vocabulary
from auditor.claims.sentences import LONG, Claim
from auditor.claims.terms.lexicon import Lexicon
from auditor.claims.texts import counts, said_of, without_lists
from auditor.claims.titled import DESCRIBED, LETTERS, RANGED, SIZED, read_beside, with_letters
from auditor.columns.value_cache import Codes, MarkingCache, TextSnapshot, distinct, encoded
from auditor.trade.tables import Tables

_MOST_WORDS = 200_000
_MOST_TOKENS = 100_000
_MOST_SAID = 15_000
_MOST_SAYINGS = 60_000
_MOST_ROOM = 150_000  # sentences times states; a feed with more hardly says the same twice


class _Kept:
    """What one thread keeps between blocks."""

    def __init__(self, lexicon: Lexicon, tables: Tables, before: _Kept | None) -> None:
        """What is capped by itself is taken over from what was kept before."""
        self.vocabulary = Vocabulary(lexicon)
        self.quotes = Quotes(self.vocabulary)
        self.pieces = KnownPieces()
        self.shapes: dict[bool, Shapes] = {
            title: Shapes(lexicon, title, before.shapes[title].figures if before else Figures(lexicon, title))
            for title in (True, False)
        }
        self.sayings = Sayings()
        self.said: dict[tuple[object, ...], int] = {}  # sayings by claims and what they depend on
        self.lines = LabelledLines(lambda claims: self.sayings.number(said_of(claims, tables)))

    @property
    def sentences(self) -> int:
        """How many distinct ones were met."""
        return sum(len(shapes.tokens) for shapes in self.shapes.values())

    @property
    def is_full(self) -> bool:
        """Whether it is time to begin anew."""
        room = sum(shapes.room for shapes in self.shapes.values())
        many = len(self.vocabulary.tokens) > _MOST_TOKENS or len(self.sayings) > _MOST_SAYINGS
        return many or len(self.said) > _MOST_SAID or room > _MOST_ROOM


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
            kept = self._local.kept = _Kept(self._lexicon, self._tables, kept)
        if kept.vocabulary.words > _MOST_WORDS:
            kept.vocabulary.forget_words()
        self._local.before = kept.sentences
        return owns_of(kept.quotes, columns, count)

    def learned(self) -> int:
        """How many distinct sentences this thread has met since it was last asked for what is the own of records."""
        return int(self._local.kept.sentences - self._local.before)

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
        labelled, told = kept.lines.of(without_html(texts), title=title), None
        cleaned = labelled.rest
        if not title:
            cut = cut_beside(cleaned, text, own, self._lexicon)
            told = claims_of(cut, owns, kept.vocabulary, kept.shapes[title], kept.pieces)
        if told is None:
            told = self._whole(kept, cleaned, text, own, owns, title)
        claims, bounds_of_texts = told
        claiming = np.flatnonzero(claims)
        of_text = np.searchsorted(bounds_of_texts, claiming, side="right") - 1
        if title:
            said = self._said_of_titles(kept, of_text, claims[claiming], own, owns)
            said = self._with_markings(kept, texts.take(pa.array(text)), own, owns, *said)
        else:
            long = np.diff(bounds_of_texts)[of_text] >= LONG
            said = self._said(kept, of_text, claims[claiming], own, owns, long)
        blank = pc.equal(texts, "").to_numpy(zero_copy_only=False)[text]
        return kept.sayings.readings(blank, *_with_labelled(*said, text, labelled))

    def _whole(
        self, kept: _Kept, texts: pa.StringArray, text: Ints, own: Ints, owns: Owns, title: bool
    ) -> tuple[Ints, Ints]:
        """The claims of the sentences of uncut texts, and where each text begins."""
        pieces = in_words(kept.vocabulary, texts, title)
        piece, bounds = gathered(pieces.of_texts, pieces.bounds, text)
        owner = np.repeat(own, np.diff(bounds))
        piece, owner, of = beside_own(kept.vocabulary, pieces, piece, owner, owns)
        read = read_alone(kept.vocabulary, pieces, piece, owner, owns, title)
        shapes, claims = kept.shapes[title], None
        while claims is None:
            numbers = shapes.numbers(kept.vocabulary, read.flat, read.starts)[read.of_pieces]
            sequence, ends = gathered(numbers, read.bounds, of)
            claims = shapes.read(sequence, ends[bounds])
        return claims, ends[bounds]

    def _said(
        self, kept: _Kept, of: Ints, claims: Ints, own: Ints, owns: Owns, long: npt.NDArray[np.bool_]
    ) -> tuple[Ints, Ints]:
        """What sentences say, with the texts `of` them; `long` are those of long ones."""
        shapes = kept.shapes[False]
        levels, keys = self._levels(shapes.depends[claims], own[of], owns)
        first, ids = told_apart((claims * len(keys) + levels) * 2 + long)
        sayings = np.zeros(len(first), np.int64)
        for number, (one, claim) in enumerate(zip(first.tolist(), claims[first].tolist(), strict=True)):
            key = claim, keys[levels[one]], bool(long[one])
            found = kept.said.get(key)
            if found is None:
                left = self._counting(shapes.claims[claim], owns, int(own[of[one]]), long=bool(long[one]))
                found = kept.said[key] = kept.sayings.number(said_of(left, self._tables))
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
                every = [claim for part in numbers for claim in shapes.claims[part]]
                left = without_lists(self._counting(every, owns, int(own[of[starts[one]]])), self._lexicon)
                found = kept.said[key] = kept.sayings.number(said_of(left, self._tables))
            sayings[number] = found
        return of[starts], sayings[ids]

    def _with_markings(
        self, kept: _Kept, texts: pa.StringArray, own: Ints, owns: Owns, of: Ints, sayings: Ints
    ) -> tuple[Ints, Ints]:
        """What titles say, with their markings where these may be more than the own; see `titled.with_marking`."""
        said = np.zeros(len(texts), np.int64)
        said[of] = sayings
        size, service, plain, ranged = (column[said] for column in kept.sayings.repeated.columns)
        at = np.flatnonzero(size & plain)
        at = at[ranged[at] | ~matches(texts, at, RANGED)]
        at = at[hold_rim(texts, at, owns.size[own], owns.vocabulary)]
        rest = at[~service[at] & (owns.service[own[at]] >= 0)]
        settled = np.zeros(len(texts), np.bool_)
        settled[at] = True
        settled[rest[matches(texts, rest, DESCRIBED)]] = False
        self._with_letters(kept, texts, np.flatnonzero(settled), said, owns.size[own], owns)
        loose = np.flatnonzero(~settled)
        for one in loose[matches(texts, loose, SIZED)].tolist():
            before = kept.sayings.said[said[one]]
            said[one] = kept.sayings.number(read_beside(before, texts[one].as_py(), owns.own(int(own[one]))))
        saying = np.flatnonzero(said)
        return saying, said[saying]

    def _with_letters(self, kept: _Kept, texts: pa.StringArray, some: Ints, said: Ints, size: Ints, owns: Owns) -> None:
        """Puts into what some titles say the letters that their own sizes have not; see `titled.with_letters`."""
        some = some[are_plain(size[some], owns.vocabulary)]
        there = {letters: matches(texts, some, pattern) for letters, pattern in LETTERS.items()}
        once = sum(found.astype(np.int64) for found in there.values()) == 1
        for letters, found in there.items():
            at = some[found & once]
            first, ids = told_apart(said[at] * len(owns.vocabulary.tokens) + size[at])
            numbers = [
                kept.sayings.number(
                    with_letters(kept.sayings.said[said[one]], letters, owns.vocabulary.tokens[size[one]])
                )
                for one in at[first].tolist()
            ]
            said[at] = np.array(numbers, np.int64)[ids]

    def _counting(self, claims: Sequence[Claim], owns: Owns, own: int, *, long: bool | None = None) -> list[Claim]:
        """The claims that count beside one of the own markings, in a long text or not; None of `long` is a title."""
        mine, title = owns.own(own), long is None
        return [claim for claim in claims if counts(claim, mine, self._lexicon, long=bool(long), title=title)]

    def _levels(self, depends: Ints, own: Ints, owns: Owns) -> tuple[Ints, list[object]]:
        """What of the own marking claims depend on: places in a list of nothing, facts, all."""
        levels = np.zeros(len(own), np.int64)
        keys: list[object] = [None]
        for level in (ON_LOADS, ON_SPEED, ON_ALL):
            some = np.flatnonzero(depends == level)
            used = np.zeros(len(owns.size), np.bool_)
            used[own[some]] = True
            which = np.flatnonzero(used)
            if level < ON_ALL:
                found, places = owns.facts(which, self._markings, speeds=level == ON_SPEED)
            else:
                found, places = list[object](owns.some(which)), np.arange(len(which))
            levels[some] = len(keys) + places[(np.cumsum(used) - 1)[own[some]]]
            keys += found
        return levels, keys


def _with_labelled(of: Ints, sayings: Ints, text: Ints, labelled: LabelledColumn) -> tuple[Ints, Ints]:
    """What the prose of texts says with their labelled values behind it; `text` by place."""
    if not len(labelled.of):
        return of, sayings
    more, bounds = gathered(labelled.sayings, np.searchsorted(labelled.of, np.arange(len(labelled.rest) + 1)), text)
    every = np.concatenate([of, np.repeat(np.arange(len(text)), np.diff(bounds))])
    order = np.argsort(every, kind="stable")
    return every[order], np.concatenate([sayings, more])[order]
