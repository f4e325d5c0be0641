"""The tokens of columns as numbers, with all that arrays ask of a token; and what is read on its own, cut."""

from __future__ import annotations

from functools import cached_property

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.arrays import Growing, Ints, gathered, mix
from auditor.claims.figures import PLAIN_FIGURE, general
from auditor.claims.lexicon import Lexicon
from auditor.claims.names import plain
from auditor.claims.own import RANGE_LETTERS, part_of, size_key
from auditor.claims.sentences import MOST_TOKENS
from auditor.claims.titles import CUT, FIRST, SECOND, SIGN, effect, is_whole, joined
from auditor.claims.words import ENDS, LOWER, OWN, OWN_SERVICE, SERVICE, SIZE, UPPER, tokens_of_word
from auditor.columns.value_cache import distinct
from auditor.trade.patterns import Pattern

Tokens = npt.NDArray[np.int64]  # numpy gathers by them quickest
LOWER_ID, UPPER_ID, OWN_ID, SERVICE_ID = range(4)
FIGURE_ID = 5  # of all plain figures, behind what stands for them in general
IDS = (1 << 32) - 1  # the bits of a token that are its place in the vocabulary; those above are a figure's own number
# What a token is, bit by bit.
END, DOT, SHORTENED, RAISED, BEGINS, DIGIT, SLASHED, SIZED, DESCRIBES, LETTER, OPENS = (1 << bit for bit in range(11))
QUOTABLE = SLASHED | SIZED | DESCRIBES  # may be the listing's own marking
# What is kept of a token, column by column.
PLAIN, BITS, GENERAL, FOLDED, NUMBERS, PREFIX, CONSTRUCTION, PART = range(8)


_FIGURE = Pattern(PLAIN_FIGURE)
_ANY_FIGURE = "1000"


def is_figure(token: str) -> bool:
    """Whether a token is a number that is kept as one with its like."""
    return token.isdecimal() and _FIGURE.fullmatch(token) is not None


class Vocabulary:
    """Every token met so far, and the words that were cut into them."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.tokens: list[str] = []
        self.words: dict[str, tuple[int, ...]] = {}
        self._ids: dict[str, int] = {}
        self._known: dict[object, int] = {}
        self._table = Growing(*[np.int64] * 8)
        self._effects = np.zeros(0, np.int64)
        for token in (LOWER, UPPER, OWN, OWN_SERVICE, _ANY_FIGURE):
            self._new(token)

    @property
    def table(self) -> list[npt.NDArray[np.int64]]:
        """What is kept of every token."""
        return self._table.columns

    def token(self, token: str) -> int:
        """The number of a token; plain figures, of which a feed may have any number, are kept as one."""
        found = self._ids.get(token)
        if found is None or found == FIGURE_ID:
            if is_figure(token):
                return FIGURE_ID | int(token) << 32
            found = self._new(token)
        return found

    def text(self, token: int) -> str:
        """What a token is."""
        return str(token >> 32) if token > IDS else self.tokens[token]

    def _new(self, token: str) -> int:
        if token not in self._ids:
            read = plain(token, self.lexicon)
            wider = general(token)
            others = [self.token(other) for other in (read, wider) if other != token]
            figured = not token.isalpha() and not token.isdecimal()
            sized = figured and SIZE.fullmatch(token) is not None
            part = self.token(part_of(token)) if sized and part_of(token) else -1
            found = self._ids[token] = len(self.tokens)
            self.tokens.append(token)
            own = found if read == token else others[0]
            wide = found if wider == token else others[-1]
            key = size_key(token) if sized else None
            self._table.add((
                own, self._bits(read, sized), wide if own == found else own, self.number(token.casefold()),
                *((self.number(key.numbers), self._or_none(key.prefix), self._or_none(key.construction.strip("-")))
                  if key else (0, 0, 0)),
                part,
            ))  # fmt: skip
        return self._ids[token]

    @property
    def count(self) -> int:
        """How many numbers were given."""
        return len(self._known)

    def number(self, key: object) -> int:
        """A number for anything that is compared with its like."""
        return self._known.setdefault(key, len(self._known) + 1)

    def _or_none(self, text: str) -> int:
        return self.number(text) if text else 0

    def _bits(self, token: str, sized: bool) -> int:
        digit = token[0].isdigit()
        bits = (END * (token in ENDS)) | (DOT * (token == ".")) | (DIGIT * digit) | (SIZED * sized)
        bits |= DESCRIBES * (digit and SERVICE.fullmatch(token) is not None)
        bits |= (SLASHED * (digit and "/" in token)) | (LETTER * (token in RANGE_LETTERS)) | (OPENS * (token == "("))
        if sized and not digit:
            bits |= RAISED | BEGINS
        elif not digit:
            bits |= SHORTENED * (token.casefold() in self.lexicon.abbreviations)
            bits |= RAISED * (token == UPPER or token[0].isupper())
            bits |= BEGINS * self.lexicon.begins_sentence(token)
        return bits

    @cached_property
    def _mixed(self) -> npt.NDArray[np.uint64]:
        return mix(np.arange(1 << 16))

    def mixed(self, flat: Tokens) -> npt.NDArray[np.uint64]:
        """Tokens as what marks of stretches are made of."""
        if len(self.tokens) > len(self._mixed):
            self._mixed = mix(np.arange(2 * len(self.tokens)))
        return self._mixed[flat]

    def effects(self, flat: Tokens) -> Ints:
        """What tokens do to titles."""
        known = len(self._effects)
        if len(self.tokens) > known:
            own = self.table[PLAIN][known:].tolist()
            new = [effect(self.tokens[one], self.lexicon) for one in own]
            self._effects = np.concatenate([self._effects, np.array(new, np.int64)])
        return self._effects[flat]

    def plain(self, flat: Tokens) -> Tokens:
        """Tokens as they are read."""
        ids = flat & IDS
        read: Tokens = self.table[PLAIN][ids] | (flat - ids)
        return read

    def cut(self, texts: pa.StringArray) -> tuple[Tokens, Ints]:
        """The tokens of cleaned texts one after another, and where each text begins."""
        split = _split(texts)
        words = split.values.dictionary_encode()
        figures = pc.match_substring_regex(words.dictionary, f"^{PLAIN_FIGURE}$")
        numbers = pc.cast(words.dictionary.filter(figures), pa.int64()).to_numpy()
        known: list[int] = []
        lengths = []
        for word in words.dictionary.filter(pc.invert(figures)).to_pylist():
            ids = self.words.get(word)
            if ids is None:
                ids = self.words[word] = tuple(self.token(token) for token in tokens_of_word(word))
            known += ids
            lengths.append(len(ids))
        single = figures.to_numpy(zero_copy_only=False)
        counts = np.ones(len(single), np.int64)
        counts[~single] = lengths
        starts = np.zeros(len(counts) + 1, np.int64)
        np.cumsum(counts, out=starts[1:])
        tokens = np.insert(
            np.array(known, np.int64), starts[:-1][single] - np.arange(len(numbers)), numbers << 32 | FIGURE_ID
        )
        flat, bounds = gathered(tokens, starts, words.indices.to_numpy().astype(np.int64))
        return flat, bounds[split.offsets.to_numpy()]


def _split(texts: pa.StringArray) -> pa.ListArray:
    """Texts cut at blanks, quicker where no text holds a blank or anything else outside of ASCII."""
    data = texts.buffers()[2]
    held = np.frombuffer(data, np.uint8) if data is not None else np.zeros(0, np.uint8)
    plainly = not len(held) or (int(held.max()) < 128 and not np.any((held - 28 & 255) < 4))
    return pc.ascii_split_whitespace(texts) if plainly else pc.utf8_split_whitespace(texts)


def in_sentences(vocabulary: Vocabulary, flat: Tokens, bounds: Ints) -> tuple[Ints, Ints]:
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


def in_parts(vocabulary: Vocabulary, flat: Tokens, starts: Ints, of: Ints) -> tuple[Tokens, Ints, Ints]:
    """Sentences of titles cut into parts; the twin of `auditor.claims.titles.parts`."""
    ids = flat & IDS
    effects = vocabulary.effects(ids)
    first = np.zeros(len(flat), np.bool_)
    first[starts] = True
    at = 1 + np.flatnonzero((effects[1:] & SECOND > 0) & (effects[:-1] & FIRST > 0) & ~first[1:])
    third = np.append(np.where(first, -1, ids)[1:], -1)[at]
    one, pairs = distinct([ids[at - 1], ids[at], third])
    threes = zip(ids[at - 1][one].tolist(), ids[at][one].tolist(), third[one].tolist(), strict=True)
    tokens = vocabulary.tokens
    does = [joined(tokens[a], tokens[b], tokens[c] if c >= 0 else "", vocabulary.lexicon) for a, b, c in threes]
    together = effects.copy()
    together[at] |= np.array(does, np.int64)[pairs]
    whole = is_whole(np.bitwise_or.reduceat(together, starts))
    lengths = np.diff(np.append(starts, len(flat)))
    parted = np.repeat(~whole, lengths)
    gone = (effects & CUT > 0) & parted
    first[1:] |= gone[:-1] | (((effects[1:] ^ effects[:-1]) & SIGN > 0) & parted[1:])
    left = ~gone
    return flat[left], np.flatnonzero(first[left]), np.repeat(of, lengths)[left & first]
