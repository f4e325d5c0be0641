"""What a title or sales text says of its own tire, as numbers: what `auditor.quantities.cell_values` is to cells.

A title that only puts names, its marking and words side by side is the sum of its parts.  Words that mean something
together stand together, between names, the marking, signs and words that say nothing.  Where nothing in a title reaches
further - no figure that may be a tire's, no word that denies or names another tire - each part is read on its own, so
that a feed whose titles combine the same parts freely is few parts.  Any other title is read as the sentence it is.
A number of six digits is that of an article, unless a unit or a label stands right beside it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import chain, pairwise
from math import nan
from typing import Any

from auditor.claims.labelled import labelled_values
from auditor.claims.sentences import (
    LONG,
    START,
    Claim,
    State,
    is_roughly,
    listed_fields,
    read_sentence,
    sentences,
)
from auditor.claims.terms.items import UNITS
from auditor.claims.terms.lexicon import Lexicon, Phrase
from auditor.claims.terms.names import FILLER, places_of, plain
from auditor.claims.terms.own import NOBODY, Own, service_apart
from auditor.claims.terms.words import (
    BREAK,
    LOWER,
    OWN,
    OWN_MODEL,
    OWN_SERVICE,
    UPPER,
    clean,
    marked,
    without_html,
)
from auditor.claims.titled import with_marking
from auditor.claims.values.letters import CODES
from auditor.quantities.cell_values import BLANK, DENIED, READ, Parsed, Said, code_or_number
from auditor.trade.tables import Tables

_DECODED = ("marking", "service_description")  # claims whose value is a text to decode
MOST_OCCURRENCES = 3  # claims of one field that one text may make; further ones are repetition

# What a token does to a title, bit by bit.
CUT, WHOLE, LETTER, CODE, FIRST, SECOND, FIGURE, COUNTED, SIGN = (1 << bit for bit in range(9))
DIGITS_OF_ARTICLE = 6
_CUTS = frozenset({LOWER, UPPER, ",", "-", ":", "/", "(", ")", ".", "!", ";", BREAK})
_SIGNS = frozenset({OWN, OWN_SERVICE})
_REACHING = frozenset({"no", "number"})
_INCHES = "in"
# What a whole number may be of; "in" only where it stands behind one.
_COUNTED = UNITS | {"load", "single", "dual", "speed", "index", "service", "pressure", "width", "rim", "ply",
                    "treadwear", "utqg", "noise", "aspect"}  # fmt: skip


def tokens_of(text: str, lexicon: Lexicon, own: Own = NOBODY, *, title: bool = True) -> list[str]:
    """The tokens of a text, what is the listing's own put as signs, of runs of filler a name and what is behind it."""
    return _tokens_of_words(clean(text).split(), lexicon, own, title=title)


def _tokens_of_words(words: Sequence[str], lexicon: Lexicon, own: Own, *, title: bool) -> list[str]:
    cuts = [cut for word in words for cut in _cut(word, lexicon)]
    names_at = _names_at(cuts, lexicon, own, title=title) if own is not NOBODY else {}
    if title:
        names_at.update(_services_at(cuts, own, names_at))
    tokens: list[str] = []
    before = ""
    for place, (raw, token, _) in enumerate(cuts):
        token = names_at[place] if place in names_at else (raw and own.sign(raw, title=title)) or token
        if not token:  # the rest of a name
            continue
        if token == UPPER and before == LOWER and tokens[-2:-1] == [UPPER]:
            tokens.pop()
        elif before in FILLER and token in (UPPER, before):
            tokens[-1] = token
        elif before != OWN_SERVICE or token != own.quoted.letter:
            tokens.append(token)
        before = token
    return tokens


def _names_at(cuts: Sequence[tuple[str, str, str]], lexicon: Lexicon, own: Own, *, title: bool) -> dict[int, str]:
    """What tokens that belong to the listing's names are read as, by place."""
    names, models = own.names(lexicon, title=title), [] if title else own.models(lexicon)
    if not names and not models:
        return {}
    folded = [cut[2] for cut in cuts]
    found = {at: UPPER for name in names for span in places_of(name, folded) for at in span}
    for span in (span for model in models for span in places_of(model, folded)):
        first = cuts[span[0]][1]
        if first == UPPER or first[0].isupper() or first[0].isdigit():  # a name, and no word like it
            found.update({**dict.fromkeys(span, ""), span[0]: OWN_MODEL})
    return found


def _services_at(cuts: Sequence[tuple[str, str, str]], own: Own, names_at: Mapping[int, str]) -> dict[int, str]:
    """What the two words of the own service description are read as, by place: titles write "150/147 L", too."""
    head, tail = service_apart(own.quoted.service)
    found: dict[int, str] = {}
    for place, (one, other) in enumerate(pairwise(cut[1] for cut in cuts) if head else ()):
        if one == head and other == tail and place not in names_at and place + 1 not in names_at:
            found.update({place: OWN_SERVICE, place + 1: ""})
    return found


@lru_cache(maxsize=16_384)
def _cut(word: str, lexicon: Lexicon) -> tuple[tuple[str, str, str], ...]:
    """The tokens of a word: what may be the listing's own size in it, as it is read, and without its case."""
    return tuple((_quotable(token), plain(token, lexicon), token.casefold()) for token in lexicon.tokens_of_word(word))


def _quotable(token: str) -> str:
    if len(token) < 3 or token.isalpha() or not token[0].isalnum():
        return ""
    return token if any(map(str.isdigit, token)) else ""


@lru_cache(maxsize=65_536)
def effect(token: str, lexicon: Lexicon) -> int:
    """What a token by itself does to a title that holds it."""
    if token in _CUTS:
        return CUT
    if token in _SIGNS:
        return SIGN
    if not token.isalpha():
        return FIGURE | FIRST | CUT if token.isdecimal() and not lexicon.hits(token) else WHOLE
    found = LETTER if len(token) == 1 or token == "AA" else 0
    hits = lexicon.hits(token)
    for hit in hits:
        if hit.word in _seconds(lexicon):
            found |= SECOND
        for phrase in lexicon.phrases_of(hit):
            if does := _does(phrase, lexicon):
                found |= does if len(phrase.words) == 1 else FIRST
    if token.casefold() == _INCHES:
        return found & ~COUNTED | SECOND
    return found if hits or found else CUT


@lru_cache(maxsize=65_536)
def joined(token: str, second: str, third: str, lexicon: Lexicon) -> int:
    """What three tokens in a row do, as the beginning of a phrase of two or more words, or as inches."""
    if token.isdecimal():
        return WHOLE if second.casefold() == _INCHES else 0
    seconds, thirds = ({hit.word for hit in lexicon.hits(one)} for one in (second, third))
    found = 0
    for hit in lexicon.hits(token):
        for phrase in lexicon.phrases_of(hit):
            words = phrase.words
            if len(words) > 1 and words[1] in seconds and (len(words) == 2 or words[2] in thirds):
                found |= _does(phrase, lexicon)
    return found


def _does(phrase: Phrase, lexicon: Lexicon) -> int:
    """What a phrase does to a title."""
    whole = WHOLE if phrase.number is not None or phrase.roles & _reaching(lexicon) else 0
    return whole | (CODE if phrase.roles & CODES else 0) | (COUNTED if phrase.roles & _COUNTED else 0)


@lru_cache(maxsize=8)
def _reaching(lexicon: Lexicon) -> frozenset[str]:
    """The roles that reach over a whole title."""
    roles = lexicon.roles
    return _REACHING | {role for role, kinds in roles.silences.items() if "any" in kinds and role not in roles.prose}


@lru_cache(maxsize=8)
def _seconds(lexicon: Lexicon) -> frozenset[str]:
    """The second words of phrases that do anything to a title."""
    found: dict[tuple[str, bool], set[str]] = {}  # by roles, of which there are few, and whether there is a number
    for word, roles, number in lexicon.second_words():
        found.setdefault((roles, number is not None), set()).add(word)
    some = (
        words
        for (roles, numbered), words in found.items()
        if _does(Phrase((), frozenset(roles.split()), 0.0 if numbered else None), lexicon)
    )
    return frozenset().union(*some)


def is_whole(union: Any) -> Any:
    """Whether something reaches over a whole title, of all that its tokens do."""
    figures = (union & FIGURE > 0) & (union & (COUNTED | LETTER) > 0)
    return (union & WHOLE > 0) | (union & (LETTER | CODE) == LETTER | CODE) | figures


def is_article(token: str) -> bool:
    """Whether a token is a whole number of more digits than a tire's figures have without a sign in them."""
    return len(token) == DIGITS_OF_ARTICLE and token.isascii() and token.isdecimal() and token[0] != "0"


def parts(sentence: tuple[str, ...], lexicon: Lexicon) -> Iterator[tuple[str, ...]]:
    """The parts of a title's sentence that are read on their own."""
    effects = [effect(token, lexicon) for token in sentence]
    for place in [place for place, token in enumerate(sentence) if is_article(token)]:
        beside = effects[max(place - 1, 0)] | (effects[place + 1] if place + 1 < len(effects) else 0)
        if not beside & COUNTED:
            effects[place] = CUT
    union = 0
    for place, one in enumerate(effects):
        union |= one
        if one & SECOND and place and effects[place - 1] & FIRST:
            third = sentence[place + 1] if place + 1 < len(sentence) else ""
            union |= joined(sentence[place - 1], sentence[place], third, lexicon)
    if is_whole(union):
        yield sentence
        return
    start = 0
    for place, one in enumerate((*effects, CUT)):
        if one & CUT or (place > start and (one ^ effects[place - 1]) & SIGN):
            if place > start:
                yield sentence[start:place]
            start = place + 1 if one & CUT else place


def without_lists(claims: list[Claim], lexicon: Lexicon) -> list[Claim]:
    """The claims of a title; several values of one field name what there is."""
    several = listed_fields([claim for claim in claims if not claim.denied], lexicon.roles.kinds)
    return [claim for claim in claims if claim.denied or claim.field not in several] if several else claims


def read_claims(text: str, lexicon: Lexicon, own: Own = NOBODY, title: bool = False) -> tuple[Claim, ...]:
    """The claims of one text: those of its prose in text order, then its labelled values.  Never raises."""
    prose, labelled = read_apart(text, lexicon, own, title)
    return (*prose, *labelled)


def read_apart(text: str, lexicon: Lexicon, own: Own, title: bool) -> tuple[tuple[Claim, ...], tuple[Claim, ...]]:
    """The claims of the prose of one text, and those of its labelled values."""
    claims: list[Claim] = []
    state: State = START
    length = 0
    prose, labelled = prose_of(text, lexicon, own, title)
    for tokens in prose:
        found, state = read_sentence(tokens, state, lexicon, title)
        claims += found
        length += 1
    claims = [claim for claim in claims if counts(claim, own, lexicon, long=not title and length >= LONG, title=title)]
    return tuple(without_lists(claims, lexicon) if title else claims), labelled


def prose_of(text: str, lexicon: Lexicon, own: Own, title: bool) -> tuple[Iterator[tuple[str, ...]], tuple[Claim, ...]]:
    """What is read on its own of a text beside its labelled values, and what these claim."""
    rest, labelled = labelled_values(without_html(text), title=title)
    return alone(_tokens_of_words(marked(rest).split(), lexicon, own, title=title), lexicon, title), labelled


def alone(tokens: Sequence[str], lexicon: Lexicon, title: bool) -> Iterator[tuple[str, ...]]:
    """What is read on its own of the tokens of a text: its sentences, of a title their parts."""
    every = sentences(tokens, lexicon)
    return chain.from_iterable(parts(one, lexicon) for one in every) if title else every


def counts(claim: Claim, own: Own, lexicon: Lexicon, *, long: bool, title: bool) -> bool:
    """Whether a claim is one about the listing's own tire: more speaks for it than against it; `long` is the text."""
    if claim.given is not None and not own.has(*claim.given):
        return False
    if not title and own.accounts_for(claim.field, claim.value):
        return False
    if is_roughly(claim):
        dual = "dual" in claim.field
        if own.has_load_up_to(float(claim.value), 2.0 * claim.half_step, dual=dual):
            return False
    least, _ = lexicon.weights.bounds(claim.field)
    needs = claim.needs_in_long if long else claim.needs
    return needs <= least or needs <= own.worth(claim.field, claim.value, lexicon.weights)


def parse_claims(text: str, lexicon: Lexicon, tables: Tables, own: Own, title: bool) -> Parsed:
    """What a text says, in numbers."""
    if not text:
        return Parsed(BLANK)
    claims, labelled = read_apart(text, lexicon, own, title)
    said = said_of(claims, tables)
    said = with_marking(said, text, own) if title else said
    return Parsed(READ, (*said, *said_of(labelled, tables, Counter(one.field for one in said))))


def said_of(claims: Iterable[Claim], tables: Tables, before: Mapping[str, int] | None = None) -> tuple[Said, ...]:
    """Claims as numbers, behind some of each field."""
    occurrences = dict(before or {})
    said = []
    for claim in claims:
        field = DENIED + claim.field if claim.denied else claim.field
        if claim.field in _DECODED and claim.denied:
            continue
        occurrence = occurrences.get(field, 0)
        if occurrence >= MOST_OCCURRENCES:
            continue
        occurrences[field] = occurrence + 1
        whole = claim.field in _DECODED
        value = nan if whole else code_or_number(claim.field, claim.value, tables)
        words = str(claim.value) if whole else claim.words
        said.append(Said(field, occurrence, value, claim.half_step, claim.open_ended, words))
    return tuple(said)
