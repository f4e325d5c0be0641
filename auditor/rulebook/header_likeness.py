"""Which known spellings an abbreviated, inflected or misspelled header may stand for: by rule, and not by list.

Word by word, a header's word may be the beginning of a known one ("Vit." of "vitesse"), its letters in order ("Ptrn" of
"pattern"), another ending of it ("diametre", "diametro"), a slip of the pen, or two words one compound ("Tragf.-Idx" of
"tragfaehigkeitsindex").  How well a header fits a spelling is the share of both that is matched; words that stand in
neither say that something else is meant.
"""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from auditor.rulebook.header_words import fold
from auditor.rulebook.listing_fields import Contract

_MOST_WORDS, _LONGEST = 7, 60  # of a header that is looked at; more is a sentence
_LEAST = 0.3  # below, a spelling is not worth a look
_FILLER_WEIGHT = 0.3
_LIGHT = ("single", "number", "code", "name", "text")
_HALF_SAID = frozenset({"number", "code", "name", "id", "text"})  # alone they say little
_OF_TWINS = {"max_load": "max_load_dual", "load_index": "load_index_dual"}
_ALONE = {"max_load_dual", "load_index_dual"}
# English, German, Dutch, French, Italian, Polish, from memory: single and dual, Einzel und Zwilling, enkel en dubbel,
# simple et jumelé, singola e gemellata, pojedyncza i bliźniacza.
MOUNTINGS = frozenset({"sd", "ez", "ed", "sj", "sg", "pb"})
_SURE = 0.6  # likeness from which a word is short for another
_SHORT = 2  # letters that may be short for anything
_INNER = 0.85  # likeness of a word within a word
_VOWELS = frozenset("aeiouy")


@dataclass(frozen=True, slots=True)
class _Spelling:
    words: tuple[str, ...]
    weight: float
    groups: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Index:
    """The spellings by their words, and the words by their first letter."""

    by_word: dict[str, tuple[_Spelling, ...]]
    by_letter: dict[str, tuple[tuple[str, str], ...]]  # first letter -> words as written, and what they stand for
    by_last: dict[str, tuple[tuple[str, str], ...]]  # the same by the last sign, of scripts that set no blanks
    written: dict[str, str]  # word as written -> the one that stands for all of its meaning


def likely_groups(base: str, contract: Contract) -> tuple[tuple[str, float], ...]:
    """Groups that a folded header without its units may stand for, likeliest first, each with a score from 0 to 1."""
    return _likely(base, contract) if len(base) <= _LONGEST else ()


def means(base: str, concept: str, contract: Contract) -> bool:
    """Whether every word of a folded header is an abbreviation of the concept, such as "mx" of "max"."""
    return bool(base) and all(dict(_words_like(word, contract)).get(concept, 0.0) >= _SURE for word in base.split())


@lru_cache(maxsize=1 << 12)
def _likely(base: str, contract: Contract) -> tuple[tuple[str, float], ...]:
    words = list(dict.fromkeys(_of_either_mounting(base.split(), contract)))
    if not words or len(words) > _MOST_WORDS or all(contract.concepts.get(word) in ("max", "min") for word in words):
        return ()  # "Max." alone may be short for the most of anything
    like = [dict(_words_like(word, contract)) for word in words]
    index = _index(contract)
    scores: dict[str, float] = {}
    for spelling in dict.fromkeys(one for found in like for word in found for one in index.by_word.get(word, ())):
        score = _score(words, like, spelling, contract)
        for place, group in enumerate(spelling.groups):
            scores[group] = max(scores.get(group, 0.0), score - 0.02 * place)
    if words[-1] == "d" and len(words) > 1:  # as short for dual as can be
        like[-1]["dual"] = 1.0
    found = _by_mounting({group: score for group, score in scores.items() if score >= _LEAST}, like)
    return tuple(sorted(found.items(), key=lambda item: (-item[1], item[0])))


def _of_either_mounting(words: Sequence[str], contract: Contract) -> Sequence[str]:
    """The words without the two at their end that name single and dual tires: "LI (S/D)", "Portata (sing./gem.)"."""
    if len(words) < 3:
        return words
    if "".join(words[-2:]) in MOUNTINGS:
        return words[:-2]
    single, dual = (dict(_words_like(word, contract)) for word in words[-2:])
    both = len(words[-1]) > 2 and single.get("single", 0.0) >= _SURE and dual.get("dual", 0.0) >= _SURE
    return words[:-2] if both else words


def _by_mounting(scores: dict[str, float], like: Sequence[dict[str, float]]) -> dict[str, float]:
    """A load of "twin" or "dual" tires is never that of a single one, nor the other way round; min is never max."""
    said = {concept for found in like for concept in ("dual", "min", "max") if found.get(concept, 0.0) >= 0.75}
    if not any(found.get("dual", 0.0) > found.get("single", 0.0) for found in like):
        said.discard("dual")  # "poj." is rather "pojedyncza" than "podwójna"
    if "dual" in said:
        for single, dual in _OF_TWINS.items():
            scores[dual] = max(scores.get(dual, 0.0), scores.pop(single, 0.0))
        scores = {group: score for group, score in scores.items() if score}
    else:
        scores = {group: score for group, score in scores.items() if group not in _ALONE}
    if "min" in said:
        return {
            group: score for group, score in scores.items() if not group.startswith("max_") and group[-4:] != "_max"
        }
    return {group: score for group, score in scores.items() if "max" not in said or group[-4:] != "_min"}


def _score(words: Sequence[str], like: Sequence[dict[str, float]], spelling: _Spelling, contract: Contract) -> float:
    """The share of header and spelling that is matched, each word with at most one other."""
    pairs = sorted(
        (
            (-found[word], at, place)
            for at, found in enumerate(like)
            for place, word in enumerate(spelling.words)
            if word in found
        )
    )
    taken: dict[int, int] = {}
    got = 0.0
    for likeness, at, place in pairs:
        if at not in taken and place not in taken.values():
            taken[at] = place
            got += -likeness * _weight(spelling.words[place])
    left = {word: like[at] for at, word in enumerate(words) if at not in taken}
    if left:
        for word in _second_halves(words, taken, spelling):
            left.pop(word, None)
    other = sum(2.0 if _other_business(word, contract) else _left_weight(word, known) for word, known in left.items())
    return got / (spelling.weight + other)


def _left_weight(word: str, known: dict[str, float]) -> float:
    """What a word of the header weighs that stands for none of the spelling's: little, where it is short for little."""
    return min([_weight(word), *(_weight(light) for light in _LIGHT if known.get(light, 0.0) >= 0.7)])


def _second_halves(words: Sequence[str], taken: dict[int, int], spelling: _Spelling) -> Iterator[str]:
    """Words that stand for the rest of a compound whose beginning is the word before: "idx" after "tragf"."""
    for at, place in taken.items():
        whole, head = spelling.words[place], words[at]
        if at + 1 < len(words) and at + 1 not in taken and len(whole) >= 8 and whole.startswith(head):
            rest, second = whole[len(head) :], words[at + 1]
            if len(second) >= 2 and any(
                likeness(second, rest[p:]) for p in range(len(rest) - 2) if rest[p] == second[0]
            ):
                yield second


def _weight(word: str) -> float:
    if word == "single":  # what is meant where nothing is said
        return _FILLER_WEIGHT
    if word in _HALF_SAID:
        return 0.4
    return _FILLER_WEIGHT if word in FILLERS or len(word) == 1 else 1.0


def speaks_of_other_business(header: str, contract: Contract) -> bool:
    """Whether a word of a header is one of prices, stocks and pallets, or short for one."""
    return any(_other_business(word, contract) for word in fold(header).split())


@lru_cache(maxsize=1 << 12)
def _other_business(word: str, contract: Contract) -> bool:
    """A word of prices, stocks and pictures, or short for one; two letters may be short for anything."""
    if len(word) <= _SHORT:
        return word in contract.other_business
    return any(likeness(word, other) >= 0.75 for other in contract.other_business)


@lru_cache(maxsize=1 << 13)
def _words_like(word: str, contract: Contract) -> tuple[tuple[str, float], ...]:
    """What known words a header's word may stand for."""
    index, best = _index(contract), dict[str, float]()
    other = 0.0 if word in index.written else max((likeness(word, one) for one in contract.other_business), default=0.0)
    for written, concept in index.by_letter.get(word[0], ()):
        score = likeness(word, written)
        if score > best.get(concept, 0.0) and score >= other:  # "Dispo" is short for "disponible" and no "disegno"
            best[concept] = score
    for concept in _inner_words(word, index, contract):
        best[concept] = max(best.get(concept, 0.0), _INNER)
    return tuple(best.items())


def _inner_words(word: str, index: _Index, contract: Contract) -> Iterator[str]:
    """Words that a Chinese or Japanese word ends in, which is what it is about, and "dual" or "single" within it."""
    if len(word) < 3 or not _without_blanks(word):
        return
    ending = [(written, concept) for written, concept in index.by_last.get(word[-1], ()) if word.endswith(written)]
    if ending:
        yield max(ending, key=lambda one: len(one[0]))[1]
    for written, concept in contract.concepts.items():
        if written in word and _without_blanks(written):
            yield concept


@lru_cache(maxsize=1 << 12)
def _without_blanks(word: str) -> bool:
    """Whether a word is in a script that sets no blanks between words."""
    return unicodedata.name(word[0], "").startswith(("CJK", "HIRAGANA", "KATAKANA"))


def likeness(short: str, word: str) -> float:
    """How surely a header's word stands for a known word; 0 where it does not."""
    if short == word:
        return 1.0
    if word.startswith(short):
        return 0.92 if len(short) >= 3 else 0.85 if len(short) == 2 else 0.6
    if len(word) >= 4 and short.startswith(word) and len(short) - len(word) <= 3:
        return 0.85
    shared = _shared(short, word)
    if shared >= 5 and shared >= (0.65 if shared >= 6 else 0.7) * max(len(short), len(word)):
        return 0.85  # another ending
    if 2 <= len(short) < len(word) and _in_order(short, word):
        if len(short) <= 3 and len(short) * 3 < len(word):
            return 0.55  # two or three letters of a long word may be short for anything
        return 0.82 if len(short) >= 3 or short[-1] == word[-1] else 0.7
    if len(short) >= 5 and abs(len(short) - len(word)) <= 2 and shared:
        return 0.8 if difflib.SequenceMatcher(None, short, word, False).ratio() >= 0.84 else 0.0
    return 0.0


def _shared(short: str, word: str) -> int:
    length = 0
    for one, other in zip(short, word, strict=False):
        if one != other:
            break
        length += 1
    return length


def _in_order(short: str, word: str) -> bool:
    """Whether a word is written by some of its letters: the first, and further consonants in order.

    A vowel counts only where it follows the letter before it, or ends the word: "ovrl" and "patt" are such, "tire" of
    "traction" is none.
    """
    if short[0] != word[0]:
        return False
    at = 0
    for letter in short[1:]:
        found = word.find(letter, at + 1)
        if found < 0 or (letter in _VOWELS and found != at + 1 and found != len(word) - 1):
            return False
        at = found
    consonants = sum(letter not in _VOWELS for letter in short)
    return consonants >= 2 and len(short) * 5 >= len(word)


# Words that say nothing about which field a column holds, folded as headers are.
FILLERS = frozenset(
    map(fold, [
        "tire", "tires", "tyre", "tyres", "reifen", "pneu", "pneus", "neumatico", "neumaticos", "pneumatico",
        "pneumatici", "band", "banden", "opona", "opony", "the", "of", "der", "die", "das", "des", "de", "du",
        "la", "le", "les", "del", "della", "di", "da", "van", "een", "w", "wert", "valor", "valore", "product",
        "item", "eu", "label", "spec", "rated", "niveau", "nivel", "livello", "poziom", "info", "produit",
        "producto", "prodotto", "produktu", "towaru", "相当", "value", "values", "per", "waarde", "wartość",
        "värde", "værdi", "verdi", "arvo", "hodnota", "vrijednost", "vrednost", "érték", "değer", "значение",
        "значення", "стойност", "τιμή", "値", "数値", "variant", "html", "kz", "kennz", "kennzeichen",
    ])
)  # fmt: skip


@lru_cache(maxsize=8)
def _index(contract: Contract) -> _Index:
    concepts = contract.concepts
    by_word: dict[str, list[_Spelling]] = {}
    written: dict[str, str] = dict(concepts)
    for phrase, groups in contract.phrases.items():
        words = tuple(concepts.get(word, word) for word in phrase.split())
        written |= {word: concepts.get(word, word) for word in phrase.split()}
        spelling = _Spelling(words, sum(map(_weight, words)), groups)
        for word in dict.fromkeys(words):
            by_word.setdefault(word, []).append(spelling)
    by_letter: dict[str, list[tuple[str, str]]] = {}
    for word, concept in written.items():
        by_letter.setdefault(word[0], []).append((word, concept))
    by_last: dict[str, list[tuple[str, str]]] = {}
    for word, concept in written.items():
        if len(word) > 1 and _without_blanks(word):
            by_last.setdefault(word[-1], []).append((word, concept))
    return _Index(
        {word: tuple(found) for word, found in by_word.items()},
        {letter: tuple(found) for letter, found in by_letter.items()},
        {sign: tuple(found) for sign, found in by_last.items()},
        written,
    )
