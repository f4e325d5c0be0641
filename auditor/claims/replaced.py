"""The tires that a text says its own tire stands in for: "replaces 225/65R17 102H".

A size behind such words counts where its sentence says so: not asked, not denied, on no condition, and of this tire.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache

from auditor.claims.sentences import START, Sentence, State, read_sentence, sentences, understand
from auditor.claims.subject.clauses import Fragment
from auditor.claims.terms.items import Item
from auditor.claims.terms.lexicon import Lexicon
from auditor.claims.terms.own import NOBODY
from auditor.claims.texts import tokens_of
from auditor.marking import Marking, decode
from auditor.trade.patterns import Pattern

_UNSAID = frozenset({"not", "never", "if", "ask", "asked", "vehicle", "another"})  # moods and subjects
_MOST_BEHIND = 4  # items behind the words among which the size begins
_MOST_OF_MARKING = 4  # items that a size, its service description and its letters take


# Of a sentence; a full stop within a number ends none.  So written, Python and Arrow read it alike.
_INSIDE = r"(?:[^.!?\n]|\.[^\t\n\f\r ])*"


@lru_cache(maxsize=4)
def words_pattern(words: frozenset[str]) -> str:
    """A pattern for one of the words."""
    return "(?i)(?:" + "|".join(re.escape(word) for word in sorted(words)) + ")"


@lru_cache(maxsize=4)
def sentence_pattern(words: frozenset[str]) -> str:
    """A pattern for a sentence that holds one of the words."""
    any_word = words_pattern(words).removeprefix("(?i)")
    return f"(?is)(?P<sentence>{_INSIDE}{any_word}{_INSIDE}[.!?]?)"


_STRETCH = re.compile(_INSIDE, re.DOTALL)


def replaced_in_text(text: str, lexicon: Lexicon, words: frozenset[str]) -> tuple[str, ...]:
    """The tires that a text says its own stands in for, by the first sentence that holds one of the words.

    Takes time linear in the length of the text: only a sentence with one of the words is looked at as a whole.
    """
    folded = text.casefold()
    if not any(word in folded for word in words):
        return ()
    any_word, whole = re.compile(words_pattern(words)), re.compile(sentence_pattern(words))
    at = 0
    while at < len(text):
        stretch = _STRETCH.match(text, at)
        end = stretch.end() if stretch else at
        if any_word.search(text, at, end):
            found = whole.search(text, at, end + 1)
            if found:
                return replaced_in(found["sentence"], lexicon, words)
        at = end + 1
    return ()


@lru_cache(maxsize=20_000)
def replaced_in(text: str, lexicon: Lexicon, words: frozenset[str]) -> tuple[str, ...]:
    """The markings, in canonical form, of the tires that a text says its own stands in for."""
    found: list[str] = []
    state: State = START
    every = list(sentences(tokens_of(text, lexicon, NOBODY), lexicon))
    naming = {place for place, tokens in enumerate(every) if tokens[-1] != "?" and may_name(tokens, words)}
    last = max(naming, default=-1)
    for place, tokens in enumerate(every[: last + 1]):
        if place in naming:
            found += _of_sentence(understand(tokens, state, lexicon, False), words)
        if place < last:
            _, state = read_sentence(tokens, state, lexicon, False)
    return tuple(dict.fromkeys(found))


_PLAIN_NUMBER = Pattern(r"[0-9]{1,4}(?:[.,][0-9]{1,2})?")  # "319,00": a price, a share, a year


def may_name(tokens: Sequence[str], words: frozenset[str]) -> bool:
    """Whether a tire with its load index may stand behind one of the words, from the look of the tokens alone.

    No marking stretches over a comma, and none with a load index is one plain number: "nur 300,00 € statt 319,00 €".
    """
    body = [token for token in tokens if token != "."]
    numbers = 0
    for token in body[_behind_words(body, words) :]:
        if token == ",":
            numbers = 0
        elif any(map(str.isdigit, token)):
            numbers += 1
            if numbers > 1 or _PLAIN_NUMBER.fullmatch(token) is None:
                return True
    return False


def _behind_words(tokens: Sequence[str], words: frozenset[str]) -> int:
    """The place behind the first of the words."""
    begins = _by_first(words)
    folded = [token.casefold() for token in tokens]
    for place, token in enumerate(folded):
        for phrase in begins.get(token, ()):
            if tuple(folded[place : place + len(phrase)]) == phrase:
                return place + len(phrase)
    return len(tokens)


@lru_cache(maxsize=4)
def _by_first(words: frozenset[str]) -> dict[str, list[tuple[str, ...]]]:
    """The words, apart, by the first of each."""
    begins: dict[str, list[tuple[str, ...]]] = {}
    for phrase in sorted((tuple(word.split(" ")) for word in words), key=len):
        begins.setdefault(phrase[0], []).append(phrase)
    return begins


def _of_sentence(sentence: Sentence, words: frozenset[str]) -> Iterator[str]:
    items = sentence.items
    said = True
    for fragment in sentence.cues.fragments:
        said = said and _UNSAID.isdisjoint(fragment.cues)  # what a condition or a denial reaches, it reaches onward
        if said:
            for place in range(fragment.start, fragment.end):
                if items[place].text.casefold() in words:
                    yield from _behind(items, place, fragment)


def _behind(items: list[Item], place: int, fragment: Fragment) -> Iterator[str]:
    """The markings that stand behind the words, one or a list of them; none where "by" turns them round."""
    for start in range(place + 1, min(place + 1 + _MOST_BEHIND, fragment.end)):
        if items[start].text.casefold() in ("by", "durch", "par", "por", "da", "door", "przez"):
            return
        if "/" not in items[start].text and not any(char.isdigit() for char in items[start].text):
            continue
        marking, end = _marking_at(items, start)
        while marking:
            yield marking
            if not _is_between(items, end):
                return
            marking, end = _marking_at(items, end + 1)
            if end < len(items) and not _is_between(items, end):  # it begins a sentence of its own
                return
        if end > start:
            return


def _marking_at(items: list[Item], start: int) -> tuple[str, int]:
    """(marking that begins at an item, item behind it); "" where it has no load index, and no item where none begins.

    A size without a load index promises nothing that could be held against it: "replaces 225/65R18 on some trims".
    """
    most = min(start + _MOST_OF_MARKING, len(items))
    last = next((place for place in range(start, most) if _is_between(items, place)), most)
    for end in range(last, start, -1):
        found = decode(" ".join(item.text for item in items[start:end]))
        if isinstance(found, Marking) and not found.unread:
            return (found.canonical if found.service.load_index is not None else ""), end
    return "", start


def _is_between(items: list[Item], place: int) -> bool:
    """Whether an item parts the members of a list."""
    return place < len(items) and (items[place].text in (",", "/") or bool(items[place].roles & {"and", "or"}))
