"""The distinct sentences of columns, and what each claims in each state that texts are in, as tables.

Numbers from a thousand on meet no bound that a frame asks for but that of a year, so that two sentences which differ in
nothing else are understood alike, unless a claim names the number.  So a sentence without a unit or a label of figures
is read with two other numbers in its place, years and none: where both say the same, all such sentences do.

Beside a unit or a label a number has to meet bounds, but one of an article is above them all: what a sentence claims
that does not speak of it is the same whatever the article.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import inf
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from auditor.claims.batch.arrays import Ints, gathered, hashes, mix, told_apart
from auditor.claims.batch.figures import Figures
from auditor.claims.batch.stand_ins import Read, read_with_stand_ins
from auditor.claims.batch.vocabulary import FIGURE, FIGURE_ID, GENERAL, IDS, Tokens, Vocabulary, is_figure
from auditor.claims.sentences import MOST_FIGURES, OPENING, START, Claim, State, is_roughly
from auditor.claims.subject.opening import may_be_called
from auditor.claims.terms.items import language_of
from auditor.claims.terms.lexicon import Lexicon
from auditor.claims.terms.own import LIKELY, LIKELY_SPEED, may_be_accounted_for
from auditor.claims.texts import COUNTED, effect
from auditor.columns.value_cache import distinct

ON_NOTHING, ON_LOADS, ON_SPEED, ON_ALL = range(4)  # of the own marking: its load indices; and its speed symbol; all
_UNREAD = -1
_FEW = 4  # texts, of which one sentence after the other is read: arrays gain nothing
_BY_FIGURES = -1  # in the place of a shape: what such sentences say depends on their figures
_SALTS = np.array([0xA24BAED4963EE407, 0x9FB21C651E98DF25], np.uint64)
_NONE, _HIGH, _ANY = range(3)  # figures in whose place others may stand: those above all bounds, or any
_HIGHEST, _LOWEST_MADE = 20_000, 9_000.0  # of all bounds; what such a number is at least in another unit
_MOST = 999_999  # of a plain figure
_TRIES = ((2_003, 1), (7_919, 331))  # the first number, and the step to the next
T = TypeVar("T")


def read_generally(tokens: Sequence[str], read: Callable[[tuple[str, ...]], T]) -> T | None:
    """What is read of a sentence whatever its figures are; None where that depends on them."""
    tries = []
    for number, step in _TRIES:
        tried = list(tokens)
        for place, token in enumerate(tokens):
            if found := FIGURE.fullmatch(token):
                digits = str(number)
                tried[place] = f"{digits[:-3]}{found[1] or ''}{digits[-3:]}"
                number += step
        tries.append(read(tuple(tried)))
    return tries[0] if tries[0] == tries[1] else None


class Shapes:
    """The sentences of titles, or those of sales texts.  Sentences that differ in figures without meaning are one."""

    def __init__(self, lexicon: Lexicon, title: bool, read: Figures) -> None:
        """`read` may have read sentences before."""
        self._lexicon = lexicon
        self._title = title
        self.figures = read
        self._ids: dict[int, int] = {}  # by mark
        self._marks: list[int] = []
        self.tokens: list[tuple[str, ...]] = []
        self._free: list[int] = []
        self._states: dict[State, int] = {START: 0}
        self._read = np.full((2, 1, 0), _UNREAD, np.int32)  # claims and the state after, by state and shape
        self.claims: list[tuple[Claim, ...]] = [()]
        self._claim_ids: dict[tuple[Claim, ...], int] = {(): 0}
        self._depends: list[int] = [ON_NOTHING]

    @property
    def room(self) -> int:
        """How much is kept."""
        return len(self.tokens) * len(self._states)

    @property
    def depends(self) -> npt.NDArray[np.int64]:
        """On how much of the own marking it depends whether claims count."""
        return np.array(self._depends, np.int64)

    def numbers(self, vocabulary: Vocabulary, flat: Tokens, starts: Ints) -> Ints:
        """The shape of each of the sentences that begin at `starts`."""
        if not len(starts):
            return starts
        general = vocabulary.table[GENERAL][flat & IDS]
        free = np.where(general != flat, _ANY, _NONE)
        ids = self._looked_up(vocabulary, flat, starts, hashes(vocabulary.mixed(general), starts), free)
        for salt, bound_up_to in zip(_SALTS, (_HIGHEST, _MOST), strict=True):
            bound = np.flatnonzero(ids == _BY_FIGURES)
            if not len(bound):
                break
            some, bounds = gathered(flat, np.append(starts, len(flat)), bound)
            free = np.where(some >> 32 > bound_up_to, _HIGH, _NONE)
            marks = hashes(mix(np.where(free, FIGURE_ID, some)), bounds[:-1]) ^ salt
            ids[bound] = self._looked_up(vocabulary, some, bounds[:-1], marks, free)
        return ids

    def _looked_up(
        self, vocabulary: Vocabulary, flat: Tokens, starts: Ints, marks: npt.NDArray[np.uint64], free: Ints
    ) -> Ints:
        """The shapes of sentences by their marks; `free` says of each token whether others may stand in its place."""
        first, places = told_apart(marks)
        known = marks[first].tolist()
        ends = np.append(starts[1:], len(flat))
        ids = [self._ids.get(mark) for mark in known]
        for number, found in enumerate(ids):
            if found is None:
                span = slice(starts[first[number]], ends[first[number]])
                tokens = tuple(map(vocabulary.text, flat[span].tolist()))
                ids[number] = self._new(known[number], tokens, int(free[span].max()))
        return np.array(ids, np.int64)[places]

    def _new(self, mark: int, tokens: tuple[str, ...], free: int) -> int:
        if free == _ANY:
            counted = any(effect(token, self._lexicon) & COUNTED for token in tokens)
            if counted or self._understood(tokens, START, free) is None:
                self._ids[mark] = _BY_FIGURES
                return _BY_FIGURES
        self._ids[mark] = len(self.tokens)
        self.tokens.append(tokens)
        self._marks.append(mark)
        self._free.append(free)
        return len(self.tokens) - 1

    def _understood(self, tokens: tuple[str, ...], state: State, free: int) -> Read | None:
        """What a sentence claims, and the state after it; None where it depends on figures thought to mean nothing."""

        again = free == _ANY  # it is read with two sets of other figures then

        def read(tokens: tuple[str, ...]) -> Read:
            return read_with_stand_ins(tokens, lambda some: self.figures.read(some, state, again=again))

        if again:
            return read_generally(tokens, read)
        found = read(tokens)
        return None if free == _HIGH and any(_speaks_of_high(claim, tokens) for claim in found[0]) else found

    def read(self, sequence: Ints, bounds: Ints) -> Ints | None:
        """The claims of every shape of texts' sequences; None where the shapes have to be told apart anew."""
        found = np.zeros(len(sequence), np.int64)
        state = np.zeros(len(bounds) - 1, np.int64)
        lengths = np.diff(bounds)
        active = np.flatnonzero(lengths)
        turn, again = 0, False
        while len(active) > _FEW:
            at = bounds[active] + turn
            shape, of = sequence[at], state[active]
            self._make_room()
            claims = self._read[0, of, shape]
            unread = np.flatnonzero(claims == _UNREAD)
            if len(unread):
                one, _ = distinct([of[unread], shape[unread]])
                pairs = unread[one]
                for before, number in zip(of[pairs].tolist(), shape[pairs].tolist(), strict=True):
                    again |= not self._learn(before, number)
                claims = self._read[0, of, shape]
            found[at] = claims
            state[active] = self._read[1, of, shape]
            turn += 1
            active = active[lengths[active] > turn]
        for text in active.tolist():
            again |= self._read_on(sequence, found, int(state[text]), range(bounds[text] + turn, bounds[text + 1]))
        return None if again else found

    def _read_on(self, sequence: Ints, found: Ints, state: int, places: range) -> bool:
        """Reads the rest of one of a few long texts; whether shapes have to be told apart anew."""
        again = False
        self._make_room()
        for at in places:
            shape = sequence[at]
            if self._read[0, state, shape] == _UNREAD:
                again |= not self._learn(state, int(shape))
            found[at] = self._read[0, state, shape]
            state = int(self._read[1, state, shape])
        return again

    def _make_room(self) -> None:
        _, states, count = self._read.shape
        if states < len(self._states) or count < len(self.tokens):
            count = max(count, 2 * len(self.tokens)) if count < len(self.tokens) else count
            wider = np.full((2, len(self._states), count), _UNREAD, np.int32)
            wider[:, :states, : self._read.shape[2]] = self._read
            self._read = wider

    def _learn(self, before: int, number: int) -> bool:
        """Reads a shape in a state; whether it is one still."""
        tokens, state = self.tokens[number], list(self._states)[before]
        carried = "" if state[1] == OPENING and (self._title or not may_be_called(tokens)) else state[1]
        language = language_of(tokens, self._lexicon, state[0]) if len(tokens) <= MOST_FIGURES else state[0]
        if (language, carried) != state:
            same = self._state((language, carried))  # all that the state before it tells
            if self._read[0, same, number] != _UNREAD or self._learn(same, number):
                self._read[:, before, number] = self._read[:, same, number]
                return True
            return False
        understood = self._understood(tokens, state, self._free[number])
        if understood is None:
            self._ids[self._marks[number]] = _BY_FIGURES
            self._read[:, before, number] = 0
            return False
        claims = tuple(_settled(claim, self._lexicon) for claim in understood[0])
        place = self._state(understood[1])
        self._read[:, before, number] = self._claim_ids.setdefault(claims, len(self.claims)), place
        if len(self._claim_ids) > len(self.claims):
            self.claims.append(claims)
            self._depends.append(_depends(claims, title=self._title))
        return True

    def _state(self, state: State) -> int:
        """The number of a state, with room for it."""
        found = self._states.setdefault(state, len(self._states))
        self._make_room()
        return found


def _speaks_of_high(claim: Claim, tokens: Sequence[str]) -> bool:
    """Whether a claim may be of a number above all bounds: by its value, by what it is given, or by its words."""
    values = claim.value, claim.given[1] if claim.given is not None else ""
    if any(isinstance(value, float) and value > _LOWEST_MADE for value in values):
        return True
    high = (token for token in tokens if is_figure(token) and int(token) > _HIGHEST)
    return any(token in claim.words or token in str(claim.value) for token in high)


def _settled(claim: Claim, lexicon: Lexicon) -> Claim:
    """A claim, without how much a figure has to be worth where any is worth that."""
    least, _ = lexicon.weights.bounds(claim.field)
    if claim.needs > least:
        return claim
    return claim._replace(needs=-inf, needs_in_long=-inf if claim.needs_in_long <= least else claim.needs_in_long)


def _depends(claims: tuple[Claim, ...], *, title: bool) -> int:
    """On how much of the own marking it depends whether claims that are settled count."""
    depends = ON_NOTHING
    for claim in claims:
        if not title and may_be_accounted_for(claim.field, claim.value):
            depends = ON_ALL
        if claim.given is not None:
            depends = max(depends, _depends_on(claim.given[0]))
        if is_roughly(claim):
            depends = max(depends, ON_LOADS)
        if claim.needs_in_long > -inf:
            depends = max(depends, ON_SPEED if claim.field.startswith("max_speed") else ON_LOADS)
    return depends


def _depends_on(given: str) -> int:
    if given.startswith(LIKELY_SPEED):
        return ON_SPEED
    return ON_LOADS if given in LIKELY or given in ("load_index", "load_index_dual") else ON_ALL
