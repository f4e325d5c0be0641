"""What in a text is only the name of the listing's brand or model.

A brand or model may be made of words and figures that mean something elsewhere: "Winter King", "Run 90".  Where a text
repeats it, it is one more name.  What is written like a size, a code or a quantity is no name, whatever cell holds it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from auditor.claims.terms.items import UNITS
from auditor.claims.terms.lexicon import Lexicon
from auditor.claims.terms.words import LOWER, SERVICE, SIZE, UPPER, clean

FILLER = frozenset({LOWER, UPPER})
MOST_OF_NAME, LONGEST_NAME = 6, 60  # tokens, characters
MEANS, NAMES, FILLS = 1, 2, 4  # what a token is to a name, bit by bit
_MEANS = UNITS - {"in"} | {"load", "single", "dual", "range", "ply", "index", "symbol", "service", "speed", "pressure",
                           "xl", "hl", "sl", "runflat", "snowflake", "mud-and-snow"}  # fmt: skip


def plain(token: str, lexicon: Lexicon) -> str:
    """A token as it is read: words that say nothing in any language are signs of filler."""
    if len(token) > 2 and token.isalpha() and not lexicon.hits(token):
        return UPPER if token[0].isupper() else LOWER
    return token


@lru_cache(maxsize=32_768)
def name_of(text: str, lexicon: Lexicon, *, hiding: bool = True) -> tuple[str, ...]:
    """The tokens of a brand or model, without their case; none where it is more than a name, or `hiding` nothing."""
    if not text or len(text) > LONGEST_NAME:
        return ()
    tokens = [token for word in clean(text).split() for token in lexicon.tokens_of_word(word)]
    kinds = [in_name(plain(token, lexicon), lexicon) for token in tokens]
    if len(tokens) > MOST_OF_NAME or any(kind & MEANS for kind in kinds):
        return ()
    if hiding and all(kind & FILLS for kind in kinds):
        return ()
    return tuple(token.casefold() for token in tokens) if any(kind & NAMES for kind in kinds) else ()


@lru_cache(maxsize=32_768)
def in_name(token: str, lexicon: Lexicon) -> int:
    """What a token, as it is read, is to a name that holds it: a code or a quantity, or what may be a name's alone."""
    if SIZE.fullmatch(token) or SERVICE.fullmatch(token):
        return MEANS
    phrases = [phrase for hit in lexicon.hits(token) for phrase in lexicon.phrases_of(hit) if len(phrase.words) == 1]
    means = any(phrase.roles & _MEANS for phrase in phrases)
    fills, counts = token in FILLER, any(phrase.number is not None for phrase in phrases)
    named = fills or counts or lexicon.is_only_weighed(token) or any(map(str.isdigit, token))
    return MEANS * means | FILLS * fills | NAMES * named


def places_of(name: tuple[str, ...], tokens: Sequence[str]) -> Iterator[range]:
    """Where a name stands among tokens without their case."""
    if not name or name[0] not in tokens:
        return
    for place, token in enumerate(tokens):
        if token == name[0] and tuple(tokens[place : place + len(name)]) == name:
            yield range(place, place + len(name))
