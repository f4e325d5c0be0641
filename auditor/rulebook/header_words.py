"""Headers without case, accents and punctuation, and the listing contract with all its headers made so."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container, Sequence
from functools import lru_cache
from typing import Any

_FOLDED = str.maketrans(
    {
        "ß": "ss",
        "ł": "l",
        "đ": "d",
        "ø": "o",
        "æ": "ae",
        "œ": "oe",
        "ı": "i",
        "&": " ",
        "+": " ",
        "’": " ",
        "‘": " ",
        "ʻ": " ",  # Uzbek and Hawaiian letters that most keyboards lack
        "ʼ": " ",
        "`": " ",
        "ə": "e",  # as Azerbaijani shops write their keys
        "ð": "d",
        "þ": "th",
        "ی": "ي",  # Persian letters, for which Arabic keyboards have others
        "ک": "ك",
        "״": '"',
        "׳": "'",
    }
)

_NUMBER_SIGN = re.compile(r"#|№|\bn[°º]", re.IGNORECASE)
_DIAMETER_SIGN = re.compile(r"[⌀∅]|(?<!\w)[øØ](?!\w)")
_INITIALS = re.compile(r"(?<!\w)(?:[A-Za-z]\.){2,}|(?<![\w.])(?:[A-Za-z]\.)+[A-Za-z](?![\w.])")
_INNER_CAPITAL = re.compile(r"(?<=[a-z]{2})(?=[A-Z])|(?<=[A-Z]{2})(?=[A-Z][a-z]{2})")  # "LoadIndex", "LIZwilling"
_DIGITS_AFTER = re.compile(r"(?<=[a-z]{4})(?=[0-9])")
_OTHER_UMLAUT = re.compile(r"([aou])e")
# Vowels of Devanagari and Thai are signs of their own, and part of the word they stand in.
_WORDS = re.compile(r"(?:[^\W_]|[\u0900-\u0903\u093a-\u094f\u0e31\u0e34-\u0e3a\u0e47-\u0e4e])+|%|\"")
# Words that headers of a few letters leave out: "rango_carga" for "rango de carga".
_SMALL_WORDS = frozenset(["de", "del", "di", "da", "do", "du", "des", "of", "la", "le", "les", "dello", "della", "van"])
CONCEPTS = ("dual", "single", "max", "min", "diameter", "index")  # words of headers that stand for one another
_NUMBER_WORDS = frozenset(["no", "nr", "num", "nbr", "numer", "numero", "nummer", "номер", "broj"])
_BETWEEN_SCRIPTS = re.compile(
    r"(?<=[a-z0-9])(?=[\u3040-\u30ff\u3400-\u9fff])|(?<=[\u3040-\u30ff\u3400-\u9fff])(?=[a-z0-9])"
)


# By their codes of ISO 639-1, or by those of countries that shops write in their place.
LANGUAGES = frozenset(
    ["ar", "at", "be", "bg", "br", "ca", "cn", "cs", "cz", "da", "de", "dk", "ee", "el", "en", "es", "et", "fi", "fr",
     "gb", "gr", "he", "hr", "hu", "id", "it", "ja", "jp", "ko", "kr", "kz", "lt", "lv", "mk", "mn", "mx", "nl", "no",
     "pl", "pt", "ro", "rs", "ru", "se", "sk", "sl", "sr", "sv", "th", "tr", "ua", "uk", "us", "vi", "zh"]
)  # fmt: skip


@lru_cache(maxsize=16_384)  # feeds share their headers
def fold(text: str) -> str:
    """A header or word without case, accents and punctuation: "Max. Load (kg)" -> "max load kg"."""
    ascii_only = text.isascii()  # most are, and most of the steps then change nothing
    if not ascii_only:
        text = _DIAMETER_SIGN.sub(" diameter ", text)
    if not ascii_only or "#" in text:
        text = _NUMBER_SIGN.sub(" number ", text)
    if "." in text:
        text = _INITIALS.sub(lambda match: match[0].replace(".", ""), text)
    if not text.islower():
        text = _INNER_CAPITAL.sub(" ", text).casefold()
    if not ascii_only:
        text = unicodedata.normalize("NFKD", text.casefold().translate(_FOLDED))
        text = "".join(char for char in text if not unicodedata.combining(char))
        text = _BETWEEN_SCRIPTS.sub(" ", text)  # "LI単" is two words
    if "e" in text:
        text = _OTHER_UMLAUT.sub(r"\1", text)  # "groesse" and "größe" alike
    words = _WORDS.findall(_DIGITS_AFTER.sub(" ", text))
    return " ".join(["number" if word in _NUMBER_WORDS else word for word in words])


# Pounds per square inch in any language: "lbs/pol²", "libras por pulg2".
_PER_AREA = re.compile(
    r"[\s(\[]*\b(?:lbs?|lbf|pounds?|libras?|livres?|libbre|funt\w*)\.?\s?(?:/|per|por|par|na)\s?(?:sq\.?\s?)?"
    r"(?:in|inch|pol|polegada|pulg|pulgada|po|pouce|pollice|cal)\w*\.?\s?(?:quad\w*|cuad\w*|carr\w*|[²2])[\s)\]]*",
    re.IGNORECASE,
)


def with_psi(header: str) -> str:
    """A header with psi for pounds per square inch as a language writes them."""
    return _PER_AREA.sub(" psi", header)


def without_small_words(folded: str) -> str:
    """A folded header without articles and prepositions; as it is where fewer than two words would be left."""
    left = [word for word in folded.split() if word not in _SMALL_WORDS]
    return " ".join(left) if len(left) > 1 else folded


_LONGEST_UNIT, _LONGEST_REMARK = 5, 20  # characters, of a unit that is not known, and of what else stands beside units
_UNITS_TO_A_REMARK = 4  # at least
_BEHIND_A_UNIT = re.compile(r"\s*[(\[,;].*")


def is_unit(text: str, units: Container[str]) -> bool:
    """Whether a text is a unit and no more, or one with a remark behind it: "kg (single/dual)", "in, min - max"."""
    return fold(text) in units or fold(_BEHIND_A_UNIT.sub("", text)) in units


# What a cell is in a row of units: none of them, a remark, a word that may be a unit, a word beside units, a unit.
NO_WORD, REMARK, UNKNOWN, BESIDE, UNIT = range(5)


def kind_beside_units(text: str, units: Container[str], beside: Container[str]) -> int:
    """What a text is in a row of units; all folded words."""
    if is_unit(text, units):
        return UNIT
    if all(fold(part) in beside or fold(part) in units for part in text.split("/")):
        return BESIDE
    length = len(text.strip())
    if length > _LONGEST_REMARK or any(map(str.isdecimal, text)):
        return NO_WORD
    return REMARK if length > _LONGEST_UNIT else UNKNOWN


def is_row_of_units(texts: Sequence[str], units: Container[str], beside: Container[str]) -> bool:
    """Whether texts are a unit at least, and but units and what rows of units hold beside them."""
    kinds = [kind_beside_units(text, units, beside) for text in texts]
    counts = [kinds.count(kind) for kind in range(UNIT + 1)]
    return counts[UNIT] > 0 and bool(may_be_row_of_units(counts))


def may_be_row_of_units(counts: Sequence[Any]) -> Any:
    """Whether a row with so many cells of each kind may be one of units; numbers, or arrays of them.

    Of more units than one fewer words may be unknown, as those of money are; of four one may be a remark.
    """
    never, remarks, unknown, _, units = counts
    others = remarks + unknown
    few = (units > others) & (units > 1) & (units >= _UNITS_TO_A_REMARK * remarks)
    return (never == 0) & ((others == 0) | few)


def _season_letters(words: dict[str, dict[str, list[str]]]) -> list[list[str | bool]]:
    """Language, letter, season, and whether the usual word begins so: "L" may be short for a Polish summer.

    A letter stands for the season whose usual word, the first of its list, begins with it, summer and winter before
    all-season: a Hungarian N is "nyári", though "négyévszakos" begins so too.
    """
    found: dict[tuple[str, str], tuple[str, bool]] = {}
    for usual in (True, False):
        for season in ("summer", "winter", "all-season"):
            for language, known in words[season].items():
                for word in known[:1] if usual else known[1:]:
                    found.setdefault((language, word[0].casefold()), (season, usual))
    return [[*key, *stands] for key, stands in sorted(found.items())]


def compiled_contract(data: dict[str, Any]) -> dict[str, Any]:
    """The contract with its headers folded, as lists, since the order of groups tells which is the usual one.

    `data` is the content of `listing_fields.toml`.
    """
    fields = [{"unit": None, **row} for row in data["field"]]
    phrases: dict[str, list[str]] = {}
    for group, languages in data["spellings"].items():
        for phrase in (word for words in languages.values() for word in words):
            known = phrases.setdefault(fold(phrase), [])
            if group not in known:
                known.append(group)
    for phrase, groups in [*phrases.items()]:
        phrases.setdefault(without_small_words(phrase), groups)
    units = {fold(word): unit for unit, words in data["units"].items() for word in words}
    return {
        "fields": fields,
        "cells": [row["groups"] for row in data["cell"]],
        "matters": data["matters"],
        "possible": [[group, *ends] for group, ends in data["possible"].items()],
        "combined": [[row["group"], row["fields"]] for row in data["combined"]],
        "phrases": [[phrase, groups] for phrase, groups in phrases.items()],
        "units": [[word, unit] for word, unit in units.items()],
        "written_units": [
            [word, unit] for unit, words in data["units"].items() for word in words if not word.isascii() or "/" in word
        ],
        "beside_units": sorted(
            {fold(word) for words in data["words"]["beside_units"].values() for word in words if fold(word)}
        ),
        "unit_words": sorted(
            {part for words in data["words"]["units"].values() for word in words for part in fold(word).split()}
        ),
        "up_to": sorted({word for words in data["words"]["up_to"].values() for word in words}),
        "more_than": sorted({word for words in data["words"]["more_than"].values() for word in words}),
        "about": sorted({word for words in data["words"]["about"].values() for word in words}),
        "season_words": [
            [word, season]
            for season in ("summer", "all-season", "winter")
            for words in data["words"][season].values()
            for word in words
        ],
        "season_letters": _season_letters(data["words"]),
        "not_stated": sorted({word for words in data["words"]["not_stated"].values() for word in words}),
        "without": sorted({fold(word) for words in data["words"]["without"].values() for word in words}),
        "concepts": [
            [fold(word), concept] for concept in CONCEPTS for words in data["words"][concept].values() for word in words
        ],
        "furniture": sorted({word for words in data["words"]["furniture"].values() for word in words}),
        "other_business": sorted(
            {fold(word) for words in data["words"]["other_business"].values() for word in words if " " not in word}
        ),
    }
