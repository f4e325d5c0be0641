"""What a rule demands of a field by itself, whatever the marking says: filled, one of some values, within limits, of a
pattern."""

from __future__ import annotations

from typing import Any, NamedTuple

# kind -> the keys that it may have beside those of every rule, those that it needs first
KEYS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "required": (("field",), ("instead", "when")),
    "one-of": (("field", "values"), ("when",)),
    "range": (("field",), ("least", "most", "when")),
    "pattern": (("field",), ("matches", "forbids", "when")),
}
_ALL_KEYS = frozenset(key for needed, more in KEYS.values() for key in (*needed, *more))


class When(NamedTuple):
    """One condition on a field of the listing; `equals` are texts as a cell would give them, empty for any."""

    field: str
    filled: bool
    equals: tuple[str, ...] = ()


class Demand(NamedTuple):
    """What a rule of one of these kinds demands; what its kind does not use is empty."""

    field: str
    instead: tuple[str, ...] = ()  # fields that may be filled in its place
    values: tuple[str, ...] = ()
    least: str = ""
    most: str = ""
    matches: str = ""  # what the whole text has to match
    forbids: str = ""  # what may stand nowhere in it
    when: tuple[When, ...] = ()

    def fields(self) -> tuple[str, ...]:
        """Every field that the rule looks at."""
        return (self.field, *self.instead, *(one.field for one in self.when))


def demand_of(entry: dict[str, Any]) -> Demand | None:
    """The demand of a rule's table; None where its kind makes none."""
    if entry["kind"] not in KEYS:
        return None
    return Demand(
        entry["field"],
        tuple(entry.get("instead", [])),
        tuple(as_cell(value) for value in entry.get("values", [])),
        as_cell(entry.get("least", "")),
        as_cell(entry.get("most", "")),
        entry.get("matches", ""),
        entry.get("forbids", ""),
        tuple(_when(line) for line in entry.get("when", [])),
    )


def misplaced_key(entry: dict[str, Any]) -> tuple[str, str] | None:
    """(key, why) of the first key that a rule's kind cannot have or lacks; None where all is well."""
    kind = entry["kind"]
    needed, more = KEYS.get(kind, ((), ()))
    for key in entry:
        if key in _ALL_KEYS and key not in (*needed, *more):
            kinds = ", ".join(name for name, keys in KEYS.items() if key in (*keys[0], *keys[1]))
            return key, f"a rule of kind {kind!r} has no such key; it belongs to {kinds}."
    for key in needed:
        if key not in entry:
            return key, f"a rule of kind {kind!r} needs it."
    if kind == "range" and not {"least", "most"} & set(entry):
        return "least", "a range needs `least`, `most` or both."
    if kind == "pattern" and not {"matches", "forbids"} & set(entry):
        return "matches", "a pattern needs `matches`, `forbids` or both."
    return None


def demand_words(kind: str, demand: Demand) -> str:
    """What is demanded, in words."""
    detail = detail_words(kind, demand)
    said = f"{detail} filled" if kind == "required" else f"{demand.field} {'one of ' * (kind == 'one-of')}{detail}"
    return said + "".join(f", where {_when_words(one)}" for one in demand.when)


def detail_words(kind: str, demand: Demand) -> str:
    """What takes the place of {detail} in the sentence of a rule that makes a demand."""
    return {
        "required": lambda: " or ".join((demand.field, *demand.instead)),
        "one-of": lambda: ", ".join(demand.values),
        "range": lambda: range_words(demand),
        "pattern": lambda: _pattern_words(demand),
    }[kind]()


def range_words(demand: Demand) -> str:
    """ "from 3 to 12", "at least 3", "at most 12"."""
    if demand.least and demand.most:
        return f"from {demand.least} to {demand.most}"
    return f"at least {demand.least}" if demand.least else f"at most {demand.most}"


def as_cell(value: object) -> str:
    """A value of a rule's table as a cell would give it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def _when(line: dict[str, Any]) -> When:
    equals = line.get("equals", [])
    texts = tuple(as_cell(value) for value in (equals if isinstance(equals, list) else [equals]))
    return When(line["field"], bool(line.get("filled", True)), texts)


def _pattern_words(demand: Demand) -> str:
    parts = [f"like {demand.matches}"] if demand.matches else []
    return " and ".join(parts + ([f"without {demand.forbids}"] if demand.forbids else []))


def _when_words(one: When) -> str:
    if one.equals:
        return f"{one.field} is {' or '.join(one.equals)}"
    return f"{one.field} is {'filled' if one.filled else 'blank'}"
