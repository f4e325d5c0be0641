"""JSON values as the texts of cells, nested one level."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from auditor.feeds.typed_cells import cell_text


def flat_object(line: bytes) -> dict[str, str] | None:
    """One line's object with texts as values, nested one level; None where it is no object."""
    try:
        value = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return flat(value) if isinstance(value, dict) else None


def flat(value: dict[str, Any]) -> dict[str, str]:
    """An object's values as text; members of an inner object get `outer.inner` as their key."""
    found: dict[str, str] = {}
    for key, item in value.items():
        if isinstance(item, dict):
            for inner, deep in item.items():
                found[f"{key}.{inner}"] = deep_text(deep)
        else:
            found[key] = deep_text(item)
    return found


def deep_text(value: Any) -> str:
    """A JSON value as text; lists and deeper objects stay JSON."""
    return json.dumps(value, ensure_ascii=False) if isinstance(value, dict | list) else cell_text(value)


@dataclass(frozen=True, slots=True)
class Key:
    """A key of a feed's objects: its name as a header, the outer key where it is nested, and what its values are.

    `kind` is text, int, float or truth; "" where they are of several kinds, lists, or deeper objects.
    """

    name: str
    outer: str | None
    kind: str

    @property
    def own(self) -> str:
        """The key in the inner object."""
        return self.name if self.outer is None else self.name[len(self.outer) + 1 :]


def keys_of_objects(lines: Iterable[bytes], most: int) -> dict[str, Key]:
    """The keys of objects, in the order they appear; of more than `most` only so many that it shows."""
    found: dict[str, Key] = {}
    for line in lines:
        note_keys(found, line)
        if len(found) > most:
            break
    return found


def note_keys(found: dict[str, Key], line: bytes) -> None:
    """Takes the keys of one line's object up among those found; nothing where it is none."""
    try:
        value = json.loads(line)
    except (ValueError, RecursionError):
        return
    for key, item in value.items() if isinstance(value, dict) else ():
        if isinstance(item, dict):
            for inner, deep in item.items():
                _note(found, Key(f"{key}.{inner}", key, _kind(deep)), deep)
        else:
            _note(found, Key(key, None, _kind(item)), item)


def _note(found: dict[str, Key], key: Key, value: Any) -> None:
    if whole_text(key.name) != key.name:
        return
    known = found.get(key.name)
    if known is None:
        found[key.name] = key
    elif value is not None and known != key:
        kinds = {known.kind, key.kind}
        kind = "float" if kinds == {"int", "float"} and known.outer == key.outer else ""
        found[key.name] = replace(known, kind=kind if known.kind != _NOTHING else key.kind)


_NOTHING = "nothing"
_KINDS = {str: "text", int: "int", float: "float", bool: "truth", type(None): _NOTHING}


def _kind(value: Any) -> str:
    return _KINDS.get(type(value), "")


def whole_text(text: str) -> str:
    """`text` with a question mark for every half of a character."""
    return text.encode("utf-8", "replace").decode()
