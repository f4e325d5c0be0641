"""Cuts runs of scripts that put no blanks between words, at the words that the lexicon holds.

Of Chinese, Japanese and Thai the longest known word is taken wherever one begins.  Korean puts blanks, but glues
particles and compounds ("최대하중은"): there a known word has to follow on the beginning or on another known one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from auditor.trade.patterns import Pattern

_SCRIPTS = (r"[\u3005\u3040-\u30ff\u3400-\u9fff]+", r"[\u0e01-\u0e4e]+", r"[\uac00-\ud7a3]+")
_ANY = Pattern("|".join(_SCRIPTS))
_RUN = re.compile("|".join((*(f"({script})" for script in _SCRIPTS), ".")))
_KOREAN = 3  # the group of its script


class Unspaced:
    """The words of a lexicon that are written without blanks."""

    def __init__(self, words: Iterable[str]) -> None:
        self._lengths: dict[str, list[int]] = {}
        self._words = frozenset(word for word in words if _ANY.fullmatch(word))
        for word in self._words:
            lengths = self._lengths.setdefault(word[0], [])
            if len(word) not in lengths:
                lengths.append(len(word))
        for lengths in self._lengths.values():
            lengths.sort(reverse=True)

    def parts(self, token: str) -> tuple[str, ...]:
        """The words of a token; itself where it is of a script with blanks."""
        if token.isascii() or not _ANY.search(token):
            return (token,)
        parts: list[str] = []
        other = ""
        for run in _RUN.finditer(token):
            if not run.lastindex:
                other += run[0]
                continue
            if other:
                parts.append(other)
                other = ""
            parts += self._korean(run[0]) if run.lastindex == _KOREAN else self._anywhere(run[0])
        return (*parts, other) if other else tuple(parts)

    def _longest(self, text: str, at: int) -> str:
        """The longest word that begins at a place; "" for none."""
        for length in self._lengths.get(text[at], ()):
            if text[at : at + length] in self._words:
                return text[at : at + length]
        return ""

    def _anywhere(self, text: str) -> Iterator[str]:
        at = unknown = 0
        while at < len(text):
            word = self._longest(text, at)
            if not word:
                at += 1
                continue
            if unknown < at:
                yield text[unknown:at]
            yield word
            at = unknown = at + len(word)
        if unknown < at:
            yield text[unknown:at]

    def _korean(self, text: str) -> list[str]:
        found: list[str] = []
        at = 0
        while at < len(text) and (word := self._longest(text, at)):
            found.append(word)
            at += len(word)
        if at == len(text):
            return found
        while found and len(found[-1]) == 1:  # a syllable of a word that nobody knows
            at -= len(found.pop())
        return [*found, text[at:]]
