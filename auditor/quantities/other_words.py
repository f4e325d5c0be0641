"""Words of many languages and scripts in cells, put as the readers know them: "до 900 кг" -> "up to 900 kg".

The words are data of the listing contract.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from auditor.rulebook.built_in import load_contract
from auditor.trade.patterns import Pattern

_WITHOUT_SPACES = frozenset(
    ["CJK", "HIRAGANA", "KATAKANA", "HANGUL", "THAI"]
)  # scripts that set no blank between words


def in_known_words(text: str) -> str:
    """A cell in lower case with "up to", "over" and the units of other scripts as the readers know them."""
    pattern, meant = _pattern()
    text = text.translate(_NO_ACCENTS)
    return pattern.sub(lambda match: f" {meant.get(match[0]) or meant[match[0].removesuffix('.')]} ", text)


_NO_ACCENTS = str.maketrans("άέήίόύώϊϋΐΰ", "αεηιουωιυιυ")  # Greek is written with and without them


@cache
def _pattern() -> tuple[Pattern, dict[str, str]]:
    contract = load_contract()
    meant = {_written(word): unit.lower() for word, unit in contract.written_units.items()}
    meant |= {_written(word): "up to" for word in contract.up_to}
    meant |= {_written(word): "over" for word in contract.more_than}
    longest_first = sorted(meant, key=lambda word: (-len(word), word))
    return Pattern("|".join(map(_bounded, longest_first))), meant


def _written(word: str) -> str:
    return unicodedata.normalize("NFKC", word).replace("’", "'").lower().translate(_NO_ACCENTS)


def _bounded(word: str) -> str:
    """The word as a pattern that does not begin or end inside of another one."""
    if unicodedata.name(word[0]).split()[0] in _WITHOUT_SPACES:
        return re.escape(word)
    return rf"(?<![^\W\d_]){re.escape(word)}(?![^\W\d_])\.?"


def with_plain_digits(text: str) -> str:
    """Digits of other scripts as 0 to 9."""
    return "".join(str(unicodedata.decimal(sign)) if sign.isdecimal() else sign for sign in text)


# Greek and Cyrillic capitals that print like Latin ones.  Not those of which a B, a V, a P and an R may be meant.
_LOOK_ALIKES = str.maketrans("ΑΕΖΗΚΜΝΤΥΧАЕКМНТУХС", "AEZHKMNTYXAEKMHTYXC")
_CODE = Pattern(r"(?<![^\W\d_])[A-ZΑΕΖΗΚΜΝΤΥΧАЕКМНТУХС]{1,2}(?![^\W_])")


def with_latin_codes(text: str) -> str:
    """A cell with codes of one or two letters, `91\u041d`, in the Latin letters that they print like."""
    return _CODE.sub(lambda match: match[0].translate(_LOOK_ALIKES), text)
