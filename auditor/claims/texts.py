"""What a title or sales text says of its own tire, as numbers: what `auditor.quantities.cell_values` is to cells."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from math import nan

from auditor.claims.lexicon import Lexicon
from auditor.claims.own import NOBODY, Own
from auditor.claims.sentences import START, Claim, State, read_sentence, sentences
from auditor.claims.titles import parts, without_lists
from auditor.claims.words import LOWER, UPPER, clean, tokens_of_word
from auditor.quantities.cell_values import BLANK, BLANK_MARKINGS, DENIED, READ, Parsed, Said, code_or_number
from auditor.trade.tables import Tables

WHOLE = ("marking", "service_description")  # claims whose value is a text to decode
MOST_OCCURRENCES = 3  # claims of one field that one text may make; further ones are repetition
FILLER = frozenset({LOWER, UPPER})


@lru_cache(maxsize=32_768)
def own_of(marking: str, size: str, service: str) -> Own:
    """The marking that a listing quotes, from the texts of its cells."""
    text = marking if _filled(marking) else size if _filled(size) else ""
    return Own(text, service if _filled(service) else "") if text else NOBODY


def _filled(text: str) -> bool:
    return bool(text) and (len(text) > 7 or text.strip().lower() not in BLANK_MARKINGS)


def tokens_of(text: str, lexicon: Lexicon, own: Own = NOBODY) -> list[str]:
    """The tokens of a text, the listing's own size and service description put as signs, runs of filler as one."""
    tokens: list[str] = []
    for word in clean(text).split():
        for raw, token in _cut(word, lexicon):
            token = (raw and own.sign(raw)) or token
            if tokens and tokens[-1] in FILLER and token in FILLER:
                tokens[-1] = token
            else:
                tokens.append(token)
    return tokens


@lru_cache(maxsize=16_384)
def _cut(word: str, lexicon: Lexicon) -> tuple[tuple[str, str], ...]:
    """The tokens of a word as they are read, each behind what may be the listing's own size in it."""
    return tuple((_quotable(token), plain(token, lexicon)) for token in tokens_of_word(word))


def _quotable(token: str) -> str:
    return token if len(token) > 2 and token[0].isalnum() and any(map(str.isdigit, token)) else ""


def plain(token: str, lexicon: Lexicon) -> str:
    """A token as it is read: words that say nothing in any language are signs of filler."""
    if len(token) > 2 and token.isalpha() and not lexicon.hits(token):
        return UPPER if token[0].isupper() else LOWER
    return token


def read_alone(text: str, lexicon: Lexicon, own: Own, title: bool) -> Iterator[tuple[str, ...]]:
    """What is read on its own: the sentences of a text, of a title their parts."""
    for sentence in sentences(tokens_of(text, lexicon, own), lexicon):
        if title:
            yield from parts(sentence, lexicon)
        else:
            yield sentence


def read_claims(text: str, lexicon: Lexicon, own: Own = NOBODY, title: bool = False) -> tuple[Claim, ...]:
    """The claims of one text, in text order.  Never raises."""
    claims: list[Claim] = []
    state: State = START
    for tokens in read_alone(text, lexicon, own, title):
        found, state = read_sentence(tokens, state, lexicon, title)
        claims += found
    if title:
        claims = without_lists(claims, lexicon)
    return tuple(claim for claim in claims if counts(claim, own))


def counts(claim: Claim, own: Own) -> bool:
    """Whether a claim is one about the listing's own tire: outspoken, and of a tire with what its marking says."""
    return claim.outspoken and (claim.given is None or own.has(*claim.given))


def parse_claims(text: str, lexicon: Lexicon, tables: Tables, own: Own, title: bool) -> Parsed:
    """What a text says, in numbers."""
    if not text:
        return Parsed(BLANK)
    return Parsed(READ, said_of(read_claims(text, lexicon, own, title), tables))


def said_of(claims: Iterable[Claim], tables: Tables) -> tuple[Said, ...]:
    """Claims as numbers."""
    occurrences: dict[str, int] = {}
    said = []
    for claim in claims:
        field = DENIED + claim.field if claim.denied else claim.field
        if claim.field in WHOLE and claim.denied:
            continue
        occurrence = occurrences.get(field, 0)
        if occurrence >= MOST_OCCURRENCES:
            continue
        occurrences[field] = occurrence + 1
        whole = claim.field in WHOLE
        value = nan if whole else code_or_number(claim.field, claim.value, tables)
        words = str(claim.value) if whole else claim.words
        said.append(Said(field, occurrence, value, claim.half_step, claim.open_ended, words))
    return tuple(said)


def said_together(sentences_said: Sequence[tuple[Said, ...]]) -> tuple[Said, ...]:
    """What several sentences say, each occurrence of a field counted over all of them."""
    if len(sentences_said) == 1:
        return sentences_said[0]
    occurrences: dict[str, int] = {}
    together = []
    for said in sentences_said:
        for one in said:
            occurrence = occurrences.get(one.field, 0)
            if occurrence >= MOST_OCCURRENCES:
                continue
            occurrences[one.field] = occurrence + 1
            together.append(one if one.occurrence == occurrence else one._replace(occurrence=occurrence))
    return tuple(together)
