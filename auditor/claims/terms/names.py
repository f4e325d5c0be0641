"""What in a text is only the name of the listing's brand or model.

A brand or model may be made of words and figures that mean something elsewhere: "Winter King", "Run 90".  Where a text
repeats it, it is one more name.  What is written like a size, a code or a quantity is no name, whatever cell holds it.

A letter beside a word ("Sprint Q", "Kona 4H") is part of its name, whatever unit or word of some language it is
elsewhere; one alone, behind the word for a class ("Wet B") or as the unit of a number ("Haul 3 t") makes no name.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache, reduce
from itertools import pairwise
from operator import or_
from typing import Any

from auditor.claims.terms.items import UNITS
from auditor.claims.terms.lexicon import Lexicon
from auditor.claims.terms.words import LOWER, SERVICE, SIZE, UPPER, clean
from auditor.trade.patterns import Pattern

FILLER = frozenset({LOWER, UPPER})
MOST_OF_NAME, LONGEST_NAME = 6, 60  # tokens, characters
# What a token is to a name, bit by bit.
MEANS, NAMES, FILLS, LETTER, WORD, GRADED, NUMBER, UNIT = (1 << bit for bit in range(8))
_MEANS = UNITS - {"in"} | {"load", "single", "dual", "range", "ply", "index", "symbol", "service", "speed", "pressure",
                           "xl", "hl", "sl", "runflat", "snowflake", "mud-and-snow"}  # fmt: skip
_GRADED = frozenset({"fuel", "wet", "noise-class", "traction", "temperature", "tire-class", "rated"})  # with letters
_MEASURES = UNITS - {"other-unit"}  # that a tire has: 4 h or 2 l say nothing of one
# Two letters that markings have: "LT E" is no name, "GT S" is one.
_OF_MARKINGS = frozenset(
    {"LT", "ST", "HL", "IF", "VF", "ZR", "RF", "XL", "SL", "EL", "TL", "TT", "PR", "LR", "LI", "SI"}
)

SIGN = ","
ENDS_IN_CODE = "(?:.* )?[A-Za-z]+[0-9][0-9A-Za-z]*"  # as a whole; cut otherwise where a sign follows: "AX", "7", ","
_ENDS_IN_CODE = Pattern(ENDS_IN_CODE)


def plain(token: str, lexicon: Lexicon) -> str:
    """A token as it is read: words that say nothing in any language are signs of filler."""
    if len(token) > 2 and token.isalpha() and not lexicon.hits(token):
        return UPPER if token[0].isupper() else LOWER
    return token


@lru_cache(maxsize=32_768)
def name_of(text: str, lexicon: Lexicon, *, hiding: bool = True, before_sign: bool = False) -> tuple[str, ...]:
    """The tokens of a brand or model, without their case; none where it is more than a name, or `hiding` nothing.

    `before_sign` is as texts have it where a sign follows, of names whose last word is cut otherwise there.
    """
    if not text or len(text) > LONGEST_NAME or (before_sign and not _ENDS_IN_CODE.fullmatch(text)):
        return ()
    words = clean(f"{text}{SIGN}" if before_sign else text).split()
    tokens = [token for word in words for token in lexicon.tokens_of_word(word)][: -1 if before_sign else None]
    kinds = [in_name(plain(token, lexicon), lexicon) for token in tokens]
    if len(tokens) > MOST_OF_NAME or any(measures(one, behind) for one, behind in pairwise(kinds)):
        return ()
    if hiding and all(kind & FILLS for kind in kinds):
        return ()
    union = reduce(or_, kinds, 0)
    return tuple(token.casefold() for token in tokens) if is_name(union, before_sign=before_sign) else ()


def names_of(text: str, lexicon: Lexicon, *, hiding: bool = True) -> list[tuple[str, ...]]:
    """The ways in which texts have a brand or model."""
    ways = (name_of(text, lexicon, hiding=hiding, before_sign=before) for before in (False, True))
    return [name for name in ways if name]


@lru_cache(maxsize=32_768)
def in_name(token: str, lexicon: Lexicon) -> int:
    """What a token, as it is read, is to a name that holds it: a code or a quantity, or what may be a name's alone."""
    if SIZE.fullmatch(token) or SERVICE.fullmatch(token):
        return MEANS
    phrases = [phrase for hit in lexicon.hits(token) for phrase in lexicon.phrases_of(hit) if len(phrase.words) == 1]
    roles = frozenset[str]().union(*(phrase.roles for phrase in phrases))
    if len(token) == 1 and token.lower() != token.upper():
        return LETTER | UNIT * (token.islower() and bool(roles & _MEASURES))
    means, graded, digits = bool(roles & _MEANS), bool(roles & _GRADED), any(map(str.isdigit, token))
    fills, counts = token in FILLER, any(phrase.number is not None for phrase in phrases)
    named = fills or counts or digits or lexicon.is_only_weighed(token)
    word = fills or (token.isalpha() and token.upper() not in _OF_MARKINGS)
    marks = WORD * word | GRADED * graded | NUMBER * token[0].isdigit()
    return MEANS * means | FILLS * fills | NAMES * named | marks


def measures(before: Any, kind: Any) -> Any:
    """Whether a token is the unit of the one before it."""
    return (before & NUMBER > 0) & (kind & UNIT > 0)


def is_name(union: Any, *, before_sign: bool = False) -> Any:
    """Whether tokens of which none measures another are a name, by all that they are.

    "H4" before a sign is a letter and a figure: a name behind a word alone.
    """
    lettered = union & (LETTER | WORD | GRADED) == LETTER | WORD
    named = (union & NAMES > 0) & (union & (WORD if before_sign else ~0) != 0)
    return (union & MEANS == 0) & (named | lettered)


def places_of(name: tuple[str, ...], tokens: Sequence[str]) -> Iterator[range]:
    """Where a name stands among tokens without their case."""
    if not name or name[0] not in tokens:
        return
    for place, token in enumerate(tokens):
        if token == name[0] and tuple(tokens[place : place + len(name)]) == name:
            yield range(place, place + len(name))
