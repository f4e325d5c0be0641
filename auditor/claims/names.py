"""What in a text is only a name: words that no lexicon holds, and the listing's own brand and model.

A brand or model may be made of words and figures that mean something elsewhere: "Winter King", "Run 90".  Where a text
repeats it, it is one more name.  What is written like a size, a code or a quantity is no name, whatever cell holds it.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from auditor.claims.items import UNITS
from auditor.claims.lexicon import Lexicon
from auditor.claims.words import LOWER, SERVICE, SIZE, UPPER, clean, tokens_of_word

FILLER = frozenset({LOWER, UPPER})
MOST_OF_NAME = 6  # tokens
_MEANS = UNITS - {"in"} | {"load", "single", "dual", "range", "ply", "index", "symbol", "service", "speed", "pressure",
                           "xl", "hl", "sl", "runflat", "snowflake", "mud-and-snow"}  # fmt: skip


def plain(token: str, lexicon: Lexicon) -> str:
    """A token as it is read: words that say nothing in any language are signs of filler."""
    if len(token) > 2 and token.isalpha() and not lexicon.hits(token):
        return UPPER if token[0].isupper() else LOWER
    return token


@lru_cache(maxsize=32_768)
def name_of(text: str, lexicon: Lexicon) -> tuple[str, ...]:
    """The tokens of a brand or model, without their case; none where it hides nothing or is more than a name."""
    if not text or len(text) > 60:
        return ()
    tokens = [token for word in clean(text).split() for token in tokens_of_word(word)]
    read = [plain(token, lexicon) for token in tokens]
    if len(tokens) > MOST_OF_NAME or FILLER.issuperset(read) or any(_means(token, lexicon) for token in read):
        return ()
    named = any(token in FILLER or any(map(str.isdigit, token)) for token in read)
    return tuple(token.casefold() for token in tokens) if named else ()


def _means(token: str, lexicon: Lexicon) -> bool:
    if SIZE.fullmatch(token) or SERVICE.fullmatch(token):
        return True
    phrases = (phrase for hit in lexicon.hits(token) for phrase in lexicon.phrases_of(hit))
    return any(len(phrase.words) == 1 and phrase.roles & _MEANS for phrase in phrases)


def named(tokens: Sequence[str], names: Sequence[tuple[str, ...]]) -> set[int]:
    """The places of tokens, without their case, that belong to one of some names."""
    found: set[int] = set()
    for name in names:
        for place in range(len(tokens) - len(name) + 1):
            if tokens[place] == name[0] and tuple(tokens[place : place + len(name)]) == name:
                found.update(range(place, place + len(name)))
    return found
