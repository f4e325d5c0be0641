"""What a title or sales text says of its own tire, as numbers: what `auditor.quantities.cell_values` is to cells."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from math import nan

from auditor.claims.lexicon import Lexicon
from auditor.claims.own import FILLER, NOBODY, Own, named, plain
from auditor.claims.sentences import START, Claim, State, read_sentence, sentences
from auditor.claims.titles import parts, without_lists
from auditor.claims.words import LOWER, OWN_SERVICE, UPPER, clean, tokens_of_word
from auditor.quantities.cell_values import BLANK, BLANK_MARKINGS, DENIED, READ, Parsed, Said, code_or_number
from auditor.trade.tables import Tables

WHOLE = ("marking", "service_description")  # claims whose value is a text to decode
MOST_OCCURRENCES = 3  # claims of one field that one text may make; further ones are repetition


@lru_cache(maxsize=32_768)
def own_of(marking: str, size: str, service: str, *names: str) -> Own:
    """The marking and the names of a listing, from the texts of its cells."""
    text = marking if is_filled(marking) else size if is_filled(size) else ""
    known = tuple(name for name in names if name)
    return Own(text, service if text and is_filled(service) else "", known) if text or known else NOBODY


def is_filled(text: str) -> bool:
    """Whether a cell holds more than a word for nothing."""
    return bool(text) and (len(text) > 7 or text.strip().lower() not in BLANK_MARKINGS)


def tokens_of(text: str, lexicon: Lexicon, own: Own = NOBODY) -> list[str]:
    """The tokens of a text, what is the listing's own put as signs, of runs of filler a name and what is behind it."""
    cuts = [cut for word in clean(text).split() for cut in _cut(word, lexicon)]
    names = own.names(lexicon)
    names_at = named([cut[2] for cut in cuts], names) if names else ()
    tokens: list[str] = []
    before = ""
    for place, (raw, token, _) in enumerate(cuts):
        token = UPPER if place in names_at else (raw and own.sign(raw)) or token
        if token == UPPER and before == LOWER and tokens[-2:-1] == [UPPER]:
            tokens.pop()
        elif before in FILLER and token in (UPPER, before):
            tokens[-1] = token
        elif before != OWN_SERVICE or token != own.quoted.letter:
            tokens.append(token)
        before = token
    return tokens


@lru_cache(maxsize=16_384)
def _cut(word: str, lexicon: Lexicon) -> tuple[tuple[str, str, str], ...]:
    """The tokens of a word: what may be the listing's own size in it, as it is read, and without its case."""
    return tuple((_quotable(token), plain(token, lexicon), token.casefold()) for token in tokens_of_word(word))


def _quotable(token: str) -> str:
    return token if len(token) > 2 and token[0].isalnum() and any(map(str.isdigit, token)) else ""


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
