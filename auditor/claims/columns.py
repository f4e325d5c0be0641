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

from auditor.claims.lexicon import Lexicon
from auditor.claims.own import Own
from auditor.claims.sentences import MOST_TOKENS, START, Claim, State, read_sentence
from auditor.claims.texts import counts, own_of, plain, said_of
from auditor.claims.words import ENDS, ENTITY, HTML_STEPS, LOWER, OWN, OWN_SERVICE, TEXT_STEPS, UPPER, tokens_of_word
from auditor.columns.value_cache import Codes, TextSnapshot, distinct, encoded
from auditor.quantities.cell_values import BLANK, READ, Said
from auditor.trade.tables import Tables

Ints = npt.NDArray[np.int64]
_MOST_WORDS = 200_000
_MOST_TOKENS = 100_000
_MOST_SENTENCES = 60_000
_ODD = np.uint64(0x9E3779B97F4A7C15)


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
        flat, bounds = _gathered(tokens, starts, pair_text)
        flat = self._signed(kept, flat, np.repeat(pair_own, np.diff(bounds)), owns)
        flat, bounds = _without_runs(flat, bounds)
        sequences = self._read(kept, flat, bounds, title)
        codes, snapshot = self._readings(kept, sequences, pair_own, owns)
        codes[pair_text < 0] = 0
        return codes[pair_of].astype(np.int32), snapshot

    def _kept(self) -> _Kept:
        kept: _Kept | None = getattr(self._local, "kept", None)
        if kept is None or len(kept.tokens) > _MOST_TOKENS or len(kept.sentences) > _MOST_SENTENCES:
            kept = self._local.kept = _Kept()
        if len(kept.words) > _MOST_WORDS:
            kept.words = {}
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
        flat, bounds = _gathered(np.array(known, dtype=np.int64), word_starts, places)
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
        starts, of_pair = _sentences(kept, flat, bounds, self._lexicon)
        if not len(starts):
            return np.zeros(0, np.int64), np.zeros(0, np.int64)
        hashes = _hashes(flat, starts)
        codes = pa.array(hashes).dictionary_encode()
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
        self, kept: _Kept, sequences: tuple[Ints, Ints], pair_own: Ints, owns: Owns
    ) -> tuple[Ints, TextSnapshot]:
        """The reading of every pair: 0 for no text, 1 for one without claims."""
        pairs, claims = sequences
        codes = np.ones(len(pair_own), np.int64)
        readings: list[tuple[Said, ...]] = [(), ()]
        if len(pairs):
            starts = np.flatnonzero(np.append(True, pairs[1:] != pairs[:-1]))
            sequence = pa.array(_hashes(claims, starts)).dictionary_encode().indices.to_numpy().astype(np.int64)
            depends = np.array([any(claim.given is not None for claim in one) for one in kept.claims])
            told = np.logical_or.reduceat(depends[claims], starts)
            owner = np.where(told, pair_own[pairs[starts]], -1)
            first, ids = distinct([sequence, owner])
            ends = np.append(starts[1:], len(claims))
            for one in first.tolist():
                said = [claim for number in claims[starts[one] : ends[one]].tolist() for claim in kept.claims[number]]
                own = owns.distinct[int(pair_own[pairs[starts[one]]])]
                readings.append(said_of((claim for claim in said if counts(claim, own)), self._tables))
            codes[pairs[starts]] = ids + 2
        return codes, _snapshot(readings)


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


def _gathered(values: Ints, starts: Ints, places: npt.NDArray[Any]) -> tuple[Ints, Ints]:
    """The values of the stretches `places`, one after another, and the bounds of each; -1 is an empty stretch."""
    begins = np.where(places < 0, 0, starts[places])
    lengths = np.where(places < 0, 0, starts[places + 1] - begins)
    bounds = np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64)
    index = np.arange(bounds[-1], dtype=np.int64) + np.repeat(begins - bounds[:-1], lengths)
    return values[index], bounds


def _without_runs(flat: Ints, bounds: Ints) -> tuple[Ints, Ints]:
    """Of several tokens of filler in a row only the last is kept."""
    filler = flat < 2
    gone = np.zeros(len(flat), np.bool_)
    gone[:-1] = filler[:-1] & filler[1:]
    lasts = bounds[1:] - 1
    gone[lasts[(lasts >= 0) & (bounds[1:] > bounds[:-1])]] = False
    kept_before = np.concatenate([[0], np.cumsum(~gone)]).astype(np.int64)
    return flat[~gone], kept_before[bounds]


def _sentences(kept: _Kept, flat: Ints, bounds: Ints, lexicon: Lexicon) -> tuple[Ints, Ints]:
    """Where sentences begin, and the pair of each; the twin of `auditor.claims.sentences.sentences`."""
    if not len(flat):
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    tokens = kept.tokens
    ends = np.array([token in ENDS for token in tokens])[flat]
    shortened = np.array([token.casefold() in lexicon.abbreviations for token in tokens])[flat]
    raised = np.array([token == UPPER or token[0].isupper() for token in tokens])[flat]
    begins = np.array([lexicon.begins_sentence(token) for token in tokens])[flat]
    digits = np.array([token[0].isdigit() for token in tokens])[flat]
    dot = flat == kept.ids.get(".", -1)
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


def _hashes(values: Ints, starts: Ints) -> npt.NDArray[np.uint64]:
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
