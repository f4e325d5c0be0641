"""JSON values as the texts of cells: members of objects within objects, each under all keys that it stands in."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from auditor.feeds.typed_cells import cell_text
from auditor.feeds.units_beside import measured

LEVELS = 6  # keys that a cell may stand in, its own included; deeper objects stay JSON
FEW_LEVELS = 2  # of feeds that would have too many columns: they keep a table of their own in each object


def flat_object(line: bytes, levels: int = LEVELS) -> dict[str, str] | None:
    """One line's object with texts as values, in at most so many levels; None where it is no object."""
    try:
        value = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return flat(value, levels) if isinstance(value, dict) else None


def flat(value: dict[str, Any], levels: int = LEVELS) -> dict[str, str]:
    """An object's values as text; members of inner objects get all keys that they stand in, `outer.inner`."""
    return {".".join(path): deep_text(item) for path, item in _members(value, levels)}


def _members(value: dict[str, Any], levels: int, outer: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    """The keys that each value stands in, and the value: no object but on the last level, no list of named values."""
    for key, item in value.items():
        if isinstance(item, dict) and len(outer) + 1 < levels:
            yield from _members(item, levels, (*outer, key))
        elif isinstance(item, list) and len(outer) + 1 < levels and (named := _named_values(item)):
            for name, text in named.items():
                yield (*outer, key, name), _NamedValue(text)
        else:
            yield (*outer, key), item


class _NamedValue(str):
    """The value of a name in a list, which no reader of columns finds by its keys."""

    __slots__ = ()


_PARTS = (2, 3, 4)  # of a named value: its name, the value, perhaps the unit and a number
_LONGEST_NAME, _LONGEST_UNIT = 80, 12  # characters


def _named_values(items: list[Any]) -> dict[str, str]:
    """The values of a list by their names: `[{"name": "Width", "value": 225}, ...]`, whatever the keys are called.

    Empty for any other list: its objects have other keys, several names, or a name twice.
    """
    if not items or not all(isinstance(item, dict) and len(item) in _PARTS for item in items):
        return {}
    keys = list(items[0])
    if any(item.keys() != items[0].keys() for item in items):
        return {}
    if any(isinstance(part, dict | list) for item in items for part in item.values()):
        return {}
    name = next((key for key in keys if _are_names([item[key] for item in items])), None)
    if name is None:
        return {}
    behind = keys[keys.index(name) + 1 :]
    value = behind[0] if behind else keys[0]
    return {item[name].strip(): _measured(item, value, behind[1:]) for item in items}


def _are_names(values: list[Any]) -> bool:
    """Whether texts name something each: they begin with a letter, and differ."""
    texts = [value.strip() for value in values if isinstance(value, str)]
    named = all(text[:1].isalpha() and len(text) <= _LONGEST_NAME for text in texts)
    return named and len(texts) == len(values) == len(set(texts))


def _measured(item: dict[str, Any], value: str, units: list[str]) -> str:
    """A value with the unit that stands beside it, where it is a number."""
    text = deep_text(item[value])
    unit = item[units[0]] if units else None
    return measured(text, unit) if isinstance(unit, str) and len(unit) <= _LONGEST_UNIT else text


def deep_text(value: Any) -> str:
    """A JSON value as text; lists and deeper objects stay JSON."""
    return json.dumps(value, ensure_ascii=False) if isinstance(value, dict | list) else cell_text(value)


@dataclass(frozen=True, slots=True)
class Key:
    """A key of a feed's objects: its name as a header, the keys from the outermost on, and what its values are.

    `kind` is text, int, float, truth, nothing, or named for the value of a name in a list; "" where they are of several
    kinds, lists, or deeper objects, and where two keys have one name.
    """

    name: str
    path: tuple[str, ...]
    kind: str


def keys_of_objects(lines: Iterable[bytes], most: int, levels: int) -> dict[str, Key]:
    """The keys of objects, in the order they appear; of more than `most` only so many that it shows."""
    found: dict[str, Key] = {}
    for line in lines:
        note_keys(found, line, levels)
        if len(found) > most:
            break
    return found


def note_keys(found: dict[str, Key], line: bytes, levels: int) -> None:
    """Takes the keys of one line's object up among those found; nothing where it is none."""
    try:
        value = json.loads(line)
    except (ValueError, RecursionError):
        return
    for path, item in _members(value, levels) if isinstance(value, dict) else ():
        _note(found, Key(".".join(path), path, _kind(item)))


def _note(found: dict[str, Key], key: Key) -> None:
    if whole_text(key.name) != key.name:
        return
    known = found.get(key.name)
    if known is None:
        found[key.name] = key
    elif known != key:
        found[key.name] = replace(known, kind=_common(known.kind, key.kind) if known.path == key.path else "")


def _common(known: str, other: str) -> str:
    """What values of two kinds are."""
    if NOTHING in (known, other):
        return known if other == NOTHING else other
    return "float" if {known, other} == {"int", "float"} else known if known == other else ""


NOTHING, NAMED = "nothing", "named"
_KINDS = {str: "text", int: "int", float: "float", bool: "truth", type(None): NOTHING, _NamedValue: NAMED}


def _kind(value: Any) -> str:
    return _KINDS.get(type(value), "")


def whole_text(text: str) -> str:
    """`text` with a question mark for every half of a character."""
    return text.encode("utf-8", "replace").decode()
