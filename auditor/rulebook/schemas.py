"""The JSON Schemas, with the names filled in that the program holds elsewhere: families, units, causes, fields.

A schema file says `"names_of": "families"` where an enumeration belongs, `"properties_of": "fields"` where an object
has a property for each, and `"schema_of": "finding"` where the content of another schema belongs.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from auditor.errors import RuleBookError
from auditor.rulebook.finding import CAUSES, GRADES
from auditor.trade.facts import CONVERTED, FACTS
from auditor.trade.family import FAMILIES
from auditor.trade.units import UNITS

Names = Mapping[str, Sequence[str] | Mapping[str, str]]  # what is named -> the names, or each with what it says

_NAMES: Names = {
    "families": FAMILIES,
    "causes": CAUSES,
    "grades": GRADES,
    "units": tuple(UNITS),
    "facts": (*FACTS, *CONVERTED),
}
_OWN_KEYS = ("$schema", "$id", "title", "description")  # of a whole schema, not of its content


def read_schema(folder: Path, name: str, more: Names | None = None) -> dict[str, Any]:
    """The schema of that name in the rule folder, filled.  `more` are names that are known to the caller alone.

    Raises RuleBookError where the file cannot be read.
    """
    path = folder / "schemas" / f"{name}.json"
    try:
        schema: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise RuleBookError(f"{path}: this schema cannot be read ({error}); restore it.") from error
    filled: dict[str, Any] = _filled(schema, folder, {**_NAMES, **(more or {})})
    return filled


def _filled(node: Any, folder: Path, names: Names) -> Any:
    if isinstance(node, list):
        return [_filled(one, folder, names) for one in node]
    if not isinstance(node, dict):
        return node
    filled: dict[str, Any] = {}
    for key, value in node.items():
        if key == "names_of":  # further choices of the file's own stand behind the names
            filled["enum"] = [*names[value], *node.get("enum", [])]
        elif key == "schema_of":
            whole = read_schema(folder, value, names)
            filled |= {own: content for own, content in whole.items() if own not in _OWN_KEYS}
        elif key == "properties_of":
            said = names[value]
            assert isinstance(said, Mapping)
            each = {name: {"$ref": "#/$defs/value", "description": says} for name, says in said.items()}
            filled["properties"] = _filled(node.get("properties", {}), folder, names) | each
        else:
            filled.setdefault(key, _filled(value, folder, names))
    return filled
