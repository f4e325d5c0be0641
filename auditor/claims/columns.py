"""The claims of a block's titles and sales texts as arrays: what `auditor.claims.texts` reads, over columns.

Each distinct word is cut once, each distinct sentence is read once, whatever stands around it.  The listing's own size
and service description become signs before sentences are told apart, and words that say nothing are gone, so that a
feed's titles are few sentences.  What is kept between blocks is capped.
"""

from __future__ import annotations

import html
import threading
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.arrays import gathered, hashes, in_parts, in_sentences, without_runs
from auditor.claims.lexicon import Lexicon
from auditor.claims.own import LIKELY, Own
from auditor.claims.sentences import START, Claim, State, read_sentence
from auditor.claims.texts import counts, own_of, plain, said_of, said_together
from auditor.claims.titles import without_lists
from auditor.claims.words import ENTITY, HTML_STEPS, LOWER, OWN, OWN_SERVICE, TEXT_STEPS, UPPER, tokens_of_word
from auditor.columns.value_cache import Codes, TextSnapshot, distinct, encoded
from auditor.quantities.cell_values import BLANK, READ, Said
from auditor.trade.tables import Tables

Ints = npt.NDArray[np.int64]
_MOST_WORDS = 200_000
_MOST_TOKENS = 100_000
_MOST_SENTENCES = 60_000


class Owns(NamedTuple):
    """The own markings of a block's records."""

    distinct: list[Own]
    places: Ints  # of every record's own marking


NO_OWNS = Owns([], np.zeros(0, np.int64))


@dataclass(slots=True)
class ClaimValues:
    """What one (field, occurrence) says in every reading of a snapshot."""

    value: npt.NDArray[np.float64]
    half_step: npt.NDArray[np.float64]
    open_ended: npt.NDArray[np.bool_]
    said: list[str]

    def words(self, codes: npt.NDArray[Any]) -> pa.Array:
        """The words of the claims of some readings."""
        said = pa.array(["" if words in (OWN, OWN_SERVICE) else words for words in self.said], pa.string())
        return said.take(pa.array(codes))

    @property
    def distinct_words(self) -> tuple[pa.Array, npt.NDArray[np.intp]]:
        """The distinct words, and for every reading the place of its own among them."""
        coded = pa.array(self.said, pa.string()).dictionary_encode()
        return coded.dictionary, coded.indices.to_numpy().astype(np.intp)


def owns_of(columns: Sequence[pa.Array | None], count: int) -> Owns:
    """The own markings of records, from their columns of marking, size and service description."""
    texts, places = [], []
    for column in columns:
        if column is None:
            texts.append([""])
            places.append(np.zeros(count, np.int64))
        else:
            known, where = encoded(column)
            texts.append([*known.cast(pa.string()).fill_null("").to_pylist(), ""])
            places.append(np.where(where < 0, len(texts[-1]) - 1, where).astype(np.int64))
    first, ids = distinct(places)
    owns = [own_of(*(texts[k][places[k][row]] for k in range(3))) for row in first.tolist()]
    return Owns(owns, ids)


@dataclass(slots=True)
class _Kept:
    """What one thread keeps between blocks."""

    ids: dict[str, int] = field(default_factory=lambda: {LOWER: 0, UPPER: 1})
    tokens: list[str] = field(default_factory=lambda: [LOWER, UPPER])
    words: dict[str, tuple[int, ...]] = field(default_factory=dict)
    sentences: dict[tuple[State, bool, tuple[str, ...]], tuple[int, int]] = field(default_factory=dict)
    states: list[State] = field(default_factory=lambda: [START])
    state_ids: dict[State, int] = field(default_factory=lambda: {START: 0})
    claims: list[tuple[Claim, ...]] = field(default_factory=lambda: [()])
    said: dict[tuple[int, object], tuple[Said, ...]] = field(default_factory=dict)  # by claims and what they depend on


class ClaimReader:
    """Reads the claims of columns.  Every thread keeps what it has read; that only saves repeated reading."""

    def __init__(self, lexicon: Lexicon, tables: Tables) -> None:
        self._lexicon = lexicon
        self._tables = tables
        self._local = threading.local()

    def encode(self, column: pa.Array, owns: Owns, title: bool) -> tuple[Codes, TextSnapshot]:
        """The code of every record's reading, and what the readings claim; reading 0 is that of no text."""
        kept = self._kept()
        texts, places = encoded(column)
        texts = texts.cast(pa.string()).fill_null("")
        blank = np.append(pc.equal(texts, "").to_numpy(zero_copy_only=False), True)
        first, pair_of = distinct([places.astype(np.int64), owns.places])
        pair_text, pair_own = places[first], owns.places[first]
        pair_text = np.where(blank[pair_text], -1, pair_text)
        tokens, starts = self._tokens(kept, cleaned(texts))
        flat, bounds = gathered(tokens, starts, pair_text)
        flat = self._signed(kept, flat, np.repeat(pair_own, np.diff(bounds)), owns)
        flat, bounds = without_runs(flat, bounds)
        sequences = self._read(kept, flat, bounds, title)
        codes, snapshot = self._readings(kept, sequences, pair_own, owns, title)
        codes[pair_text < 0] = 0
        return codes[pair_of].astype(np.int32), snapshot

    def _kept(self) -> _Kept:
        kept: _Kept | None = getattr(self._local, "kept", None)
        if kept is None or len(kept.tokens) > _MOST_TOKENS or len(kept.sentences) > _MOST_SENTENCES:
            kept = self._local.kept = _Kept()
        if len(kept.words) > _MOST_WORDS:
            kept.words = {}
        if len(kept.said) > _MOST_SENTENCES:
            kept.said = {}
        return kept

    def _tokens(self, kept: _Kept, texts: pa.StringArray) -> tuple[Ints, Ints]:
        """The token ids of texts one after another, and where each text begins."""
        split = pc.utf8_split_whitespace(texts)
        words = split.values.dictionary_encode()
        known: list[int] = []
        counts_ = []
        for word in words.dictionary.to_pylist():
            ids = kept.words.get(word)
            if ids is None:
                ids = kept.words[word] = tuple(self._token(kept, token) for token in tokens_of_word(word))
            known += ids
            counts_.append(len(ids))
        ends = np.cumsum(counts_, dtype=np.int64)
        word_starts = np.concatenate([[0], ends]).astype(np.int64)
        places = words.indices.to_numpy().astype(np.int64)
        flat, bounds = gathered(np.array(known, dtype=np.int64), word_starts, places)
        return flat, bounds[split.offsets.to_numpy().astype(np.int64)]

    def _token(self, kept: _Kept, token: str) -> int:
        token = plain(token, self._lexicon)
        found = kept.ids.get(token)
        if found is None:
            found = kept.ids[token] = len(kept.tokens)
            kept.tokens.append(token)
        return found

    def _signed(self, kept: _Kept, flat: Ints, own: Ints, owns: Owns) -> Ints:
        """Puts signs for the own size and service description."""
        maybe = np.array(
            [token[0].isalnum() and len(token) > 2 and any(map(str.isdigit, token)) for token in kept.tokens]
        )
        at = np.flatnonzero(maybe[flat]) if len(flat) else np.zeros(0, np.int64)
        first, ids = distinct([flat[at], own[at]])
        signs = np.zeros(len(first), np.int64)
        for number, place in enumerate(at[first].tolist()):
            token = int(flat[place])
            sign = owns.distinct[int(own[place])].sign(kept.tokens[token])
            signs[number] = self._token(kept, sign) if sign else token
        flat = flat.copy()
        flat[at] = signs[ids]
        return flat

    def _read(self, kept: _Kept, flat: Ints, bounds: Ints, title: bool) -> tuple[Ints, Ints]:
        """(pair, claims) of every sentence that claims anything, in text order."""
        starts, of_pair = in_sentences(kept.tokens, flat, bounds, self._lexicon)
        if title and len(starts):
            flat, starts, of_pair = in_parts(kept.tokens, flat, starts, of_pair, self._lexicon)
        if not len(starts):
            return np.zeros(0, np.int64), np.zeros(0, np.int64)
        codes = pa.array(hashes(flat, starts)).dictionary_encode()
        ids = codes.indices.to_numpy().astype(np.int64)
        representative = np.zeros(len(codes.dictionary), np.int64)
        representative[ids[::-1]] = np.arange(len(ids) - 1, -1, -1)
        ends = np.append(starts[1:], len(flat))
        position = np.arange(len(starts)) - np.searchsorted(of_pair, of_pair)
        state = np.zeros(len(bounds) - 1, np.int64)
        found = np.zeros(len(starts), np.int64)
        order = np.argsort(position, kind="stable")
        cuts = np.searchsorted(position[order], np.arange(int(position.max()) + 2))
        for turn in range(len(cuts) - 1):
            at = order[cuts[turn] : cuts[turn + 1]]
            pairs = of_pair[at]
            first, combination = distinct([state[pairs], ids[at]])
            read = np.zeros((len(first), 2), np.int64)
            for number, one in enumerate(first.tolist()):
                sentence = representative[ids[at[one]]]
                span = flat[starts[sentence] : ends[sentence]].tolist()
                read[number] = self._sentence(
                    kept, int(state[pairs[one]]), tuple(map(kept.tokens.__getitem__, span)), title
                )
            found[at] = read[combination, 0]
            state[pairs] = read[combination, 1]
        claiming = np.flatnonzero(found)
        return of_pair[claiming], found[claiming]

    def _sentence(self, kept: _Kept, state: int, tokens: tuple[str, ...], title: bool) -> tuple[int, int]:
        key = (kept.states[state], title, tokens)
        read = kept.sentences.get(key)
        if read is None:
            claims, after = read_sentence(tokens, kept.states[state], self._lexicon, title)
            claims = tuple(claim for claim in claims if claim.outspoken)
            number = 0
            if claims:
                number = len(kept.claims)
                kept.claims.append(claims)
            if after not in kept.state_ids:
                kept.state_ids[after] = len(kept.states)
                kept.states.append(after)
            read = kept.sentences[key] = (number, kept.state_ids[after])
        return read

    def _readings(
        self, kept: _Kept, sequences: tuple[Ints, Ints], pair_own: Ints, owns: Owns, title: bool
    ) -> tuple[Ints, TextSnapshot]:
        """The reading of every pair: 0 for no text, 1 for one without claims."""
        pairs, claims = sequences
        codes = np.ones(len(pair_own), np.int64)
        readings: list[tuple[Said, ...]] = [(), ()]
        if len(pairs):
            starts = np.flatnonzero(np.append(True, pairs[1:] != pairs[:-1]))
            sequence = pa.array(hashes(claims, starts)).dictionary_encode().indices.to_numpy().astype(np.int64)
            depends = [_depends(one) for one in kept.claims]
            told = np.maximum.reduceat(np.array(depends)[claims], starts)
            owner = np.where(told == _ON_ALL, pair_own[pairs[starts]], -1)
            weighed = np.flatnonzero(told == _ON_LIKELY)
            owner[weighed] = -2 - _likely_places(owns, pair_own[pairs[starts[weighed]]])
            first, ids = distinct([sequence, owner])
            ends = np.append(starts[1:], len(claims))
            of_all: dict[tuple[int, object], tuple[Said, ...]] = {}
            for one in first.tolist():
                numbers = claims[starts[one] : ends[one]].tolist()
                own = owns.distinct[int(pair_own[pairs[starts[one]]])]
                if title:
                    claimed = [claim for number in numbers for claim in kept.claims[number]]
                    left = without_lists(claimed, self._lexicon)
                    readings.append(said_of((claim for claim in left if counts(claim, own)), self._tables))
                    continue
                together = []
                for number in numbers:
                    level = depends[number]
                    said = of_all if level == _ON_ALL else kept.said
                    key = (number, own.likely if level == _ON_LIKELY else own if level else None)
                    found = said.get(key)
                    if found is None:
                        counted = (claim for claim in kept.claims[number] if counts(claim, own))
                        found = said[key] = said_of(counted, self._tables)
                    together.append(found)
                readings.append(said_together(together))
            codes[pairs[starts]] = ids + 2
        return codes, _snapshot(readings)


_ON_NOTHING, _ON_LIKELY, _ON_ALL = 0, 1, 2  # of the own marking


def _depends(claims: tuple[Claim, ...]) -> int:
    """On how much of the own marking it depends whether claims count."""
    given = [claim.given[0] for claim in claims if claim.given is not None]
    return (_ON_LIKELY if all(field in LIKELY for field in given) else _ON_ALL) if given else _ON_NOTHING


def _likely_places(owns: Owns, own: Ints) -> Ints:
    """The place of what figures are weighed against, for own markings by their places."""
    of_own, inverse = np.unique(own, return_inverse=True)
    seen: dict[object, int] = {}
    places = [seen.setdefault(owns.distinct[one].likely, len(seen)) for one in of_own.tolist()]
    return np.array(places, np.int64)[inverse]


def cleaned(texts: pa.StringArray) -> pa.StringArray:
    """`auditor.claims.words.clean` over an array."""
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
    for pattern, instead in TEXT_STEPS:
        where = pc.match_substring_regex(texts, pattern)
        if pc.any(where).as_py():
            texts = pc.replace_with_mask(
                texts, where, pc.replace_substring_regex(texts.filter(where), pattern, instead)
            )
    return texts


def _snapshot(readings: list[tuple[Said, ...]]) -> TextSnapshot:
    values: dict[tuple[str, int], ClaimValues] = {}
    count = len(readings)
    for place, said in enumerate(readings):
        for one in said:
            name = (one.field, one.occurrence)
            target = values.get(name)
            if target is None:
                target = values[name] = ClaimValues(
                    np.full(count, np.nan), np.zeros(count), np.zeros(count, np.bool_), [""] * count
                )
            target.value[place], target.half_step[place] = one.value, one.half_step
            target.open_ended[place], target.said[place] = one.open_ended, one.words
    status = np.full(count, READ, np.int8)
    status[0] = BLANK
    return TextSnapshot(pa.array([""] * count, pa.string()), status, [""] * count, values)
