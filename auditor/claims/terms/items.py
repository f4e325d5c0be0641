"""A sentence as items: the phrases of one language's lexicon, numbers, codes, letters, sizes, marks and filler."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from auditor.claims.terms.lexicon import IN_PART, Lexicon, Starts, merged
from auditor.claims.terms.words import LOWER, OWN, OWN_MODEL, OWN_SERVICE, SIZE, UPPER
from auditor.trade.patterns import Pattern
from auditor.trade.units import KG_PER_KN

NOTHING: frozenset[str] = frozenset()
_NUMBER = Pattern(r"[0-9]+(?:[.,][0-9]+)*")
_PAIR = Pattern(r"[0-9.,]+(?:[/x×-][0-9.,]+)+")
_SERVICE = Pattern(r"([0-9]{2,3})(?:/([0-9]{2,3}))?(A[1-8]|[B-HJ-NP-WY])")
_HOURS = Pattern(r"(?:[6-9]|1[0-2])\.(?:00|15|30|45)-(?:1?[0-9]|2[0-4])")  # "open 9.00-17"
_HALF_RIMS = (16.0, 17.0, 19.0, 22.0, 24.0)  # rim codes with half an inch
# The units of loads: what their figures are multiplied by, and the unit of the field.
LOAD_UNITS = {"kg": (1.0, "kg"), "lb": (1.0, "lb"), "tonne": (1000.0, "kg"), "kilonewton": (KG_PER_KN, "kg")}
UNITS = frozenset({*LOAD_UNITS, "kmh", "mph", "psi", "kpa", "bar", "in", "mm", "32nds", "db", "ply", "other-unit"})
_STEPS = ((10.0, 20.0), (100.0, 100.0), (1000.0, 1000.0))  # what is added to a number, and what that has to end in
_RIM_CODE = Pattern("Z?R[0-9]{2}")
_LEADS = frozenset({"prep", "genitive", "indefinite", "near"})  # what a phrase has of its first word
_GROUPED = Pattern(r"[0-9]{1,3}(?:[.,][0-9]{3})+")


class Item:
    """One item of a sentence; `first` and `last` are its tokens."""

    __slots__ = ("first", "halves", "kind", "last", "numbers", "roles", "text")

    def __init__(
        self,
        kind: str,
        first: int,
        last: int,
        text: str,
        roles: frozenset[str] = NOTHING,
        numbers: tuple[float, ...] = (),
    ) -> None:
        self.kind = kind  # word, number, service, size, own, letter, filler, mark
        self.first = first
        self.last = last
        self.text = text
        self.roles = roles
        self.numbers = numbers
        self.halves = 0.5  # half of the last stated digit

    def __repr__(self) -> str:
        return f"{self.text}<{self.kind} {','.join(sorted(self.roles))} {self.numbers or ''}>"


_THIS = frozenset({"this"})


def language_of(tokens: Sequence[str], lexicon: Lexicon, before: str) -> str:
    """The language that knows most of a sentence's words; of several, the one of the sentence before."""
    best = _languages_of(tuple(tokens), lexicon)
    return before if before in best else best[0]


@lru_cache(maxsize=4_096)
def _languages_of(tokens: tuple[str, ...], lexicon: Lexicon) -> tuple[str, ...]:
    """The languages that know most of a sentence's words."""
    counts = dict.fromkeys(lexicon.all_languages, 0)
    for token in tokens:
        for language, weight in lexicon.speaking(token):
            counts[language] += weight
    best = max(counts.values())
    if not best and LOWER in tokens and IN_PART in counts and tokens.count(LOWER) + tokens.count(UPPER) > 1:
        return (IN_PART,)  # words that no language knows are of one that is not read whole
    return tuple(language for language in lexicon.all_languages if counts[language] == best)


def items_of(tokens: Sequence[str], lexicon: Lexicon, language: str) -> list[Item]:
    """The items of a sentence read in one language."""
    items: list[Item] = []
    starts = [lexicon.starts(token, language) for token in tokens]
    place, count = 0, len(tokens)
    while place < count:
        item = _phrase(tokens, starts, place, lexicon) if starts[place].words else None
        item = item or _single(tokens, place)
        if item.numbers and item.kind == "word" and items and (joined := _joined_words(items[-1], item)):
            items[-1] = item = joined
        elif item.numbers and item.kind == "word" and (joined := _joined_by_and(items, item)):
            items[-2:] = [joined]
            item = joined
        else:
            items.append(item)
        place = item.last + 1
    return items


def _joined_words(before: Item, item: Item) -> Item | None:
    """Two number words as one number: "one hundred four", "twenty-two-five"; None where they are two."""
    if before.kind != "word" or not before.numbers or before.last != item.first - 1 or before.roles != item.roles:
        return None
    first, second = before.numbers[0], item.numbers[0]
    tail = first % 100
    if second == 1000.0 and first < second:
        value = first * second
    elif second == 100.0 and tail > 0 and (tail < 10 or (tail % 10 and first < 100)):  # "eighteen hundred"
        value = first - tail + tail * second
    elif second == 20.0 and tail == 4.0:  # "quatre-vingts"
        value = first - tail + 80.0
    elif tail in (60.0, 80.0) and 10.0 <= second < 20.0:  # "soixante-dix", "quatre-vingt-douze"
        value = first + second
    elif first in _HALF_RIMS and second == 5.0:
        value = first + 0.5
    elif any(second < step and first % step == 0 and first % (10 * step) >= least for step, least in _STEPS):
        value = first + second
    else:
        return None
    joined = Item("word", before.first, item.last, f"{before.text} {item.text}", item.roles)
    joined.numbers = (value,)
    joined.halves = next((step / 2 for step in (1000.0, 100.0) if value % step == 0), 0.5)  # words round
    return joined


def _joined_by_and(items: list[Item], item: Item) -> Item | None:
    """ "nine hundred and fifty", "setenta y cinco": hundreds or tens and what is added to them."""
    if len(items) < 2 or "and" not in items[-1].roles or not items[-2].numbers:
        return None
    before, added = items[-2], item.numbers[0]
    if before.kind != "word" or before.roles != item.roles:
        return None
    tail = before.numbers[0] % 100
    if not (0 < added < (10 if tail % 10 == 0 and tail >= 20 else 0 if tail else 100) or (tail, added) == (60, 11)):
        return None
    joined = Item("word", before.first, item.last, f"{before.text} {item.text}", item.roles)
    joined.numbers = (before.numbers[0] + item.numbers[0],)
    return joined


def _phrase(tokens: Sequence[str], starts: list[Starts], place: int, lexicon: Lexicon) -> Item | None:
    """The longest phrase that begins at a token, with the roles of all phrases of that length."""
    single, longer, _ = starts[place]
    found, longest = single, 1
    if longer and place + 1 < len(tokens):
        for word in starts[place + 1].words:
            for phrase in longer.get(word, ()):
                count = len(phrase.words)
                if count < longest or place + count > len(tokens):
                    continue
                if any(phrase.words[i] not in starts[place + i].words for i in range(2, count)):
                    continue
                found = phrase if count > longest or found is None else merged(found, phrase)
                longest = count
    if found is None:
        return None
    token, roles = tokens[place], found.roles
    numbers = () if found.number is None else (found.number,)
    if longest > 1:
        if single is not None:
            roles |= single.roles & _LEADS  # "per tire", "of this tire"
        return Item("word", place, place + longest - 1, " ".join(tokens[place : place + longest]), roles, numbers)
    if roles <= lexicon.roles.hints:
        return Item("filler", place, place, UPPER if token[0].isupper() else LOWER, roles)
    if len(token) == 1 and token.isupper() and token.isascii():
        follows = tokens[1] if len(tokens) > 1 else ""
        named = (follows.isalpha() and len(follows) > 1) or follows in (LOWER, UPPER) or follows[:1].isdigit()
        article = place == 0 and "the" in roles and bool(follows) and named
        if not article:
            return Item("letter", place, place, token, NOTHING, numbers)
    return Item("word", place, place, token, roles, numbers)


def _single(tokens: Sequence[str], place: int) -> Item:
    token = tokens[place]
    if token[0].isdigit():
        return _numeric(token, tokens, place)
    if token == OWN_MODEL:
        return Item("word", place, place, token, _THIS)
    kind, text, numbers = _kind_of(token)
    return Item(kind, place, place, text, NOTHING, numbers)


@lru_cache(maxsize=16_384)
def _kind_of(token: str) -> tuple[str, str, tuple[float, ...]]:
    """What a token without a digit at its head is that no phrase begins with: its kind, its text and its number."""
    if token in (LOWER, UPPER):
        return "filler", token, ()
    if token in (OWN, OWN_SERVICE):
        return "own", token, ()
    if SIZE.fullmatch(token):
        return "size", token, ()
    if len(token) == 1 and "A" <= token.upper() <= "Y":
        return "letter", token, ()
    if not token[0].isalnum():
        return "mark", token, ()
    if token in ("AA", "A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "C1", "C2", "C3"):
        return "letter", token, ()
    if token == "MC":
        return "letters", token, ()
    if _RIM_CODE.fullmatch(token):
        return "rim-code", token, (float(token[-2:]),)
    return "filler", UPPER if token[0].isupper() else LOWER, ()


def names_size(tokens: Sequence[str], place: int) -> bool:
    """Whether a token of a sentence is a whole size, as the items of the sentence have it."""
    token = tokens[place]
    if token[0].isdigit():
        return not _SERVICE.fullmatch(token) and SIZE.fullmatch(token) is not None and not _HOURS.fullmatch(token)
    return _kind_of(token)[0] == "size"


def _numeric(token: str, tokens: Sequence[str], place: int) -> Item:
    if found := _SERVICE.fullmatch(token):
        item = Item("service", place, place, token)
        item.numbers = tuple(float(part) for part in found.groups()[:2] if part)
        return item
    if SIZE.fullmatch(token):
        described = place + 1 < len(tokens) and tokens[place + 1][0].isdigit()
        return Item("filler" if _HOURS.fullmatch(token) and not described else "size", place, place, token)
    item = Item("number", place, place, token)
    if _PAIR.fullmatch(token):
        parts = [part for part in re.split(r"[/x×-]", token) if part]
        item.numbers = tuple(number_of(part)[0] for part in parts)
        item.kind = "range" if "-" in token else "pair"
        follows = tokens[place + 1] if place + 1 < len(tokens) else ""
        if "/" in token and len(parts) == 2 and len(follows) == 1 and "F" <= follows <= "Y" and len(parts[0]) > 1:
            item = Item("service", place, place + 1, token + follows)
            item.numbers = tuple(number_of(part)[0] for part in parts)
        return item
    if not _NUMBER.fullmatch(token):
        return Item("filler", place, place, LOWER)
    follows = tokens[place + 1] if place + 1 < len(tokens) else ""
    if follows == "%":  # "80 % road, 20 % gravel"
        return Item("mark", place, place, "%")
    if len(token) < 3 and len(follows) == 3 and follows.isdecimal() and token.isdecimal() and token[0] != "0":
        item.last = place + 1
        item.text = token + follows
        item.numbers = (float(item.text),)
        return item
    value, item.halves = number_of(token)
    item.numbers = (value,)
    return item


def number_of(text: str) -> tuple[float, float]:
    """The number and half of its last digit: three digits behind one sign are thousands, fewer are decimals."""
    if text.isdecimal():
        return float(text), 0.5
    if _GROUPED.fullmatch(text) and not text.startswith("0"):
        return float(text.replace(",", "").replace(".", "")), 0.5
    whole, _, part = text.replace(",", ".").rpartition(".")
    return float(f"{whole.replace('.', '') or 0}.{part or 0}"), 0.5 / 10 ** len(part)
