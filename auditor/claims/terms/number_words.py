"""Numbers that are written as one word: "vierhundertfünfundzwanzig", "settecentodieci", "zevenhonderd".

A language gives its number words and the word that joins units and tens; what is made of them is read here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

_LEAST, _MOST = 6, 45  # letters of such a word
_VOWELS = frozenset("aeiou")


class Numerals:
    """The number words of a language."""

    def __init__(self, values: Mapping[str, float], links: Iterable[str]) -> None:
        """`links` join units and tens: "und", "en"."""
        self._values = values
        self._links = tuple(links)
        self.heads, self.tails = {word[:3] for word in values}, {word[-3:] for word in values}

    def value(self, word: str) -> float | None:
        """The number that a word is made of; None for other words."""
        if not _LEAST <= len(word) <= _MOST or word[:3] not in self.heads or word[-3:] not in self.tails:
            return None
        return self._below(word, 10_000)

    def _below(self, word: str, limit: float) -> float | None:
        known = self._values.get(word)
        if known is not None:
            return known if known < limit else None
        for step in (1000.0, 100.0):
            if step < limit and (found := self._stepped(word, step)) and found < limit:
                return found
        return self._below_hundred(word)

    def _stepped(self, word: str, step: float) -> float | None:
        """Hundreds or thousands with what stands before and behind their word."""
        for name in (name for name, value in self._values.items() if value % step == 0 and value < 10 * step):
            for head, tail in self._around(word, name):
                times = 1.0 if not head else self._below(head, step) if self._values[name] == step else None
                rest = self._rest(tail, step)
                if times and rest is not None:
                    return times * self._values[name] + rest
        return None

    def _around(self, word: str, name: str) -> list[tuple[str, str]]:
        """What stands before and behind a name in a word, also without the vowel that another one swallows."""
        found = []
        head, there, tail = word.partition(name)
        if there:
            found.append((head, tail))
        if name[-1] in _VOWELS:
            head, there, tail = word.partition(name[:-1])
            if there and tail[:1] in _VOWELS:
                found.append((head, tail))
        return found

    def _rest(self, tail: str, limit: float) -> float | None:
        if not tail:
            return 0.0
        plain = self._below(tail, limit)
        linked = (self._below(tail.removeprefix(link), 100) for link in self._links if tail.startswith(link))
        return plain if plain is not None else next((value for value in linked if value is not None), None)

    def _below_hundred(self, word: str) -> float | None:
        """Units and tens: "fünfundzwanzig", "ventotto"."""
        for tens in (name for name, value in self._values.items() if 20 <= value < 100 and value % 10 == 0):
            if word.endswith(tens):
                head = word.removesuffix(tens)
                for link in self._links:
                    unit = self._values.get(head.removesuffix(link), 0.0) if head.endswith(link) else 0.0
                    if 0 < unit < 10:
                        return self._values[tens] + unit
            for head, tail in self._around(word, tens):
                unit = 0.0 if head else self._values.get(tail, 0.0)
                if 0 < unit < 10:
                    return self._values[tens] + unit
        return None
