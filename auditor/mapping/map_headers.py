"""Which column of a feed a written map's header means, also where the supplier wrote it a little otherwise."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, Protocol

from auditor.rulebook.header_likeness import likely_groups
from auditor.rulebook.header_words import CONCEPTS, fold
from auditor.rulebook.headers import LIKELY, in_its_unit, read_header, without_units
from auditor.rulebook.listing_fields import Contract


class Named(Protocol):
    """A column as a map names it."""

    @property
    def header(self) -> str: ...
    @property
    def occurrence(self) -> int: ...
    @property
    def fields(self) -> tuple[str, ...]: ...


class Meant(NamedTuple):
    """A feed's column, and whether its header is written otherwise than in the map."""

    position: int
    otherwise: bool


def meant_columns(columns: Sequence[Named], headers: Sequence[str], contract: Contract) -> list[Meant | None]:
    """For every column of a map its place in the feed; None where the feed lacks it.

    A header that differs in case, accents, punctuation and spacing, or in one word, is still meant where no other
    column of the map or of the feed could be, and where nothing in the new word says that it is something else.
    """
    found: list[Meant | None] = [_exact(column, headers) for column in columns]
    free = set(range(len(headers))) - {meant.position for meant in found if meant}
    for number, column in enumerate(columns):
        if found[number] is None and column.occurrence == 1:
            alike = _alike(column, headers, free, contract)
            rivals = [other for place, other in enumerate(columns) if place != number and found[place] is None]
            if alike is not None and not any(_alike(other, headers, free, contract) == alike for other in rivals):
                found[number] = Meant(alike, True)
                free.discard(alike)
    return found


def _exact(column: Named, headers: Sequence[str]) -> Meant | None:
    places = [position for position, header in enumerate(headers) if header == column.header.strip()]
    return Meant(places[column.occurrence - 1], False) if len(places) >= column.occurrence else None


def _alike(column: Named, headers: Sequence[str], free: set[int], contract: Contract) -> int | None:
    """The one free column whose header is the map's but for its form, else but for one word."""
    wanted = fold(column.header)
    if not wanted:
        return None
    same = [position for position in sorted(free) if fold(headers[position]) == wanted]
    if not same:
        spaceless = _meaning(wanted, contract)
        same = [position for position in sorted(free) if _meaning(fold(headers[position]), contract) == spaceless]
    if not same:
        same = [position for position in sorted(free) if _one_word_apart(column, headers[position], contract)]
    return same[0] if len(same) == 1 else None


def _meaning(folded: str, contract: Contract) -> str:
    """A header without its blanks, and with one word for those that mean the same: "maximum" and "max"."""
    return "".join(contract.concepts.get(word, word) for word in folded.split())


def _one_word_apart(column: Named, header: str, contract: Contract) -> bool:
    wanted, given = fold(column.header).split(), fold(header).split()
    apart = [(one, other) for one, other in zip(wanted, given, strict=False) if one != other]
    if len(wanted) != len(given) or len(wanted) < 2 or len(apart) != 1:
        return False
    telling = {word for word, concept in contract.concepts.items() if concept in CONCEPTS} | set(contract.units)
    if any(word in telling or any(map(str.isdigit, word)) for word in apart[0]):
        return False
    return _may_be(column.fields, header, contract)


def _may_be(fields: Sequence[str], header: str, contract: Contract) -> bool:
    """Whether a header that is known does not stand for another field."""
    likely = [
        group for group, score in likely_groups(without_units(fold(header), contract), contract) if score >= LIKELY
    ]
    return not likely or any(contract.fields[name].group in likely for name in fields)


def vetoed_unit(fields: Sequence[str], header: str, contract: Contract) -> str | None:
    """The unit in a header that no column of these fields can have: a speed in km/h is never a rim width."""
    reading = read_header(header, contract)
    if reading.field or not reading.units or not fields:
        return None
    groups = [contract.fields[name].group for name in fields]
    for unit in reading.units:
        if not any(in_its_unit(group, (unit,), contract) == group for group in groups):
            return unit
    return None


def other_mounting(fields: Sequence[str], header: str, contract: Contract) -> bool:
    """Whether a header says dual or twin, and the field is that of a single tire."""
    single = {"max_load_kg", "max_load_lb", "load_index"}
    words = {contract.concepts.get(word) for word in fold(header).split()}
    return bool(fields) and fields[0] in single and len(fields) == 1 and "dual" in words and "single" not in words
