"""Claims that a title or a sales text makes about its own tire: sizes, loads, speeds, plies, pressures, snow marks.

A text is cut into tokens.  Words that are in no list of `auditor.claims.words` are filler, and filler, commas and full
stops end a stretch; a claim never reaches across the end of its stretch.  That keeps the reader linear in the length of
the text, and lets the batch reader drop all filler before it asks here (`auditor.claims.batch.condenser`).

When a stretch could mean something else (a weight, a towing limit, another tire, a test), nothing is claimed: a false
alarm teaches people to ignore the true ones.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from auditor.claims import claimed_letters
from auditor.claims.claimed_quantities import ENDS, PLAIN, read_quantity
from auditor.claims.tokens import Token, tokens_of
from auditor.claims.words import COMMA_IN_RIM, SERVICE


@dataclass(frozen=True, slots=True)
class Claim:
    """One statement found in a text.

    `field` is the contract field it speaks about (`max_load_kg`, `max_speed_mph`, `ply_rating`, `load_range`,
    `load_version`, `max_pressure_psi`, `severe_snow`, ... or `marking` for an embedded size, with or without a
    service description, or `service_description`).  `value` is a number in that field's unit, or a code, or for
    `marking` and `service_description` the text to decode.  `words` is the exact stretch of the text.
    """

    field: str
    value: float | str
    words: str
    half_step: float = 0.0  # half of the last stated digit, in the field's unit
    open_ended: bool = False  # "300+"


_DIGIT = re.compile(r"[0-9]")
_WORDED = re.compile(r"XL\b|LR|M ?[+&/] ?S|[AM]/T")
_HINTS = (
    "load",
    "index",
    "speed",
    "rated",
    "ply",
    "plies",
    "snow",
    "season",
    "reinforced",
    "winter",
    "summer",
    "sommer",
    "reifen",
    "schnee",
    "terrain",
)
_SPACES = re.compile(r"[ \t\n\f\r]+")
_SERVICE = re.compile(SERVICE)
_CORE = re.compile(r"([0-9]+(?:\.[0-9]+)?)\D+([0-9]+(?:\.[0-9]+)?)(?:\D+([0-9]+(?:\.[0-9]+)?))?")
_WORDS_APART = 6
_COMMA_IN_RIM = re.compile(COMMA_IN_RIM)
_FIELD_UNITS = {"speed": "max_speed", "pressure": "max_pressure"}
_SNOW = frozenset({"snowmark", "mud", "mountain", "peak", "snowflake", "three"})
_SEASON = frozenset({"winter-tire", "summer-tire", "all-season-tire", "all", "winter", "snow", "summer"})
_TERRAIN = frozenset({"terrain", "terrain-letters"})
_SILENT = (
    (ENDS - _TERRAIN)
    | PLAIN
    | {"size", "number", "service", "at", "other", "vehicle", "no", "beyond", "from", "casing"}
)
_VERSION = frozenset({"xl", "extra", "standard", "reinforced"})


class LocatedClaim(NamedTuple):
    """A claim with its places: `start` and `end` of its words, and of the number or text that is its value.

    `from_` is -1 where the value is a code or a number word, which says the same in every text of one shape.
    """

    field: str
    value: float | str
    start: int
    end: int
    half_step: float = 0.0
    open_ended: bool = False
    from_: int = -1
    upto: int = -1


def read_claims(text: str) -> tuple[Claim, ...]:
    """Reads the claims of one text, in text order.  Never raises."""
    return tuple(
        Claim(found.field, found.value, text[found.start : found.end], found.half_step, found.open_ended)
        for found in find_claims(text)
    )


def find_claims(text: str, *, one_season: bool = True) -> list[LocatedClaim]:
    """As `read_claims`, but with places in the text instead of words; claims several seasons if told so."""
    if not text or not _is_candidate(text):
        return []
    tokens = tokens_of(text)
    sizes = [token for token in tokens if token.kind == "size"]
    claims: list[tuple[int, LocatedClaim]] = []
    for index, token in enumerate(tokens):
        kind = token.kind
        if kind in _SILENT:
            continue
        if kind == "quantity":
            start = read_quantity(tokens, index)
            if token.role:
                claims.extend((token.start, found) for found in _quantity_claims(token, tokens[start].start))
        else:
            for field, value, first, last in _marks_at(tokens, index, text):
                start, end = tokens[first].start, tokens[last].end
                from_, upto = _value_place(field, tokens[last])
                claims.append((start, LocatedClaim(field, value, start, end, from_=from_, upto=upto)))
    if one_season:
        claims = _one_season(claims)
    if sizes:
        claims = _with_sizes(text, tokens, sizes, claims)
    return [found for _, found in claims]


def _value_place(field: str, token: Token) -> tuple[int, int]:
    """Where the number, or the service description, of a claim in letters and words stands."""
    if token.kind == "service":
        return token.start, token.end
    if token.kind != "number":
        return -1, -1
    first, slash, second = token.text.partition("/")
    if field == "load_index_dual":
        start = token.start + len(first) + len(slash)
        return start + len(second) - len(second.lstrip()), token.end
    return token.start, token.start + len(first.rstrip())


def _is_candidate(text: str) -> bool:
    """A cheap look at whether a text can hold any claim at all."""
    if _DIGIT.search(text) is not None or _WORDED.search(text) is not None:
        return True
    small = text.lower()
    return any(hint in small for hint in _HINTS)


def _marks_at(tokens: list[Token], index: int, text: str) -> list[claimed_letters.Found]:
    """The claims in letters and words that begin at one token."""
    kind = tokens[index].kind
    found: claimed_letters.Found | None = None
    if kind == "letter":
        found = claimed_letters.letter_rated(tokens, index)
    elif kind == "load" or kind == "lr":
        found = claimed_letters.load_range(tokens, index)
    elif kind == "speed":
        found = claimed_letters.speed_symbol(tokens, index)
    elif kind == "index":
        return claimed_letters.load_index(tokens, index)
    elif kind in _VERSION:
        found = claimed_letters.load_version(tokens, index)
    elif kind == "count" or kind == "ply":
        found = claimed_letters.plies_in_words(tokens, index)
    elif kind in _SNOW:
        found = claimed_letters.snow_mark(tokens, index, text)
    elif kind in _TERRAIN:
        found = claimed_letters.terrain(tokens, index, text)
    elif kind in _SEASON:
        found = claimed_letters.season(tokens, index, text)
    return [] if found is None else [found]


def _quantity_claims(token: Token, start: int) -> list[LocatedClaim]:
    end = token.end
    from_ = token.start
    upto = from_ + token.length
    if token.role == "ply":
        return [LocatedClaim("ply_rating", token.value, start, end, from_=from_, upto=upto)]
    if not token.role.startswith("load"):
        field = f"{_FIELD_UNITS[token.role]}_{token.unit}"
        return [LocatedClaim(field, token.value, start, end, token.half_step, token.plus, from_, upto)]
    if token.role == "load-pair" and token.second is not None:
        second = from_ + token.second_at
        return [
            LocatedClaim(f"max_load_{token.unit}", token.value, start, end, token.half_step, False, from_, upto),
            LocatedClaim(
                f"max_load_dual_{token.unit}",
                token.second,
                start,
                end,
                token.half_step,
                False,
                second,
                second + token.second_length,
            ),
        ]
    field = f"max_load_dual_{token.unit}" if token.role == "load-dual" else f"max_load_{token.unit}"
    return [LocatedClaim(field, token.value, start, end, token.half_step, token.plus, from_, upto)]


def _one_season(claims: list[tuple[int, LocatedClaim]]) -> list[tuple[int, LocatedClaim]]:
    """A text that names two seasons compares them; then none is claimed."""
    if len({found.value for _, found in claims if found.field == "season"}) < 2:
        return claims
    return [pair for pair in claims if pair[1].field != "season"]


def _with_sizes(
    text: str, tokens: list[Token], sizes: list[Token], claims: list[tuple[int, LocatedClaim]]
) -> list[tuple[int, LocatedClaim]]:
    """Adds the embedded size if it is this tire's; otherwise silences the sentences that name another tire."""
    if not _names_another(text, tokens, sizes):
        best = max(sizes, key=lambda size: (len(size.text), -size.start))
        start, end = best.start, best.start + len(best.text)
        marking = LocatedClaim("marking", one_line(best.text), start, end, from_=start, upto=end)
        return sorted([*claims, (start, marking)], key=lambda pair: pair[0])
    stops = [-1, *(token.start for token in tokens if token.kind == "stop"), len(text)]
    silent = {_sentence(stops, size.start) for size in sizes}
    return [pair for pair in claims if _sentence(stops, pair[0]) not in silent]


def one_line(size: str) -> str:
    """A size as the text of a marking: commas and runs of blanks are single blanks, a comma inside a number a dot."""
    return " ".join(_COMMA_IN_RIM.sub(r"\1.5", size).replace(",", " ").split())


def _sentence(stops: list[int], position: int) -> int:
    return bisect_right(stops, position)


def _names_another(text: str, tokens: list[Token], sizes: list[Token]) -> bool:
    """Whether the sizes are not surely this tire's: two of them differ, or a word such as "replaces" stands near."""
    cores = set()
    services = set()
    for size in sizes:
        found = _CORE.search(_COMMA_IN_RIM.sub(r"\1.5", size.text))
        cores.add(found.groups() if found else size.text)
        rest = size.text[found.end() :] if found else ""
        if service := _SERVICE.search(rest):
            services.add(service.group().strip("()"))
    if len(cores) > 1 or len(services) > 1:
        return True
    words = [(token.start, token.end) for token in tokens if token.kind in ("other", "more-of-them")]
    if not words:
        return False
    positions = sorted([(size.start, size.end, True) for size in sizes] + [(a, b, False) for a, b in words])
    for (_, end, one), (start, _, other) in pairwise(positions):
        if one != other and len(_SPACES.findall(text, end, start)) <= _WORDS_APART:
            return True
    return False
