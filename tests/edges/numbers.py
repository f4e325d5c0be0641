"""Every number of `rules/*.toml`, and the listings that tell it from another: found in the data, whatever is added.

A number is held where some listing beside it, of an edge or at the turn of a ladder, is answered differently as soon
as the number is a third larger or smaller.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from auditor.quantities import read_cell
from auditor.quantities.units import measures
from auditor.rulebook.book import RuleBook
from auditor.rulebook.rule import Exemption
from auditor.rulebook.tolerances import Tolerances
from tests.edges import witnesses
from tests.edges.ladder import answers_of, pinned_lines, turns
from tests.edges.ladders import ROOMS
from tests.edges.paths import Found, Listing, by_call
from tests.edges.registered import EDGES
from tests.edges.rule_book import RULES_FOLDER

_CHANGES = (1.3, 0.7)


@dataclass(frozen=True, slots=True)
class Number:
    """One number, by its file and the names on the way to it."""

    file: str
    path: tuple[str | int, ...]
    value: float

    @property
    def key(self) -> str:
        """Its file and path in one text."""
        return ".".join(map(str, (self.file, *self.path)))

    def others(self) -> list[float]:
        """What it is changed into."""
        if isinstance(self.value, int):
            return [self.value + 1, self.value - 1]
        return [self.value * change for change in _CHANGES]


def numbers() -> list[Number]:
    """Every number of every TOML file but those of examples."""
    files = sorted(RULES_FOLDER.glob("*.toml"))
    return [
        Number(path.stem, *found)
        for path in files
        for found in _inside(tomllib.loads(path.read_text(encoding="utf-8")), ())
    ]


def _inside(value: Any, above: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], float]]:
    if isinstance(value, dict):
        for name, inner in value.items():
            if name != "example":
                yield from _inside(inner, (*above, name))
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            named = inner.get("id", inner.get("name", place)) if isinstance(inner, dict) else place
            yield from _inside(inner, (*above, named))
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield above, value


def is_held(number: Number, book: RuleBook) -> bool:
    """Whether some listing is answered differently with another number in its place."""
    if "detail" in number.path:  # which sentence is said: held by the examples of rules
        return False
    if number.file == "listing_fields":
        return _decides_what_is_read(number)
    listings = list(_beside(str(number.path[1])))
    for other in number.others():
        changed = _with_another(book, number, other)
        for listing in listings:
            if by_call([listing], changed) != [_answer(tuple(listing.items()), book.sha256)]:
                return True
    return False


@cache
def _answer(listing: tuple[tuple[str, str], ...], _: str) -> list[Found]:
    return by_call([dict(listing)])[0]


def _beside(name: str) -> Iterator[Listing]:
    """The listings around what a rule, a cause or a tolerance finds, the nearest first."""
    for edge in EDGES:
        if name in (edge.rule, edge.key.partition(".")[0]):
            yield from edge.listings()
    yield from witnesses.beside(name)
    yield from _turns_by_word().get(name, ())


@cache
def _turns_by_word() -> Mapping[str, list[Listing]]:
    """The rungs at which the answers of ladders turn, by every rule and cause that is said there or beside it."""
    found: dict[str, list[Listing]] = {}
    for room, make in ROOMS.items():
        pinned = pinned_lines(room)
        for ladder in make() if room != "markings" else ():
            answers, listings = answers_of(ladder, pinned[ladder.name]), ladder.listings()
            for place in turns(answers):
                near = frozenset[str]().union(*answers[max(place - 1, 0) : place + 2])
                for word in {text.split(" ")[0] for text in near}:
                    found.setdefault(word, []).append(listings[place])
    return found


def _with_another(book: RuleBook, number: Number, other: float) -> RuleBook:
    """The book with another number, as if its file said so."""
    kind, name, *path = number.path
    if kind == "tolerance":
        return replace(
            book,
            tolerances=Tolerances({**book.tolerances, str(name): _changed(book.tolerances[str(name)], path, other)}),
        )
    if kind == "cause":
        return replace(book, causes={**book.causes, str(name): _changed(book.causes[str(name)], path, other)})
    if kind != "rule":
        raise ValueError(f"{number.key}: nobody has said yet how a book with another such number is made")
    rules = tuple(rule if rule.id != name else replace(rule, **_changed_part(rule, path, other)) for rule in book.rules)
    return replace(book, rules=rules)


def _changed_part(rule: Any, path: list[str | int], other: float) -> dict[str, Any]:
    part, *inner = path
    if part == "limits":
        return {"limits": _changed(rule.limits, inner, other)}
    if part == "exempt":
        place, *inner = inner
        lines = list(rule.exempt)
        old: Exemption = lines[int(place)]
        now = _changed({"stated": list(old.stated), "at_least": dict(old.at_least)}, inner, other)
        lines[int(place)] = Exemption(old.families, tuple(now["stated"]), tuple(now["at_least"].items()))
        return {"exempt": tuple(lines)}
    if part in ("least", "most") and rule.demand is not None:
        return {"demand": rule.demand._replace(**{part: str(other)})}
    raise ValueError(f"{rule.id}: {part}: nobody has said yet how a rule with another such number is made")


def _changed(table: Any, path: Iterable[str | int], other: float) -> Any:
    table = deepcopy(dict(table))
    *way, last = path
    inner = table
    for name in way:
        inner = inner[name]
    inner[last] = other
    return table


def _decides_what_is_read(number: Number) -> bool:
    """Whether some cell near the end of what can be is read differently with another end."""
    _, group, end = number.path
    for measure in measures().values():
        if not (measure.field == group or measure.field.startswith(f"{group}_")) or measure.stem != group:
            continue
        for other in number.others():
            ends = {("lowest", "highest")[int(end)]: float(other)}
            changed = measure._replace(**ends)
            for at in (number.value / measure.unit.factor, other / measure.unit.factor):
                for text in _texts_near(at):
                    if read_cell(text, measure.field) != read_cell(text, measure.field, measure=changed):
                        return True
    return False


def _texts_near(at: float) -> Iterator[str]:
    """Cells that can be two numbers, of which one is about this."""
    for share in (0.8, 0.95, 0.99, 1.0, 1.01, 1.05, 1.2):
        value = at * share
        yield f"{value:.3f}"
        yield f"{value / 1000.0:.3f}"
        yield f"{value / 1000.0:.3f}".replace(".", ",")
