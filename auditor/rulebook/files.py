"""Reads and checks the files of a rule book, and keeps the checked book ready to load."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from pathlib import Path
from typing import Any

from auditor.errors import RuleBookError

_FORMAT = 5  # raised when the compiled form changes
SHIPPED = "compiled.json"  # beside the rule files of an installed wheel
_CONTRACT = "listing_fields.toml"
_NOT_RULES = ("policy.toml", _CONTRACT)


def sources(folder: Path) -> list[Path]:
    """The rule files of a book and its policy, in name order."""
    if not (folder / "policy.toml").is_file():
        raise RuleBookError(f"{folder}: this is no rule book, its policy.toml is missing; name another folder.")
    return sorted(folder.glob("*.toml"))


def digest(files: list[Path]) -> str:
    """SHA-256 over names and bytes of the files."""
    total = hashlib.sha256()
    for path in files:
        total.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return total.hexdigest()


def compiled(folder: Path, book_digest: str) -> dict[str, Any]:
    """The checked book as plain data: `rules` (in order), `policy` and `contract`.

    Taken from the file that a wheel carries or from the user's cache, where its digest is that of the sources.
    """
    cached = _cache_file(book_digest)
    for path in (folder / SHIPPED, cached):
        kept = _kept(path, book_digest)
        if kept is not None:
            return kept
    data = {"digest": book_digest, "format": _FORMAT, **_compile(folder)}
    if cached is not None:
        _keep(cached, data)
    return data


def write_shipped(folder: Path) -> None:
    """Writes the compiled form beside the rule files of a wheel that is being built.

    The schemas are not asked here, for a build has no schema library: the tests hold every rule file to them.
    """
    data = {"digest": digest(sources(folder)), "format": _FORMAT, **_compile(folder, checked=False)}
    (folder / SHIPPED).write_text(json.dumps(data, sort_keys=True) + "\n", encoding="utf-8")


def _kept(path: Path | None, book_digest: str) -> dict[str, Any] | None:
    if path is None:
        return None
    with contextlib.suppress(OSError, ValueError):
        data = json.loads(path.read_text(encoding="utf-8"))
        if isinstance(data, dict) and data.get("digest") == book_digest and data.get("format") == _FORMAT:
            return data
    return None


def read_rules(folder: Path, *, examples: bool = False, checked: bool = True) -> list[dict[str, Any]]:
    """Every rule of the book as checked plain data, in rule order; with its examples where asked for."""
    from auditor.rulebook.book import SUBJECTS

    schema = _schema(folder, "rule.json") if checked else None
    rules: list[dict[str, Any]] = []
    for path in sources(folder):
        if path.name in _NOT_RULES:
            continue
        data = read_toml(path)
        if schema is not None:
            names = [rule.get("id", "?") for rule in data.get("rule", []) if isinstance(rule, dict)]
            check(data, schema, path, names)
        for rule in data["rule"]:
            entry = {**rule, "subject": data["subject"]}
            if not examples:
                entry.pop("example")
            rules.append(entry)
    seen: set[str] = set()
    for rule in rules:
        if rule["id"] in seen:
            raise RuleBookError(f"{folder}: rule {rule['id']!r} stands twice; keep one of the two.")
        seen.add(rule["id"])
    known = {name: position for position, name in enumerate(SUBJECTS)}
    return sorted(rules, key=lambda rule: (known.get(rule["subject"], len(known)), rule["subject"]))


def read_policy(folder: Path, path: Path, rule_ids: list[str], own: dict[str, Any]) -> dict[str, Any]:
    """A policy file of the user's, checked; rule and tolerance names must exist."""
    data = read_toml(path)
    check(data, _schema(folder, "policy.json"), path)
    named = list(data.get("grade", {})) + [line["rule"] for key in ("off", "only") for line in data.get(key, [])]
    for rule_id in named:
        if rule_id not in rule_ids:
            raise RuleBookError(f"{path}: there is no rule {rule_id!r}; {nearest(rule_id, rule_ids)}")
    for name in data.get("tolerance", {}):
        if name not in own["tolerance"]:
            raise RuleBookError(f"{path}: there is no tolerance {name!r}; {nearest(name, list(own['tolerance']))}")
    return data


def read_toml(path: Path) -> dict[str, Any]:
    """A TOML file as plain data; RuleBookError with line and column where it is not TOML."""
    import tomllib

    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise RuleBookError(f"{path}: this file does not exist; check the name.") from error
    except (OSError, UnicodeDecodeError) as error:
        raise RuleBookError(f"{path}: this file cannot be read ({error}).") from error
    except tomllib.TOMLDecodeError as error:
        raise RuleBookError(f"{path}: this is not valid TOML: {error}.") from error


def check(data: Any, schema: dict[str, Any], path: Path, names: list[str] | None = None) -> None:
    """Checks plain data against a JSON Schema (2020-12); RuleBookError names file, rule, key and reason."""
    from jsonschema import Draft202012Validator
    from jsonschema.exceptions import best_match

    error = best_match(Draft202012Validator(schema).iter_errors(data))
    if error is None:
        return
    position = list(error.absolute_path)
    rule = ""
    if names and len(position) >= 2 and position[0] == "rule" and isinstance(position[1], int):
        rule = f"rule {names[position[1]] if position[1] < len(names) else position[1] + 1!r}: "
        position = position[2:]
    key = ".".join(str(part) for part in position) or "top level"
    reason = error.message if len(error.message) < 300 else error.message[:300] + " ..."
    raise RuleBookError(f"{path}: {rule}{key}: {reason}.")


def nearest(name: str, valid: list[str]) -> str:
    """A half sentence that names the nearest valid choice, or all of them where none is near."""
    from difflib import get_close_matches

    close = get_close_matches(name, valid, n=1, cutoff=0.5)
    return f"did you mean {close[0]!r}?" if close else f"valid are: {', '.join(sorted(valid))}."


def _compile(folder: Path, *, checked: bool = True) -> dict[str, Any]:
    from auditor.rulebook.listing_fields import compiled_contract

    policy = read_toml(folder / "policy.toml")
    if checked:
        check(policy, _schema(folder, "policy.json"), folder / "policy.toml")
    rules = read_rules(folder, checked=checked)
    names = list(policy["tolerance"])
    for rule in rules:
        for key in ("tolerance", "allowance"):
            if rule.get(key) and rule[key] not in names:
                raise RuleBookError(
                    f"{folder}: rule {rule['id']!r}: {key}: there is no tolerance {rule[key]!r} in policy.toml; "
                    f"{nearest(rule[key], names)}"
                )
    contract = folder / _CONTRACT  # a user's own book need not have one
    return {
        "policy": policy,
        "rules": rules,
        "contract": compiled_contract(read_toml(contract)) if contract.is_file() else None,
    }


def _schema(folder: Path, name: str) -> dict[str, Any]:
    path = folder / "schemas" / name
    try:
        schema: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise RuleBookError(f"{path}: this schema cannot be read ({error}); restore it.") from error
    return schema


def _cache_file(book_digest: str) -> Path | None:
    """Where the compiled book is kept for this user; None where the system names no home."""
    try:
        base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    except RuntimeError:
        return None
    if not base.is_absolute():
        return None
    return base / "tire-listing-auditor" / f"book-{_FORMAT}-{book_digest[:24]}.json"


def _keep(path: Path, data: dict[str, Any]) -> None:
    """Writes the cache file whole or not at all; a read-only home is no error."""
    import tempfile

    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(data, file, sort_keys=True)
        Path(name).replace(path)
