"""Patterns of words in many languages over normalised text, made when a text first asks for them.

Most texts are plain ASCII; for them the words that can be written so are enough, and far quicker to compile and to try.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from functools import cache
from itertools import product

from auditor.marking import languages
from auditor.marking.normalise import TABLE
from auditor.trade.patterns import Pattern

Words = dict[str, str] | str
Alternatives = Callable[[Words], str]  # of a table of words, as a pattern


class Worded:
    """A pattern that holds words of many languages."""

    __slots__ = ("_full", "_make", "_plain")

    def __init__(self, make: Callable[[Alternatives], str]) -> None:
        self._make = make
        self._plain: Pattern | None = None
        self._full: Pattern | None = None

    def _for(self, text: str) -> Pattern:
        if text.isascii():
            if self._plain is None:
                self._plain = Pattern(self._make(_plain_words))
            return self._plain
        if self._full is None:
            self._full = Pattern(self._make(_all_words))
        return self._full

    def within(self, words: Alternatives) -> str:
        """The pattern as a part of another one."""
        return self._make(words)

    def match(self, text: str, position: int = 0) -> re.Match[str] | None:
        return self._for(text).match(text, position)

    def search(self, text: str, position: int = 0) -> re.Match[str] | None:
        return self._for(text).search(text, position)

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        return self._for(text).finditer(text)

    def fullmatch(self, text: str) -> re.Match[str] | None:
        return self._for(text).fullmatch(text)


def first_letters(*tables: Words, count: int = 1) -> frozenset[str]:
    """What a normalised text may have where a word of the tables begins: its first letters."""
    words = [word for table in tables for word in languages.of(table)]
    return frozenset("".join(forms) for word in words for forms in product(*map(_forms, word[:count])))


def folded(text: str) -> str:
    """Capitals without accents, as written or normalised."""
    if text.isascii():
        return text.upper()
    parts = unicodedata.normalize("NFD", text.upper())
    return "".join(sign for sign in parts if not unicodedata.combining(sign)).upper().translate(TABLE)


def _all_words(words: Words) -> str:
    """Alternatives that find words in capitals or small letters, with or without accents."""
    return "|".join("".join(map(_letter, word)) for word in languages.of(words))


def _plain_words(words: Words) -> str:
    bare = dict.fromkeys(plain for word in languages.of(words) if (plain := _in_ascii(word)))
    return "|".join(map(re.escape, bare)) or "(?!)"


def _in_ascii(word: str) -> str:
    """A word as it is written without accents; empty where it has letters of another alphabet that look like none."""
    look_alike = word.upper().translate(TABLE)  # Cyrillic \u041d\u0421 prints like HC
    if look_alike.isascii():
        return look_alike
    signs = unicodedata.normalize("NFD", word)
    plain = "".join(sign for sign in signs if not unicodedata.combining(sign)).upper()
    return plain if plain.isascii() else ""


def _letter(letter: str) -> str:
    if letter == ".":
        return r"\."
    forms = sorted(_forms(letter))
    return re.escape(forms[0]) if len(forms) == 1 else f"[{''.join(map(re.escape, forms))}]"


@cache
def _forms(letter: str) -> frozenset[str]:
    """What normalising makes of a letter and its capital, and of a Latin letter without its accent."""
    forms = {form for form in (letter.lower(), letter.upper()) if len(form) == 1}
    forms |= {bare for form in forms if (bare := unicodedata.normalize("NFD", form)[0]).isascii()}
    return frozenset(form.translate(TABLE) for form in forms)
