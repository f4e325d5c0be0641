"""Sentences that differ only in figures, understood once for all figures of which the reading finds out the same.

No reading looks at the digits of a number: it compares the number with bounds, with others of the sentence and with a
few sets, and calculates with it.  So a sentence is read once with numbers that note what they are asked
(`auditor.claims.batch.noting`).  Another one with the same words takes the same way through the reading as long as its
own numbers give the same answers, and claims the same, with its own numbers in the place of those.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from auditor.claims.batch.noting import Answers, Key, Number, Test, plain_value, value_of
from auditor.claims.sentences import Claim, Sentence, State, claims_of, read_sentence, spelled, state_after, understand
from auditor.claims.terms.items import Item, number_of
from auditor.claims.terms.lexicon import Lexicon
from auditor.claims.values.look import Given
from auditor.trade.patterns import Pattern

Read = tuple[tuple[Claim, ...], State]
_FIGURE = Pattern(r"[0-9]{1,6}|[0-9]{1,4}[.,][0-9]{1,3}")  # no other signs: such are sizes, pairs, service descriptions
_NINES = str.maketrans("23456789", "11111111")
_ALL_NINES = str.maketrans("023456789", "111111111")
_MOST_WAYS = 20_000  # kept, of all sentences together
_MOST_ONCE = 50_000  # forms that were met once


class _Template(NamedTuple):
    """A claim, and what of it follows from the figures of its sentence."""

    claim: Claim
    value: Key | None
    given: Key | None
    words: tuple[str | int, ...] | None  # texts, and in the place of figures their numbers


class _Way(NamedTuple):
    """Where the answers of a sentence's figures lead: its claims, and the state behind it."""

    claims: tuple[_Template, ...]
    state: State


class _Fork:
    """A test, and where to go by its answer."""

    __slots__ = ("no", "test", "yes")

    def __init__(self, test: Test) -> None:
        self.test = test
        self.yes: _Fork | _Way | None = None
        self.no: _Fork | _Way | None = None


class _Form:
    """All sentences of the same words and forms of figures, in one state."""

    __slots__ = ("alone", "root")

    def __init__(self) -> None:
        self.root: _Fork | _Way | None = None
        self.alone = False  # each has to be read by itself

    def way(self, numbers: Sequence[float]) -> _Way | None:
        """The way that some figures take; None where none such were met."""
        at = self.root
        while type(at) is _Fork:
            operation, left, right = at.test
            at = at.yes if operation(value_of(left, numbers), value_of(right, numbers)) else at.no
        return at  # type: ignore[return-value]  # no fork

    def add(self, answers: Answers, way: _Way) -> bool:
        """Adds a way by the answers that led to it; whether the same answers have always led to the same question."""
        steps = list(answers.items())
        if not steps:
            self.root = way
            return True
        at = self.root = self.root or _Fork(steps[0][0])
        for place, (test, answer) in enumerate(steps):
            if type(at) is not _Fork or at.test != test:
                return False
            behind = at.yes if answer else at.no
            if behind is None:
                behind = way if place + 1 == len(steps) else _Fork(steps[place + 1][0])
                if answer:
                    at.yes = behind
                else:
                    at.no = behind
            at = behind
        return at is way


class Figures:
    """Reads sentences as `read_sentence` does, those that differ in figures without meaning once."""

    def __init__(self, lexicon: Lexicon, title: bool) -> None:
        self._lexicon = lexicon
        self._title = title
        # Titles that are read whole hardly ever come again, and would fill what is kept of sentences.
        self._alone: Callable[..., Read] = read_sentence.__wrapped__ if title else read_sentence
        self._forms: dict[tuple[tuple[str, ...], State], _Form] = {}
        self._once: set[int] = set()  # marks of forms that were met once
        self._ways = 0

    def read(self, tokens: tuple[str, ...], state: State, *, again: bool = False) -> Read:
        """What a sentence claims, and the state after it; `again` says that its form will be met again at once."""
        figures = figures_of(tokens, self._lexicon)
        if not figures:
            return self._alone(tokens, state, self._lexicon, self._title)
        form = list(tokens)
        for place, one in figures.items():
            form[place] = one[0]
        key = tuple(form), state
        known = self._forms.get(key) or self._met(key, again=again)
        if known is None or known.alone:
            return self._alone(tokens, state, self._lexicon, self._title)
        numbers = [value for _, value in figures.values()]
        texts = [tokens[place] for place in figures]
        way = known.way(numbers)
        if way is None:
            way = self._found(known, tokens, state, texts)
            if way is None:
                known.alone, known.root = True, None
                return self._alone(tokens, state, self._lexicon, self._title)
        return tuple(_claim(one, numbers, texts) for one in way.claims), way.state

    def _met(self, key: tuple[tuple[str, ...], State], *, again: bool) -> _Form | None:
        """A form that is met again; most are not, so their questions are not noted the first time."""
        mark = hash(key)
        if not again and mark not in self._once:
            if len(self._once) >= _MOST_ONCE:
                self._once.clear()
            self._once.add(mark)
            return None
        if self._ways >= _MOST_WAYS or len(self._forms) >= _MOST_WAYS:
            self._forms.clear()
            self._ways = 0
        return self._forms.setdefault(key, _Form())

    def _found(self, form: _Form, tokens: tuple[str, ...], state: State, texts: list[str]) -> _Way | None:
        """Reads a sentence and keeps its way; None where its claims hold a figure that no number tells."""
        answers: Answers = {}
        places: dict[int, int] = {}  # the figures by their items
        matched = True

        def see(items: list[Item]) -> None:
            nonlocal matched
            left = iter(enumerate(texts))
            awaited = next(left, None)
            for item in items:
                number: int | None = None
                if awaited is not None and item.kind == "number" and item.text == awaited[1]:
                    number = places[id(item)] = awaited[0]
                    awaited = next(left, None)
                item.numbers = tuple(Number(one, one if number is None else number, answers) for one in item.numbers)
            matched = awaited is None

        sentence = understand(tokens, state, self._lexicon, self._title, see)
        if not matched:
            return None
        claims = claims_of(sentence, state, self._lexicon, self._title)
        best = [one for one in sentence.readings if one.best]
        spans = [(one.value.first, one.value.last) for one in best] + [None] * (len(claims) - len(best))
        after = state_after(tokens, sentence)
        templates = tuple(_template(*one, sentence, places) for one in zip(claims, spans, strict=True))
        held = "\n".join([after[1], *(text for one in templates for text in _texts_of(one.claim))])
        if any(text in held for text in texts):
            return None
        way = _Way(templates, after)
        self._ways += 1
        return way if form.add(answers, way) else None


def figures_of(tokens: Sequence[str], lexicon: Lexicon) -> dict[int, tuple[str, float]]:
    """The figures of a sentence that are numbers for themselves: the form and the value of each, by place."""
    found = {}
    digits = [place for place, token in enumerate(tokens) if token[0].isdigit()]
    for place in digits:
        if (one := _figure(tokens[place], lexicon)) is not None:
            found[place] = one
    if len(digits) > 1:  # "1 200" is one number
        body = [place for place, token in enumerate(tokens) if token != "."]
        for before, behind in pairwise(body):
            if tokens[before][0].isdigit() and tokens[behind][0].isdigit():
                found.pop(before, None)
                found.pop(behind, None)
    return found


@lru_cache(maxsize=16_384)
def _figure(token: str, lexicon: Lexicon) -> tuple[str, float] | None:
    """The form and the value of a figure; None for what is none, or a word of some language: the 4 of "4 seasons".

    Zeros stay where they may be looked at as digits: the first, and those of a decimal, "16.0".
    """
    if _FIGURE.fullmatch(token) is None or lexicon.hits(token) or not token.isascii():
        return None
    form = (
        token.translate(_NINES)
        if not token.isdecimal()
        else token[0].translate(_NINES) + token[1:].translate(_ALL_NINES)
    )
    return f"\ue010{form}", number_of(token)[0]


def _template(claim: Claim, span: tuple[int, int] | None, sentence: Sentence, places: dict[int, int]) -> _Template:
    """A claim, and what of it follows from the figures; in words of no reading there are none."""
    value = claim.value.key if isinstance(claim.value, Number) else None
    given = claim.given[1].key if claim.given is not None and isinstance(claim.given[1], Number) else None
    words: tuple[str | int, ...] | None = None
    if span is not None:
        items = sentence.items[span[0] : span[1] + 1]
        words = tuple(places.get(id(item), item.text) for item in items)
    told = claim.given and Given(claim.given[0], plain_value(claim.given[1]))
    kept = claim._replace(value=plain_value(claim.value), half_step=plain_value(claim.half_step), given=told)
    return _Template(kept, value, given, words if words is not None and any(type(w) is int for w in words) else None)


def _texts_of(claim: Claim) -> list[str]:
    """The texts of a claim but for its words."""
    texts = [claim.value, claim.given[1] if claim.given is not None else ""]
    return [text for text in texts if isinstance(text, str)]


def _claim(template: _Template, numbers: Sequence[float], texts: Sequence[str]) -> Claim:
    """A claim with the figures of a sentence."""
    claim, value, given, words = template
    if value is None and given is None and words is None:
        return claim
    return claim._replace(
        value=claim.value if value is None else value_of(value, numbers),
        given=claim.given if given is None or claim.given is None else Given(claim.given[0], value_of(given, numbers)),
        words=claim.words if words is None else spelled([one if isinstance(one, str) else texts[one] for one in words]),
    )
