"""The marking of a title, beside its listing's own, read as it is read where a listing gives nothing else.

Sentences are read for what their words say; a title may write its marking in a form that no sentence would ("91W -
205-55-16", "R16 205/55 91 W").  So where a title does not simply repeat the listing's own marking, it is read as one
marking, too.  What that gives takes the place of the sizes and service descriptions that were claimed, and of bare
figures and letters, which then are parts of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from math import nan
from typing import NamedTuple

from auditor.claims.terms.own import Own, size_key
from auditor.claims.terms.words import OWN, OWN_SERVICE
from auditor.marking import Marking, Unreadable, decode, find_markings, names_only_others
from auditor.marking.canonical import service_text
from auditor.quantities.cell_values import Said, code_or_number
from auditor.trade.patterns import Pattern
from auditor.trade.tables import default_tables

WHOLE = ("marking", "service_description")  # fields whose claims are texts to decode
_OF_MARKING = frozenset(
    {"load_index", "load_index_dual", "speed_symbol", "rim_diameter_in", "section_width_mm", "aspect_ratio",
     "load_range"}
)  # fmt: skip
_BARE = Pattern(r"[0-9./,]+[A-Za-z]?|[A-Za-z]|A[1-8]")  # words of a claim without a label or a unit
_LETTER = "A-Za-z\u0370-\u03ff\u0400-\u04ff\uff21-\uff3a"
_NOT_C = _LETTER.replace("A-Za-z", "ABD-Zabd-z")  # "225/65R16C" names no symbol
_A = "[Aa\u0391\u0410]"  # of A8, in three alphabets
# By these Python and Arrow tell alike which titles may hold a size, and a service description that is not the own one.
SIZED = r"(?:\d[^\d]*){4}"
DESCRIBED = (
    rf"\d\d(?:[ )-]{{0,2}}{_A}[1-8]|[ )-]{{1,2}}[{_LETTER}]|[{_NOT_C}])(?:[^{_LETTER}\d]|$)"
    rf"|(?:^|[^{_LETTER}\d])[A-QS-Za-qs-z]:? ?\d{{2,3}}(?:[^\d/]|$)"
    r"|(?:^|[^0-9A-Za-z])(?:[5-9]\d|1\d\d)[F-HJ-NP-WY][A-Z]{2}"
)
_PLIES = Pattern(r"\d ?-?P\.?R(?![A-Za-z])")  # as they are molded; plies in words are read as words
RANGED = r"(?:^|[^A-Za-z])(?:LR|[Ll]oad|LOAD) ?-?[B-N](?:[^A-Za-z0-9]|$)"  # a load range, by the first of its words
LETTERS = {  # of a size, by what they stand beside
    "C": r"[Rr] ?\d{2} ?C(?:[^A-Za-z]|$)",
    "LT": r"(?:^|[^A-Za-z])LT ?\d{3}|[Rr] ?\d{2} ?LT(?:[^A-Za-z]|$)",
}
_SIZED, _DESCRIBED, _RANGED = Pattern(SIZED), Pattern(DESCRIBED), Pattern(RANGED)
_LETTERS = {letters: Pattern(pattern) for letters, pattern in LETTERS.items()}


class Repeated(NamedTuple):
    """What of the own marking some claims repeat, and whether all else that they say is of something else."""

    size: bool
    service: bool
    plain: bool
    ranged: bool  # and whether a load range is said


def arrow(pattern: str) -> str:
    """One of the patterns as Arrow reads it, to which digits are those of all scripts only where it is told so."""
    return pattern.replace(r"\d", r"\p{Nd}")


@lru_cache(maxsize=16_384)
def rim_pattern(size: str) -> str:
    """What finds the rim of a size in a title; a part of a size is told to be the own one, too, whatever its rim."""
    numbers = size_key(size).numbers
    rim = f"{numbers[-1]:g}".replace(".", "[.,']") if numbers else ""
    return rf"(?:^|[^\d.,]){rim}(?:[^\d]|$)"


@lru_cache(maxsize=16_384)
def is_plain(size: str) -> bool:
    """Whether a size has an aspect ratio and no letters, which it may have lost: a title may give them."""
    return "/" in size and not size_key(size).prefix


@lru_cache(maxsize=256)
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)


def repeated(said: Sequence[Said]) -> Repeated:
    """What of the own marking is repeated by what a title says."""
    words: dict[str, set[str]] = {name: set() for name in WHOLE}
    for one in said:
        if one.field in words:
            words[one.field].add(one.words)
    size, service = (words[name] == {sign} for name, sign in zip(WHOLE, (OWN, OWN_SERVICE), strict=True))
    return Repeated(size, service, not any(map(_bare, said)), any(one.field == "load_range" for one in said))


def _bare(one: Said) -> bool:
    return one.field in _OF_MARKING and _BARE.fullmatch(one.words) is not None


def with_marking(said: tuple[Said, ...], text: str, own: Own) -> tuple[Said, ...]:
    """What a title says, with what its marking says where that may be more than its listing's own once more.

    Beside no readable marking it is left as it is.
    """
    size, service, plain, ranged = repeated(said)
    plain = plain and (ranged or _RANGED.search(text) is None)
    size = size and _compiled(rim_pattern(own.quoted.size)).search(text) is not None
    if size and plain and (service or not own.quoted.service or _DESCRIBED.search(text) is None):
        letters = [one for one in LETTERS if is_plain(own.quoted.size) and _LETTERS[one].search(text)]
        return with_letters(said, letters[0], own.quoted.size) if len(letters) == 1 else said
    return read_beside(said, text, own) if _SIZED.search(text) else said


def with_letters(said: tuple[Said, ...], letters: str, size: str) -> tuple[Said, ...]:
    """What a title says that repeats the own size with letters which that has not."""
    whole = f"LT{size}" if letters == "LT" else f"{size}{letters}"
    return tuple(one._replace(words=whole) if one.field == WHOLE[0] and one.words == OWN else one for one in said)


def read_beside(said: tuple[Said, ...], text: str, own: Own) -> tuple[Said, ...]:
    """What a title says, with what its own marking says in the place of sizes and bare figures that were claimed."""
    if isinstance(own.decoded, Unreadable):
        return said
    found = _read(text)
    if found is None:
        return said
    told = list(_told(found, text, own))
    if not _is_own(found.size_text, own) and any(_is_own(other.size_text, own) for _, _, other in find_markings(text)):
        return said
    if found.load_range and not repeated(said).ranged and _RANGED.search(text):
        code = code_or_number("load_range", found.load_range, default_tables())
        told.append(Said("load_range", 0, code, 0.0, False, f"LR {found.load_range}"))
    there = {one.field for one in told}
    kept = [one for one in said if one.field not in there and one.field != WHOLE[0] and not _bare(one)]
    return (*told, *kept)


@lru_cache(maxsize=4_096)
def _read(text: str) -> Marking | None:
    found = decode(text)
    if isinstance(found, Unreadable) and found.refused == "several":
        found = decode(found.readings[0])
    return found if isinstance(found, Marking) and found.size_text and not names_only_others(text) else None


def _told(found: Marking, text: str, own: Own) -> Iterator[Said]:
    """What a title's marking says."""
    lettered = is_plain(own.quoted.size) and size_key(found.size_text).prefix in ("C", "LT")
    yield _text_to_decode("marking", OWN if _is_own(found.size_text, own) and not lettered else found.size_text)
    if described := service_text(found.service, ()):
        yield _text_to_decode("service_description", OWN_SERVICE if described == own.quoted.service else described)
    if found.ply_rating is not None and _PLIES.search(text):
        yield Said("ply_rating", 0, float(found.ply_rating), 0.0, False, f"{found.ply_rating}PR")


def _text_to_decode(field: str, words: str) -> Said:
    return Said(field, 0, nan, 0.0, False, words)


def _is_own(size: str, own: Own) -> bool:
    return any(size_key(size).same(size_key(one)) for one in own.quoted[:2] if one)
