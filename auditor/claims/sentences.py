"""What a title or sales text claims of its own tire, sentence by sentence.

    text -> cleaned, cut into tokens (`words`) -> sentences -> items of one language (`items`)
         -> fragments and cues (`subjects`, by `others`, `apart` and `clauses`) -> values (`frames`, `readings`)
         -> claims, where more speaks for one than against it (`weighing`, by `weights`)

A sentence is read with a small state that the sentence before leaves: its language, and whether it spoke of another
tire.  So a column reads each distinct sentence once, with the same result (`auditor.claims.batch.columns`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import lru_cache
from math import inf
from typing import NamedTuple

from auditor.claims.subject.opening import called
from auditor.claims.subject.subjects import Cues
from auditor.claims.terms.items import Item, items_of, language_of
from auditor.claims.terms.lexicon import IN_PART, Lexicon
from auditor.claims.terms.mountings import with_joined_loads
from auditor.claims.terms.weights import BARE, FRAMED
from auditor.claims.terms.words import ENDS, LOWER, OWN_MODEL, UPPER
from auditor.claims.values.frames import Frames
from auditor.claims.values.look import Value
from auditor.claims.values.weighing import Mood, Reading, weighed

MOST_TOKENS = 240  # a longer sentence is cut, so that a text costs time in proportion to its length
MOST_FIGURES = 40  # a sentence of more figures lists sizes or values and claims none
OPENING = "opening"  # carried to the first sentence of a text
START = ("", OPENING)

# Log-odds by which more has to speak for a claim in a text of many sentences, beside what weights tell, by whether a
# frame finds it.  The judged sentences are untrue as often as not, of product pages hardly one is, and what no frame
# finds in these is hardly ever of this tire.  By 520 pages that others wrote.
_MORE_IN_LONG = {True: 0.25, False: 3.0}
LONG = 4  # sentences
_ROUGH_KG = 2.0  # half of the last digit


class Claim(NamedTuple):
    """One statement about this tire.

    `field` is a field of the listing, or `marking` or `service_description` with the text to decode as its value.
    """

    field: str
    value: float | str
    words: str
    half_step: float = 0.0
    open_ended: bool = False
    denied: bool = False  # said not to be so
    given: tuple[str, float | str] | None = None  # counts only where the marking has this value
    needs: float = -inf  # what the figure itself has to be worth, that it counts
    needs_in_long: float = -inf  # the same in a text of many sentences, of which hardly one is untrue


def is_roughly(claim: Claim) -> bool:
    """Whether a claim is a load in figures of so large a unit that it is rounded: "1.2 t", "4.6 kN"."""
    rough = claim.half_step >= _ROUGH_KG and claim.field.startswith("max_load")
    return rough and any(sign.isdigit() for sign in claim.words)  # words are round by themselves


class Sentence(NamedTuple):
    """One sentence as read, for whoever wants to see why."""

    items: list[Item]
    language: str
    found: list[tuple[Value, str]]  # what the frames find, with the reason why it does not count; "" where it does
    cues: Cues
    readings: list[Reading]


State = tuple[str, str]  # language, what is carried over: "", "another", or the label of a question


def sentences(tokens: Sequence[str], lexicon: Lexicon) -> Iterator[tuple[str, ...]]:
    """Cuts tokens at the ends of sentences; an end belongs to the sentence before it."""
    start = 0
    for place, token in enumerate(tokens):
        if place - start >= MOST_TOKENS or (
            token in ENDS and not (token == "." and _is_shortened(tokens, place, lexicon))
        ):
            yield tuple(tokens[start : place + 1])
            start = place + 1
    if start < len(tokens):
        yield tuple(tokens[start:])


def _is_shortened(tokens: Sequence[str], place: int, lexicon: Lexicon) -> bool:
    """Whether a full stop belongs to a word: "max. load", "16 in. rims"."""
    if not place or place + 1 >= len(tokens) or tokens[place - 1].casefold() not in lexicon.abbreviations:
        return False
    follows = tokens[place + 1]
    if place > 1 and tokens[place - 2][0].isdigit():  # a unit, with which a sentence may end
        return not (follows in (UPPER, OWN_MODEL) or follows[0].isupper())
    return not lexicon.begins_sentence(follows)


@lru_cache(maxsize=16_384)
def read_sentence(
    tokens: tuple[str, ...], state: State, lexicon: Lexicon, title: bool
) -> tuple[tuple[Claim, ...], State]:
    """The claims of one sentence, and the state that it leaves."""
    sentence = understand(tokens, state, lexicon, title)
    return claims_of(sentence, state, lexicon, title), state_after(tokens, sentence)


def claims_of(sentence: Sentence, state: State, lexicon: Lexicon, title: bool) -> tuple[Claim, ...]:
    """The claims of a sentence that was read in a state: those of its best readings, and what it opens a text with."""
    items, own = sentence.items, quotes_own(sentence)
    claims = tuple(_claim(one, items, lexicon, own=own) for one in sentence.readings if one.best)
    if state[1] == OPENING and not title:
        claims += tuple(Claim(field, value, value, needs=inf) for field, value in called(sentence.items, sentence.cues))
    return claims


def state_after(tokens: Sequence[str], sentence: Sentence) -> State:
    """The state that a sentence leaves."""
    return sentence.language, _carried(tokens, sentence)


def understand(
    tokens: Sequence[str],
    state: State,
    lexicon: Lexicon,
    title: bool,
    see: Callable[[list[Item]], None] | None = None,
) -> Sentence:
    """Reads one sentence: every value in it, and why it counts or not; `see` is shown its items before that."""
    if len(tokens) > MOST_FIGURES and sum(token[0].isdigit() for token in tokens) > MOST_FIGURES:
        tokens = tokens[-1:]
    language, carried = language_of(tokens, lexicon, state[0]), "" if state[1] == OPENING else state[1]
    end = tokens[-1] if tokens[-1] in ENDS else ""
    body = tokens[:-1] if end else tokens
    if "." in body:
        body = tuple(token for token in body if token != ".")
    items = with_joined_loads(items_of(body, lexicon, language))
    if carried.startswith(":"):
        asked_for = items_of((*carried[1:].split(" "), ":"), lexicon, language)
        answered = not asked_for[0].roles & _YES_OR_NO or bool(items and items[0].roles & {"yes", "no", "not"})
        if answered:
            items = items_of((*carried[1:].split(" "), ":", *body), lexicon, language)
    if see is not None:
        see(items)
    asked = end == "?"
    grammar = lexicon.grammars[language]
    cues = Cues(items, lexicon.roles, grammar, asked=asked, carried=carried, opens=state[1] == OPENING, title=title)
    values = Frames(items, cues, title).values
    found = [(value, cues.reason(value.kind, value.place, value.last, denied=value.denied)) for value in values]
    found = _without_lists(found)
    readings = weighed(found, items, cues, Mood(asked, carried, language == IN_PART), lexicon)
    return Sentence(items, language, found, cues, readings)


_YES_OR_NO = frozenset({"snowflake", "runflat"})  # labels whose name is the value
_LISTED = frozenset({"size", "code", "strength", "season", "rim", "grade", "version", "speed", "load"})


def _without_lists(found: list[tuple[Value, str]]) -> list[tuple[Value, str]]:
    """Several values of one field that are all said name what there is, or explain: none is claimed."""
    if len(found) < 2:
        return found
    said = [value for value, reason in found if not reason and not value.denied]
    told = {(value.field, value.value) for value in said}
    found = [  # "a rating of 10 plies does not mean ten layers": the denial is of something else
        (value, reason or ("listed" if value.denied and (value.field, value.value) in told else ""))
        for value, reason in found
    ]
    several = listed_fields(said, {value.field: value.kind for value in said})
    return [
        (value, reason or ("listed" if value.field in several and not value.denied else "")) for value, reason in found
    ]


def listed_fields(said: Sequence[Value] | Sequence[Claim], kinds: Mapping[str, str]) -> set[str]:
    """The fields of which several values are said."""
    first: dict[str, Value | Claim] = {}
    several = set()
    for one in said:
        if kinds[one.field] in _LISTED and not _is_near(first.setdefault(one.field, one), one):
            several.add(one.field)
    return several


def _is_near(one: Value | Claim, other: Value | Claim) -> bool:
    """Whether two are the same, or one in round words: "Eight thousand pounds and then some: 8,270 lb"."""
    if one.value == other.value or isinstance(one.value, str) or isinstance(other.value, str):
        return one.value == other.value
    half = max(one.half_step, other.half_step)
    return half > 1 and abs(one.value - other.value) <= half


def _carried(tokens: Sequence[str], sentence: Sentence) -> str:
    if tokens[-1] == "?" and len(sentence.items) <= 3:
        for item in sentence.items:
            if item.roles & sentence.cues.roles.labels:
                return ":" + item.text
    asked_of = any(item.numbers or item.kind in ("letter", "service") for item in sentence.items[1:])
    answered = tokens[-1] == "?" and (asked_of or any(reason for _, reason in sentence.found))
    return "answer" if answered else "another" if sentence.cues.ends_with_another() else ""


def _claim(reading: Reading, items: list[Item], lexicon: Lexicon, *, own: bool) -> Claim:
    value = reading.value
    words = spelled([item.text for item in items[value.first : value.last + 1]])
    half_step, open_ended = value.half_step, value.open_ended
    needs = reading.needs, round(reading.needs + more_in_long(reading, lexicon, own=own), 3)
    return Claim(value.field, value.value, words, half_step, open_ended, value.denied, value.given, *needs)


def quotes_own(sentence: Sentence) -> bool:
    """Whether a sentence quotes the listing's own marking."""
    return any(item.kind == "own" for item in sentence.items)


def more_in_long(reading: Reading, lexicon: Lexicon, *, own: bool) -> float:
    """How much more has to speak for a reading in a text of many sentences, in one that quotes the own marking."""
    told = lexicon.weights.in_long(reading.value.field, own=own, denied=reading.value.denied)
    return _MORE_IN_LONG[reading.framed in (FRAMED, BARE)] - told


def spelled(words: Sequence[str]) -> str:
    """Words as they are written in a row."""
    text = " ".join([word for word in words if word not in (LOWER, UPPER, OWN_MODEL)])
    if " " not in text:
        return text
    for mark in ",.:;)":
        text = text.replace(f" {mark}", mark)
    return text.replace("( ", "(")
