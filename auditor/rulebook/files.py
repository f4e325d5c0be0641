"""Reads and checks the files of rule books and policies."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

from auditor.errors import RuleBookError
from auditor.rulebook.subjects import SUBJECTS
from auditor.rules_folder import rules_folder

LARGEST_TOML = 16 << 20
TOO_MUCH_TOML = "this file is nested too deeply, or holds a number of too many digits."
CONTRACT = "listing_fields.toml"
POLICY = "policy.toml"
# Files of these names: what markings settle, how mistakes come about, and what one tire needs to stand in for another.
JUDGING = ("characteristics", "causes", "substitute_points")
_NOT_RULES = (POLICY, CONTRACT, *(f"{name}.toml" for name in JUDGING))


def sources(folder: Path) -> list[Path]:
    """The rule files of the built-in book and its policy, in name order."""
    if not (folder / POLICY).is_file():
        raise RuleBookError(f"{folder}: this is no rule book, its policy.toml is missing; restore the program.")
    return sorted(folder.glob("*.toml"))


def digest(files: Iterable[Path]) -> str:
    """SHA-256 over names and bytes of the files."""
    total = hashlib.sha256()
    for path in files:
        try:
            total.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
        except OSError as error:
            raise RuleBookError(f"{path}: this file cannot be read ({error.strerror}).") from error
    return total.hexdigest()


def read_rules(folder: Path, *, examples: bool = False, checked: bool = True) -> list[dict[str, Any]]:
    """Every rule of the book as checked plain data, in rule order; with its examples where asked for."""
    rules: list[dict[str, Any]] = []
    for path in sources(folder):
        if path.name not in _NOT_RULES:
            rules += read_rule_file(path, checked=checked)["rule"]
    if not examples:
        rules = [{key: value for key, value in rule.items() if key != "example"} for rule in rules]
    seen: set[str] = set()
    for rule in rules:
        if rule["id"] in seen:
            raise RuleBookError(f"{folder}: rule {rule['id']!r} stands twice; keep one of the two.")
        seen.add(rule["id"])
    return by_subject(rules)


def read_rule_file(path: Path, *, checked: bool = True) -> dict[str, Any]:
    """One file of rules: `rule`, each with its subject, and `drop`, the ids of built-in rules it takes away."""
    data = read_toml(path)
    if checked:
        names = [rule.get("id", "?") for rule in data.get("rule", []) if isinstance(rule, dict)]
        check(data, schema("rule"), path, names)
    rules = [{**rule, "subject": data["subject"]} for rule in data.get("rule", [])]
    return {"rule": rules, "drop": list(data.get("drop", []))}


def by_subject(rules: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """The rules in the order in which the findings of one record are listed; those of one subject stay as they are."""
    known = {name: position for position, name in enumerate(SUBJECTS)}
    return sorted(rules, key=lambda rule: (known.get(rule["subject"], len(known)), rule["subject"]))


def read_policy(path: Path, rule_ids: list[str], tolerances: Iterable[str]) -> dict[str, Any]:
    """A policy file of the user's, checked; rule and tolerance names must exist."""
    data = read_toml(path)
    check(data, schema("policy"), path)
    named = list(data.get("grade", {})) + [line["rule"] for key in ("off", "only") for line in data.get(key, [])]
    for rule_id in named:
        if rule_id not in rule_ids:
            raise RuleBookError(f"{path}: there is no rule {rule_id!r}; {nearest(rule_id, rule_ids)}")
    for name in data.get("tolerance", {}):
        if name not in tolerances:
            raise RuleBookError(f"{path}: there is no tolerance {name!r}; {nearest(name, tolerances)}")
    return data


def read_toml(path: Path) -> dict[str, Any]:
    """A TOML file as plain data; RuleBookError with line and column where it is not TOML."""
    # Start-up: a book from the cache needs no parser.
    import tomllib

    try:
        if path.stat().st_size > LARGEST_TOML:
            raise RuleBookError(f"{path}: this file is larger than {LARGEST_TOML:,} bytes; split it.")
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise RuleBookError(f"{path}: this file does not exist; check the name.") from error
    except (OSError, UnicodeDecodeError) as error:
        raise RuleBookError(f"{path}: this file cannot be read ({error}).") from error
    except tomllib.TOMLDecodeError as error:
        raise RuleBookError(f"{path}: this is not valid TOML: {error}.") from error
    except (RecursionError, ValueError) as error:
        raise RuleBookError(f"{path}: {TOO_MUCH_TOML}") from error


def check(data: Any, schema: dict[str, Any], path: Path, names: list[str] | None = None) -> None:
    """Checks plain data against a JSON Schema (2020-12); RuleBookError names file, rule, key and reason."""
    # Start-up: a book from the cache was checked before.
    from jsonschema import Draft202012Validator
    from jsonschema.exceptions import best_match

    try:
        error = best_match(Draft202012Validator(schema).iter_errors(data))
    except RecursionError as deep:
        raise RuleBookError(f"{path}: {TOO_MUCH_TOML}") from deep
    if error is None:
        return
    position = list(error.absolute_path)
    rule = ""
    if names and len(position) >= 2 and position[0] == "rule" and isinstance(position[1], int):
        rule = f"rule {names[position[1]] if position[1] < len(names) else position[1] + 1!r}: "
        position = position[2:]
    wrong = _wrong_key(error)
    if wrong is not None:
        position.append(wrong)
    key = ".".join(str(part + 1 if isinstance(part, int) else part) for part in position) or "top level"
    raise RuleBookError(f"{path}: {rule}{key}: {_reason(error, wrong)}")


def _wrong_key(error: Any) -> str | None:
    """The first key that an object must not have, or that it lacks."""
    if not isinstance(error.instance, dict):
        return None
    if error.validator == "additionalProperties":
        return next((key for key in error.instance if key not in error.schema.get("properties", {})), None)
    if error.validator == "required":
        return next((key for key in error.validator_value if key not in error.instance), None)
    return None


def _reason(error: Any, wrong: str | None) -> str:
    if wrong is not None and error.validator == "required":
        return "it is missing, and has to be there."
    if wrong is not None:
        return f"there is no such key here; {nearest(wrong, error.schema.get('properties', {}))}"
    reason = error.message if len(error.message) < 300 else error.message[:300] + " ..."
    if error.validator == "enum" and isinstance(error.instance, str):
        return f"{reason}; {nearest(error.instance, [str(choice) for choice in error.validator_value])}"
    return reason + "."


def nearest(name: str, valid: Iterable[str]) -> str:
    """A half sentence that names the nearest valid choice, or all of them where none is near."""
    # Start-up: only a slip of the pen needs it.
    from difflib import get_close_matches

    valid = list(valid)
    close = get_close_matches(name, valid, n=1, cutoff=0.5)
    return f"did you mean {close[0]!r}?" if close else f"valid are: {', '.join(sorted(valid))}."


@cache
def schema(name: str) -> dict[str, Any]:
    """One of the JSON Schemas that rule books are checked against, its names filled in."""
    # Start-up: a book that is kept was checked when it was made.
    from auditor.rulebook.schemas import read_schema

    return read_schema(rules_folder(), name)
