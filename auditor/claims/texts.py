"""What a title or sales text says of its own tire, as numbers: what `auditor.quantities.cell_values` is to cells.

A title that only puts names, its marking and words side by side is the sum of its parts.  Words that mean something
together stand together, between names, the marking, signs and words that say nothing.  Where nothing in a title reaches
further - no figure that may be a tire's, no word that denies or names another tire - each part is read on its own, so
that a feed whose titles combine the same parts freely is few parts.  Any other title is read as the sentence it is.
A number of six digits is that of an article, unless a unit or a label stands right beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from math import nan
from typing import Any

from auditor.claims.sentences import LONG, START, Claim, State, listed_fields, read_sentence, sentences
from auditor.claims.terms.items import UNITS
from auditor.claims.terms.lexicon import Lexicon, Phrase
from auditor.claims.terms.names import FILLER, places_of, plain
from auditor.claims.terms.own import NOBODY, Own, service_apart
from auditor.claims.terms.words import BREAK, LOWER, OWN, OWN_MODEL, OWN_SERVICE, SERVICE, UPPER, clean
from auditor.claims.titled import with_marking
from auditor.claims.values.letters import CODES
from auditor.quantities.cell_values import BLANK, DENIED, READ, Parsed, Said, code_or_number, marking_text
from auditor.rulebook.built_in import load_contract
from auditor.rulebook.header_words import fold
from auditor.trade.patterns import Pattern
from auditor.trade.tables import Tables

_DECODED = ("marking", "service_description")  # claims whose value is a text to decode
OF_SERVICE = 3  # of the split cells, those that make a service description
_WIDTH_CELL, _ASPECT_CELL = Pattern(r"[1-9][0-9]{1,2}"), Pattern(r"[1-9][0-9]|100")
_RIM_CELL = Pattern(r"(?P<built>Z?R)? ?(?P<inches>[1-5]?[0-9])(?:\.0|(?P<half>\.5))? ?(?P<van>C?)")
_MEASURED_CELL = Pattern(r"(?P<number>(?:Z?R)? ?[0-9]+(?:[.,][0-9]+)? ?C?) ?(?P<unit>[^0-9]+)")
_UNITS_OF_SIZES = frozenset({"mm", "in", "%"})
_BUILT = {"ZR": "ZR", "D": "-", "-": "-", "DIAGONAL": "-", "BIAS": "-", "B": "B"}
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


@lru_cache(maxsize=32_768)
def own_of(marking: str, size: str, service: str, *names: str) -> Own:
    """The marking and the names of a listing, from the texts of its cells."""
    text = marking if is_filled(marking) else size if is_filled(size) else ""
    return Own(text, service if text and is_filled(service) else "", names) if text or any(names) else NOBODY


def own_of_cells(marking: str, size: str, service: str, brand: str, model: str, *parts: str) -> Own:
    """As `own_of`, from all cells.

    `parts` are those of load index, dual load index, speed symbol, section width, aspect ratio, rim and construction.
    """
    if not is_filled(marking):
        service = service if is_filled(service) else described_by(*parts[:OF_SERVICE])
        size = size if is_filled(size) else sized_by(*parts[OF_SERVICE:])
    return own_of(marking, size, service, brand, model)


def described_by(load_index: str, load_index_dual: str, speed_symbol: str) -> str:
    """The service description that a listing's split cells make; "" where they say none for certain."""
    index, dual, symbol = (cell.strip().removesuffix(".0") for cell in (load_index, load_index_dual, speed_symbol))
    made = f"{index}/{dual}{symbol}" if dual else f"{index}{symbol}"
    return made if SERVICE.fullmatch(made) else ""


def sized_by(section_width: str, aspect_ratio: str, rim_diameter: str, construction: str) -> str:
    """The size that a listing's split cells make; "" where they say none for certain."""
    width, aspect, rim_text = map(_without_unit, (section_width, aspect_ratio, rim_diameter))
    width, aspect = width.removesuffix(".0"), aspect.removesuffix(".0")
    rim = _RIM_CELL.fullmatch(rim_text.upper().replace(",", "."))
    if rim is None or not (_WIDTH_CELL.fullmatch(width) and _ASPECT_CELL.fullmatch(aspect)):
        return ""
    built = rim["built"] or _BUILT.get(construction.strip().upper(), "R")
    return f"{width}/{aspect}{built}{rim['inches']}{rim['half'] or ''}{rim['van']}"


def _without_unit(cell: str) -> str:
    """A cell of a split size without the unit behind its number: "225 mm", "17\"", "65 %"."""
    found = _MEASURED_CELL.fullmatch(cell.strip())
    if found is None or load_contract().units.get(fold(found["unit"])) not in _UNITS_OF_SIZES:
        return cell.strip()
    return found["number"].rstrip()


def is_filled(text: str) -> bool:
    """Whether a cell holds more than a word for nothing."""
    return marking_text(text) != ""


def tokens_of(text: str, lexicon: Lexicon, own: Own = NOBODY, *, title: bool = True) -> list[str]:
    """The tokens of a text, what is the listing's own put as signs, of runs of filler a name and what is behind it."""
    cuts = [cut for word in clean(text).split() for cut in _cut(word, lexicon)]
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


def read_alone(text: str, lexicon: Lexicon, own: Own, title: bool) -> Iterator[tuple[str, ...]]:
    """What is read on its own: the sentences of a text, of a title their parts."""
    for sentence in sentences(tokens_of(text, lexicon, own, title=title), lexicon):
        if title:
            yield from parts(sentence, lexicon)
        else:
            yield sentence


def read_claims(text: str, lexicon: Lexicon, own: Own = NOBODY, title: bool = False) -> tuple[Claim, ...]:
    """The claims of one text, in text order.  Never raises."""
    claims: list[Claim] = []
    state: State = START
    length = 0
    for tokens in read_alone(text, lexicon, own, title):
        found, state = read_sentence(tokens, state, lexicon, title)
        claims += found
        length += 1
    claims = [claim for claim in claims if counts(claim, own, lexicon, long=not title and length >= LONG, title=title)]
    return tuple(without_lists(claims, lexicon) if title else claims)


def counts(claim: Claim, own: Own, lexicon: Lexicon, *, long: bool, title: bool) -> bool:
    """Whether a claim is one about the listing's own tire: more speaks for it than against it; `long` is the text."""
    if claim.given is not None and not own.has(*claim.given):
        return False
    if not title and own.accounts_for(claim.field, claim.value):
        return False
    least, _ = lexicon.weights.bounds(claim.field)
    needs = claim.needs_in_long if long else claim.needs
    return needs <= least or needs <= own.worth(claim.field, claim.value, lexicon.weights)


def parse_claims(text: str, lexicon: Lexicon, tables: Tables, own: Own, title: bool) -> Parsed:
    """What a text says, in numbers."""
    if not text:
        return Parsed(BLANK)
    said = said_of(read_claims(text, lexicon, own, title), tables)
    return Parsed(READ, with_marking(said, text, own) if title else said)


def said_of(claims: Iterable[Claim], tables: Tables) -> tuple[Said, ...]:
    """Claims as numbers."""
    occurrences: dict[str, int] = {}
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
