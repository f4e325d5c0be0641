"""The words of columns and their tokens as numbers, with all that arrays ask of a token."""

from __future__ import annotations

from functools import cached_property

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.arrays import Growing, Ints, any_of_each, mix, told_apart
from auditor.claims.batch.cuts import FIGURE_MARK, NOTHING_MARK, Words, stretches, words_of
from auditor.claims.terms.lexicon import Lexicon
from auditor.claims.terms.names import plain
from auditor.claims.terms.own import RANGE_LETTERS, part_of, size_key
from auditor.claims.terms.words import (
    BREAK,
    ENDS,
    LOWER,
    OWN,
    OWN_MODEL,
    OWN_SERVICE,
    SERVICE,
    SIZE,
    UPPER,
)
from auditor.claims.texts import effect
from auditor.trade.patterns import Pattern

Tokens = npt.NDArray[np.int64]  # numpy gathers by them quickest
LOWER_ID, UPPER_ID, OWN_ID, SERVICE_ID, MODEL_ID = range(5)
FIGURE_ID = 6  # of all plain figures, behind what stands for them in general
IDS = (1 << 32) - 1  # the bits of a token that are its place in the vocabulary; those above are a figure's own number
# What a token is, bit by bit.
END, DOT, SHORTENED, RAISED, BEGINS, DIGIT, SLASHED, SIZED, DESCRIBES, LETTER, OPENS = (1 << bit for bit in range(11))
QUOTABLE = SLASHED | SIZED | DESCRIBES  # may be the listing's own marking
# What is kept of a token, column by column.
PLAIN, BITS, GENERAL, FOLDED, NUMBERS, PREFIX, CONSTRUCTION, PART = range(8)


_PLACES = 18  # places for marks of words, as a power of two
_PLACE_BITS = np.uint64(64 - _PLACES)
_BEHIND = ".,;:)"  # of which one may stand behind a code in a word
_CODES = rf"^(?:{SIZE.source.removesuffix('$')})[{_BEHIND}]?$", f"^(?:{SERVICE.source})[{_BEHIND}]?$"
# Figures of which a sentence may make no claim: article numbers, prices, years, miles of warranty.
_PLAIN_FIGURE = Pattern("[1-9][0-9]{3,5}")
FIGURE = Pattern(rf"{_PLAIN_FIGURE.source}|[1-9][0-9]{{0,2}}([,.])[0-9]{{3}}")
_ANY_FIGURE = "1000"
_ANY = "\ue00f"  # no text has it: a figure that is written like the general one is read as any other is


def is_figure(token: str) -> bool:
    """Whether a token is a number that is kept as one with its like."""
    return token.isdecimal() and _PLAIN_FIGURE.fullmatch(token) is not None


def general(token: str) -> str:
    """The figure that stands for all that are read alike; a token that is none stands for itself."""
    found = FIGURE.fullmatch(token) if token[0].isdigit() else None
    return f"{_ANY}{found[1] or ''}" if found else token


class Vocabulary:
    """Every token met so far, and the words that were cut into them."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.tokens: list[str] = []
        self._ids: dict[str, int] = {}
        self._known: dict[object, int] = {}
        self._table = Growing(*[np.int64] * 8)
        self._effects = np.zeros(0, np.uint16)
        for token in (LOWER, UPPER, OWN, OWN_SERVICE, OWN_MODEL, _ANY_FIGURE):
            self._new(token)
        self.forget_words()

    def forget_words(self) -> None:
        """Begins words anew; the tokens stay."""
        self._words: dict[int, int] = {}  # by mark
        self._spans = Growing(*[np.int64] * 4)  # first token, last, place of all in the next, how many
        self._of_words = Growing(np.int64)
        self._words[FIGURE_MARK] = self._add_word([FIGURE_ID])
        self._words[NOTHING_MARK] = self._add_word([])
        self._marks = np.zeros(1 << _PLACES, np.uint64)
        self._placed = np.zeros(1 << _PLACES, np.int64)

    @property
    def words(self) -> int:
        """How many words are kept."""
        return len(self._spans)

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
            of_size = self._of_size(token) if sized else (0, 0, 0)
            general_one, folded = wide if own == found else own, self.number(token.casefold())
            self._table.add((own, self._bits(read, sized), general_one, folded, *of_size, part))
        return self._ids[token]

    @property
    def count(self) -> int:
        """How many numbers were given."""
        return len(self._known)

    def number(self, key: object) -> int:
        """A number for anything that is compared with its like."""
        return self._known.setdefault(key, len(self._known) + 1)

    def _of_size(self, size: str) -> tuple[int, int, int]:
        """What makes two spellings the same size, as numbers."""
        key = size_key(size)
        built = key.construction.strip("-")
        prefix = self.number(key.prefix) if key.prefix else 0
        return self.number(key.numbers), prefix, self.number(built) if built else 0

    def _bits(self, token: str, sized: bool) -> int:
        digit = token[0].isdigit()
        bits = (END * (token in ENDS)) | (DOT * (token == ".")) | (DIGIT * digit) | (SIZED * sized)
        bits |= DESCRIBES * (digit and SERVICE.fullmatch(token) is not None)
        bits |= (SLASHED * (digit and "/" in token)) | (LETTER * (token in RANGE_LETTERS)) | (OPENS * (token == "("))
        if sized and not digit:
            bits |= RAISED | BEGINS
        elif not digit:
            bits |= SHORTENED * (token.casefold() in self.lexicon.abbreviations)
            bits |= RAISED * (token in (UPPER, OWN_MODEL) or token[0].isupper())
            bits |= BEGINS * self.lexicon.begins_sentence(token)
        return bits

    @cached_property
    def _mixed(self) -> npt.NDArray[np.uint64]:
        return mix(np.arange(1 << 16))

    def mixed(self, flat: Tokens) -> npt.NDArray[np.uint64]:
        """Tokens as what marks of stretches are made of."""
        if len(self.tokens) > len(self._mixed):
            self._mixed = mix(np.arange(2 * len(self.tokens)))
        ids = flat & IDS
        mixed = self._mixed[ids]
        figures = np.flatnonzero(ids == FIGURE_ID)
        mixed[figures] = mix(flat[figures])
        return mixed

    def effects(self, flat: Tokens) -> npt.NDArray[np.uint16]:
        """What tokens do to titles."""
        known = len(self._effects)
        if len(self.tokens) > known:
            own = self.table[PLAIN][known:].tolist()
            new = [effect(self.tokens[one], self.lexicon) for one in own]
            self._effects = np.concatenate([self._effects, np.array(new, np.uint16)])
        return self._effects[flat]

    def plain(self, flat: Tokens) -> Tokens:
        """Tokens as they are read."""
        ids = flat & IDS
        read: Tokens = self.table[PLAIN][ids] | (flat - ids)
        return read

    def cut(self, texts: pa.StringArray) -> tuple[Tokens, Ints]:
        """The tokens of texts without HTML one after another, and where each text begins."""
        return self.tokens_of(*self.cut_in_words(texts))

    def cut_in_words(self, texts: pa.StringArray) -> tuple[Ints, Ints]:
        """The numbers of the words of texts without HTML, and where each text begins.

        The number of a plain figure holds the figure, as its token does.
        """
        cut = [words_of(texts.slice(start, stop - start)) for start, stop in stretches(texts)]
        if not cut:
            return np.zeros(0, np.int64), np.zeros(1, np.int64)
        bounds = np.cumsum([0, *(len(one.marks) for one in cut)])
        starts = [one.bounds[:-1] + start for one, start in zip(cut, bounds.tolist(), strict=False)]
        return np.concatenate([self._codes(one) for one in cut]), np.concatenate([*starts, bounds[-1:]])

    def _codes(self, words: Words) -> Ints:
        """Looks the marks up where they were put; of two that belong in one place the last one met is there."""
        at = (words.marks >> _PLACE_BITS).astype(np.int64)
        codes = self._placed[at]
        missed = np.flatnonzero(self._marks[at] != words.marks)
        if len(missed):
            first, ids = told_apart(words.marks[missed])
            marks = words.marks[missed[first]].tolist()
            known = np.array([self._words.get(mark, -1) for mark in marks], np.int64)
            new = np.flatnonzero(known < 0)
            if len(new):
                known[new] = self._learned([marks[one] for one in new.tolist()], words.texts(missed[first[new]]))
            codes[missed] = known[ids]
            self._marks[at[missed]], self._placed[at[missed]] = words.marks[missed], codes[missed]
        codes[words.figures] = words.numbers << 32
        return codes

    def _learned(self, marks: list[int], words: list[str]) -> Ints:
        """The numbers of words that were not met before."""
        texts = pa.array(words, pa.string())
        sized, described = (np.asarray(pc.match_substring_regex(texts, pattern)) for pattern in _CODES)
        numbers = np.zeros(len(words), np.int64)
        codes = np.flatnonzero(sized | described)
        if len(codes):
            numbers[codes] = self._add_codes([words[one] for one in codes.tolist()], sized[codes])
        for place in np.flatnonzero(~(sized | described)).tolist():
            word = words[place]
            of_word = [self.token(one) for part in word.split() for one in self.lexicon.tokens_of_word(part)]
            numbers[place] = self._add_word([self.token(BREAK)] if word[0] in "\n\r" else of_word)
        self._words.update(zip(marks, numbers.tolist(), strict=True))
        return numbers

    def _add_codes(self, words: list[str], sized: npt.NDArray[np.bool_]) -> Ints:
        """Adds words that are sizes or service descriptions, with a sign behind them or none; their numbers."""
        codes = [word.rstrip(_BEHIND) for word in words]
        signs = {sign: self.token(sign) for sign in _BEHIND} | {"": -1}
        tokens = self._new_codes(codes, sized)
        behind = np.array([signs[word[len(code) :]] for word, code in zip(words, codes, strict=True)], np.int64)
        counts = 1 + (behind >= 0)
        flat = np.stack([tokens, behind], axis=1).ravel()
        start = self._of_words.add_all([flat[flat >= 0]]) + np.cumsum(counts) - counts
        first = self._spans.add_all([tokens, np.where(behind < 0, tokens, behind), start, counts])
        return np.arange(first, first + len(words))

    def _new_codes(self, codes: list[str], sized: npt.NDArray[np.bool_]) -> Ints:
        """The tokens of sizes, and of service descriptions, of which a feed may have many: as `_new` has them."""
        new = [(code, size) for code, size in dict(zip(codes, sized.tolist(), strict=True)).items()]
        new = [(code, size) for code, size in new if code not in self._ids]
        parts = {code: part_of(code) if size else "" for code, size in new}
        of_parts = {part: self.token(part) if part else -1 for part in dict.fromkeys(parts.values())}
        new = [(code, size) for code, size in new if code not in self._ids]  # "225/75" may be a size itself
        start = len(self.tokens)
        self.tokens += [code for code, _ in new]
        self._ids.update(zip((code for code, _ in new), range(start, len(self.tokens)), strict=True))
        rows = []
        for place, (code, size) in enumerate(new, start):
            bits = DIGIT if code[0].isdigit() else RAISED | BEGINS
            bits |= SIZED if size else DESCRIBES
            bits |= SLASHED if bits & DIGIT and "/" in code else 0
            of_size = self._of_size(code) if size else (0, 0, 0)
            rows.append((place, bits, place, self.number(code.casefold()), *of_size, of_parts[parts[code]]))
        if rows:
            self._table.add_all(list(zip(*rows, strict=True)))
        return np.array([self._ids[code] for code in codes], np.int64)

    def _add_word(self, tokens: list[int]) -> int:
        """Adds a word; its number."""
        first, last = (tokens[0], tokens[-1]) if tokens else (0, 0)
        number = self._spans.add((first, last, len(self._of_words), len(tokens)))
        for token in tokens:
            self._of_words.add((token,))
        return number

    def tokens_of(self, codes: Ints, bounds: Ints) -> tuple[Tokens, Ints]:
        """The tokens of words one after another, and where each text begins."""
        ids = codes & IDS
        first, _, starts, counts = self._spans.columns
        count = counts[ids]
        flat = np.repeat(first[ids] | (codes - ids), count)
        ends = np.zeros(len(ids) + 1, np.int64)
        np.cumsum(count, out=ends[1:])
        (of_words,) = self._of_words.columns
        some, turn = np.flatnonzero(count > 1), 1
        while len(some):
            flat[ends[some] + turn] = of_words[starts[ids[some]] + turn]
            turn += 1
            some = some[count[some] > turn]
        return flat, ends[bounds]

    @property
    def first_and_last(self) -> tuple[Tokens, Tokens]:
        """The first and the last token of every word, as places in the vocabulary."""
        first, last, *_ = self._spans.columns
        return first & IDS, last & IDS

    @property
    def single(self) -> npt.NDArray[np.bool_]:
        """Which words are one token."""
        found: npt.NDArray[np.bool_] = self._spans.columns[3] == 1
        return found

    def holding(self, tokens: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
        """Which words hold any of some tokens of the vocabulary."""
        (of_words,) = self._of_words.columns
        return any_of_each(tokens[of_words & IDS], np.append(self._spans.columns[2], len(of_words)))
