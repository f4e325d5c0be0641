"""The listing contract as data: which fields a listing has, their quantity and unit, and how feeds head them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple


class FieldSpec(NamedTuple):
    """One listing field.  `unit` is None for texts and codes; fields of one `group` differ by unit only."""

    name: str
    group: str
    quantity: str
    unit: str | None
    says: str


@dataclass(frozen=True, slots=True, eq=False)  # each is itself alone, so that what follows from it can be kept by it
class Contract:
    """All fields by name, what cells of theirs may say, header phrases by group, unit words by unit."""

    fields: dict[str, FieldSpec]
    groups: dict[str, tuple[str, ...]]  # group -> its fields
    combined: dict[str, tuple[str, ...]]  # group of a combined column -> the fields it may hold
    together: dict[str, tuple[str, ...]]  # field -> the fields that a cell of its own may state, itself among them
    possible: dict[str, tuple[float, float]]  # group -> what can be at all, in the base unit of its quantity
    phrases: dict[str, tuple[str, ...]]  # folded header phrase -> groups, most usual first
    units: dict[str, str]  # folded unit word -> unit
    written_units: dict[str, str]  # unit word of other scripts, or with a stroke, as cells write it -> unit
    up_to: tuple[str, ...]  # words for "up to"
    more_than: tuple[str, ...]  # words for "more than"
    about: tuple[str, ...]  # words for "about"
    season_words: dict[str, str]  # word -> season
    season_letters: tuple[tuple[str, str, str, bool], ...]  # language, letter, season, whether its usual word begins so
    not_stated: tuple[str, ...]  # what cells hold that only say that nothing is known
    without: tuple[str, ...]  # folded words that say so beside the column's own name
    concepts: dict[str, str]  # folded word of headers -> the one that stands for its meaning
    other_business: tuple[str, ...]  # folded words of headers over prices, stocks, pictures
    beside_units: frozenset[str]  # folded words that a row of units holds beside them
    unit_words: frozenset[str]  # folded words of headers over units, and over values beside them
    furniture: tuple[str, ...]  # how page and total lines begin
    matters: frozenset[str]  # groups whose columns nobody may leave unread in silence


def contract_of(data: Mapping[str, Any]) -> Contract:
    """The listing fields of a compiled rule book."""
    fields = {row["name"]: FieldSpec(**row) for row in data["fields"]}
    groups: dict[str, tuple[str, ...]] = {}
    for spec in fields.values():
        groups[spec.group] = (*groups.get(spec.group, ()), spec.name)
    combined, phrases = ({name: tuple(names) for name, names in data[key]} for key in ("combined", "phrases"))
    together = {name: names for names in groups.values() for name in names}
    for shared in data["cells"]:
        names = tuple(name for group in shared for name in groups[group])
        together |= dict.fromkeys(names, names)
    possible = {group: (float(lowest), float(highest)) for group, lowest, highest in data["possible"]}
    units, written = dict(data["units"]), dict(data["written_units"])
    words = (tuple(data["up_to"]), tuple(data["more_than"]), tuple(data["about"]), dict(data["season_words"]))
    read = (fields, groups, combined, together, possible, phrases, units, written, *words)
    return Contract(
        *read,
        season_letters=tuple(
            (language, letter, season, usual) for language, letter, season, usual in data["season_letters"]
        ),
        not_stated=tuple(data["not_stated"]),
        without=tuple(data["without"]),
        concepts=dict(data["concepts"]),
        other_business=tuple(data["other_business"]),
        beside_units=frozenset(data["beside_units"]),
        unit_words=frozenset(data["unit_words"]),
        furniture=tuple(data["furniture"]),
        matters=frozenset(data["matters"]),
    )
