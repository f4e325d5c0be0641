"""JSON values as the texts of cells, nested one level."""

from __future__ import annotations

import json
from typing import Any

from auditor.feeds.typed_cells import cell_text


def flat_object(line: bytes) -> dict[str, str] | None:
    """One line's object with texts as values, nested one level; None where it is no object."""
    try:
        value = json.loads(line)
    except ValueError:
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


def whole_text(text: str) -> str:
    """`text` with a question mark for every half of a character."""
    return text.encode("utf-8", "replace").decode()
