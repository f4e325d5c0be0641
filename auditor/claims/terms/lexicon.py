"""The lexicon of texts, ready to look words up in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from auditor.claims.terms.number_words import Numerals
from auditor.claims.terms.unspaced import Unspaced
from auditor.claims.terms.weights import Weights
from auditor.claims.terms.words import LOWER, UPPER, tokens_of_word
from auditor.rulebook.texts import COMMON, GRAMMAR, WORD, folded, lexicon_data

_NO_LANGUAGE = frozenset({"inch", "kmh", "32nds"})  # put for signs and abbreviations
_WEIGHT = 60  # of a word that one language knows
_WORDS = frozenset({"A", "I", UPPER})  # single signs that begin a sentence


class Phrase(NamedTuple):
    """Words in a row that have roles."""

    words: tuple[str, ...]
    roles: frozenset[str]
    number: float | None


class Starts(NamedTuple):
    """The phrases that begin with a token."""

    single: Phrase | None  # that of the token alone, with the roles of all such
    longer: dict[str, tuple[Phrase, ...]]  # by their second word
    words: frozenset[str]  # the words that the token stands for


_NOTHING = Starts(None, {}, frozenset())


class Hit(NamedTuple):
    """A word of the lexicon that a word of a text stands for."""

    language: str
    word: str


class Roles(NamedTuple):
    """What the roles do; see `rules/texts/roles.toml`."""

    labels: frozenset[str]
    labels_and_masses: frozenset[str]  # what may say of which quantity a bare number is
    silences: dict[str, frozenset[str]]
    fragment: tuple[str, ...]  # roles by how far they reach, in an order, for the first that silences is the reason
    onward: tuple[str, ...]
    sentence: tuple[str, ...]
    prose: frozenset[str]
    hints: frozenset[str]  # roles that only tell
    kinds: dict[str, str]  # of fields
    silencing: Callable[[frozenset[str]], list[str]]  # which of an item's roles silence anything, in an order


IN_PART = "mul"  # what is known of languages that are not read whole, as one language


class Grammar(NamedTuple):
    """The ways of a language that say whose a clause is."""

    capitals: bool  # nouns are capitalized, so that a capital makes no name
    dropped: bool  # a verb without a subject speaks of what was spoken of before


class Lexicon:
    """All languages, ready to look words up in.  What a text does not need is not made."""

    def __init__(self, data: dict[str, Any]) -> None:
        self._exact: dict[str, str] = data["exact"]
        self._begins: dict[str, str] = data["begins"]
        self._ends: dict[str, str] = data["ends"]
        self._phrases: dict[str, dict[str, list[list[Any]]]] = data["phrases"]
        self._numerals = {language: Numerals(*found) for language, found in data["numerals"].items()}
        self.roles = _roles(data["roles"], data["kinds"])
        self.weights = Weights(data["weights"], self.roles.kinds)
        self.all_languages: list[str] = data["languages"]
        ways = [data["grammar"][way] for way in GRAMMAR]
        self.capitals = frozenset(ways[0])  # languages that capitalize nouns
        self.grammars = {language: Grammar(*(language in ones for ones in ways)) for language in self.all_languages}
        self.abbreviations = frozenset(data["abbreviations"])
        self._lengths_of_begins = sorted({len(word) for word in self._begins if len(word) > 2})
        self._lengths_of_ends = sorted({len(word) for word in self._ends if len(word) > 2}, reverse=True)
        self._number_heads = frozenset[str]().union(*(one.heads for one in self._numerals.values()))
        self._number_tails = frozenset[str]().union(*(one.tails for one in self._numerals.values()))
        self._heads, self._tails = {word[:3] for word in self._begins}, {word[-3:] for word in self._ends}
        self.hits = lru_cache(maxsize=65_536)(self._hits)
        self.languages = lru_cache(maxsize=65_536)(self._languages_of)
        self.speaking = lru_cache(maxsize=65_536)(self._speaking)
        self.starts = lru_cache(maxsize=32_768)(self._starts_of)

    @cached_property
    def _unspaced(self) -> Unspaced:
        return Unspaced(self._exact)

    def tokens_of_word(self, word: str) -> tuple[str, ...]:
        """The tokens of a word of a text, cut at known words where its script puts no blanks."""
        tokens = tokens_of_word(word)
        if word.isascii():
            return tokens
        return tuple(part for token in tokens for part in self._unspaced.parts(token))

    def _hits(self, token: str) -> tuple[Hit, ...]:
        """The lexicon words that a token stands for; none for filler."""
        word = folded(token)
        found = [Hit(language, word) for language in self._exact.get(word, "").split()]
        size = len(word)
        if size > 3 and word.isalpha():
            for length in self._lengths_of_begins if word[:3] in self._heads else ():
                if length <= size and (languages := self._begins.get(word[:length])):
                    found += [Hit(language, word[:length] + "*") for language in languages.split()]
            for length in self._lengths_of_ends if word[-3:] in self._tails else ():
                if length <= size and (languages := self._ends.get(word[-length:])):
                    found += [Hit(language, "*" + word[-length:]) for language in languages.split()]
            if not found and word[:3] in self._number_heads and word[-3:] in self._number_tails:
                numerals = self._numerals.items()
                found = [Hit(language, word) for language, one in numerals if one.value(word) is not None]
        return tuple(found)

    def _beginning(self, language: str, word: str) -> list[list[Any]]:
        """The phrases of a language that begin with a word, as data: text, roles, number."""
        found = self._phrases[language].get(word)
        if found is None and language in self._numerals:
            value = self._numerals[language].value(word)
            return [] if value is None else [[word, "number", value]]
        return found or []

    def begins_sentence(self, token: str) -> bool:
        """Whether a word is written as the first of a sentence is: a capital that its language gives no noun."""
        if not (token == UPPER or token[0].isupper()):
            return False
        if (len(token) == 1 and token not in _WORDS) or token.casefold() in self.abbreviations:
            return False  # "fuel eff. C", "Spd. Rtg. V"
        known = self.languages(token)
        return not (known and self.capitals.issuperset(known))

    def phrases_of(self, hit: Hit) -> list[Phrase]:
        """The phrases of its language that begin with a word."""
        return [
            Phrase(tuple(text.split()), frozenset(roles.split()), number)
            for text, roles, number in self._beginning(hit.language, hit.word)
        ]

    def is_only_weighed(self, token: str) -> bool:
        """Whether no language holds a word, which only has a weight of its own: that makes it no less a name."""
        hits = self.hits(token)
        roles = {role for hit in hits for phrase in self.phrases_of(hit) for role in phrase.roles}
        return bool(roles) and all(role[0] == WORD for role in roles) and all(hit.language == COMMON for hit in hits)

    def second_words(self) -> Iterator[tuple[str, str, float | None]]:
        """The second word of every longer phrase of all languages, with the roles and the number of the phrase."""
        for words in self._phrases.values():
            for phrases in words.values():
                for text, roles, number in phrases:
                    if " " in text:
                        yield text.split()[1], roles, number

    def _languages_of(self, token: str) -> tuple[str, ...]:
        """The languages that know a token."""
        return tuple({hit.language: None for hit in self.hits(token) if hit.language != COMMON})

    def _speaking(self, token: str) -> tuple[tuple[str, int], ...]:
        """How much a token tells for each language that knows it."""
        known = self.languages(token)
        if not known or token in _NO_LANGUAGE or token[0].isdigit():
            return ()
        code = len(token) < 4 and token.isupper()
        weight = 1 if code else _WEIGHT * min(len(token), 2) // len(known)  # a word of one tells more
        return tuple((language, weight) for language in known)

    def _starts_of(self, token: str, language: str) -> Starts:
        """The phrases of one language that begin with a token."""
        words = frozenset(hit.word for hit in self.hits(token) if hit.language in (language, COMMON))
        if not words:
            return _NOTHING
        single: Phrase | None = None
        longer: dict[str, list[Phrase]] = {}
        for of in (language, COMMON):
            for word in words:
                for text, roles, number in self._beginning(of, word):
                    one = Phrase(tuple(text.split()), frozenset(roles.split()), number)
                    if len(one.words) > 1:
                        longer.setdefault(one.words[1], []).append(one)
                    else:
                        single = one if single is None else merged(single, one)
        return Starts(single, {word: tuple(found) for word, found in longer.items()}, words)


def merged(one: Phrase, other: Phrase) -> Phrase:
    """Two phrases of the same words in a text, with the roles of both."""
    return Phrase(one.words, one.roles | other.roles, one.number if other.number is None else other.number)


def _roles(table: dict[str, dict[str, Any]], kinds: dict[str, list[str]]) -> Roles:
    def having(key: str, value: Any = True) -> frozenset[str]:
        return frozenset(role for role, one in table.items() if one.get(key) == value)

    silences = {role: frozenset(one["silences"]) for role, one in table.items() if "silences" in one}
    kind_of = {field: kind for kind, fields in kinds.items() for field in fields}
    fragment, onward, sentence = (tuple(sorted(having("reach", name))) for name in ("fragment", "onward", "sentence"))

    @lru_cache(maxsize=4_096)
    def silencing(roles: frozenset[str]) -> list[str]:
        return sorted(roles & silences.keys())

    labels, prose, hints = having("label"), having("prose"), having("hint")
    return Roles(labels, labels | {"kg", "lb"}, silences, fragment, onward, sentence, prose, hints, kind_of, silencing)


@lru_cache(maxsize=8)
def lexicon_of(own: Path | None = None) -> Lexicon:
    """The built-in lexicon, with that of a retailer's own folder laid over it."""
    return Lexicon(lexicon_data(own, cut))


def cut(word: str) -> tuple[str, ...]:
    """The tokens of a lexicon's word; none for what no text is looked up by."""
    tokens = tokens_of_word(word)
    return () if {LOWER, UPPER} & set(tokens) else tokens
