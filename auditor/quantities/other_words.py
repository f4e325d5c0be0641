"""Words of many languages and scripts in cells, put as the readers know them: "до 900 кг" -> "up to 900 kg".

The words are data of the listing contract.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from functools import cache

from auditor.marking.look_alikes import SPOKEN
from auditor.marking.normalise import LETTERS
from auditor.rulebook.built_in import load_contract
from auditor.trade.patterns import Pattern

_WITHOUT_SPACES = frozenset(
    ["CJK", "HIRAGANA", "KATAKANA", "HANGUL", "THAI"]
)  # scripts that set no blank between words


def in_known_words(text: str) -> str:
    """A cell in lower case with "up to", "over" and units as the readers know them, and without "about" a figure."""
    pattern, meant = _pattern()
    text = text.translate(_NO_ACCENTS)
    no_figure = not any(map(str.isdecimal, text))

    def known(match: re.Match[str]) -> str:
        word = match[0] if " /" not in match[0] and "/ " not in match[0] else _AROUND_STROKE.sub("/", match[0])
        said = meant.get(word, meant.get(word.removesuffix("."), _PER_HOUR))
        return match[0] if no_figure and not said else f" {said} "

    return pattern.sub(known, text)


_PER_HOUR = "km/h"
_KM_PER = r"(?<![^\W\d_])(?:km|км)\s?/\s?[^\W\d_]{1,6}(?![^\W\d_])\.?"  # the hour of whatever language: "km/j"
_AROUND_STROKE = Pattern(r"\s?/\s?")
_NO_ACCENTS = str.maketrans("άέήίόύώϊϋΐΰ", "αεηιουωιυιυ")  # Greek is written with and without them


@cache
def _pattern() -> tuple[Pattern, dict[str, str]]:
    contract = load_contract()
    meant = {_written(word): unit.lower() for word, unit in contract.written_units.items()}
    meant |= {_written(word): "up to" for word in contract.up_to}
    meant |= {_written(word): "over" for word in contract.more_than}
    meant |= {_written(word): "" for word in contract.about}
    longest_first = sorted(meant, key=lambda word: (-len(word), word))
    with_blanks = [word for word in longest_first if _sets_blanks(word)]
    without = [word for word in longest_first if not _sets_blanks(word)]
    bounded = rf"(?<![^\W\d_])(?:{_any_of(with_blanks)})(?![^\W\d_])\.?"
    return Pattern(f"{bounded}|{_any_of(without)}|{_KM_PER}"), meant


def _any_of(words: Sequence[str]) -> str:
    return "|".join(re.escape(word).replace("/", r"\s?/\s?") for word in words)


def _written(word: str) -> str:
    return unicodedata.normalize("NFKC", word).replace("’", "'").lower().translate(_NO_ACCENTS)


def _sets_blanks(word: str) -> bool:
    """Whether a word is of a script that sets blanks between words, so that it is none inside of another one."""
    return unicodedata.name(word[0]).split()[0] not in _WITHOUT_SPACES


def with_plain_digits(text: str) -> str:
    """Digits of other scripts as 0 to 9."""
    return "".join(str(unicodedata.decimal(sign)) if sign.isdecimal() else sign for sign in text)


# Not the letters of which a B, a V, a P and an R may be meant.
_CODE = Pattern(r"(?<![^\W\d_])[A-ZΑΕΖΗΚΜΝΤΥΧАЕКМНТУХС]{1,2}(?![^\W_])")


def with_latin_codes(text: str) -> str:
    """A cell with codes of one or two letters, `91\u041d`, in the Latin letters that they print like."""
    return _CODE.sub(lambda match: match[0].translate(LETTERS), text)


_WORD = Pattern(r"[^\W\d_]+")
_SHORT = 2  # letters


def in_latin_letters(text: str, doubtful: bool) -> str:
    """A cell with the Latin letters that those of other alphabets in it print like: `R15\u0421`, `18\u04458`.

    Of each word all letters have to print so, and it is short or has Latin letters as well, for `МАКС` is a word of its
    own.  Where not `doubtful`, letters stay that may be spoken like another one: `240\u041d` is 240H or 240N.
    """

    def latin(match: re.Match[str]) -> str:
        word = match[0]
        if word.isascii() or not (doubtful or SPOKEN.isdisjoint(word.upper())):
            return word
        before, after = text[match.start() - 1 : match.start()], text[match.end() : match.end() + 1]
        glued = before.isdecimal() or after.isdecimal()
        if len(word) > (_SHORT if glued else 1) and not any(map(str.isascii, word)):
            return word
        found = word.translate(LETTERS)
        return found if found.isascii() else word

    return _WORD.sub(latin, text)
