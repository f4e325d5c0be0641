"""A retailer's own rules: a folder that is laid over the built-in book.

A rule of a known id takes the place of the built-in one, others are added, `drop` takes built-in ones away.  Policy,
listing fields, tables and letters of the folder go before the built-in ones; what it leaves out stays.  So a changed
copy of the whole built-in folder is one too.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from auditor.errors import RuleBookError
from auditor.rulebook import files as book_files
from auditor.rulebook.files import CONTRACT, JUDGING, POLICY, nearest
from auditor.rulebook.kept import FORMAT, cache_file, kept_book
from auditor.rulebook.loosened import loosened_rules
from auditor.rulebook.own_fields import own_contract
from auditor.rulebook.references import Names, check_rule
from auditor.rules_folder import rules_folder
from auditor.version import __version__

_FOLDERS = ("tables", "letters", "texts", "schemas")  # the schemas of a copied book are the program's, and left alone


def own_sources(folder: Path) -> list[Path]:
    """The files of an own book, in name order.  Raises RuleBookError for a folder that holds none, or strange ones."""
    if not folder.is_dir():
        raise RuleBookError(f"{folder}: there is no such folder; --rules names a folder with rules of your own.")
    for path in sorted(folder.iterdir()):
        if path.is_dir() and path.name not in _FOLDERS and path.name[:1] not in "._":
            raise RuleBookError(f"{path}: an own rule book has no such folder; {nearest(path.name, _FOLDERS)}")
    tables = {path.name for path in (rules_folder() / "tables").glob("*.csv")}
    for path in sorted((folder / "tables").glob("*.csv")):
        if path.name not in tables:
            raise RuleBookError(f"{path}: there is no such table; {nearest(path.name, tables)}")
    found = [
        path
        for pattern in ("*.toml", "tables/*.csv", "letters/*.toml", "texts/*.toml")
        for path in sorted(folder.glob(pattern))
    ]
    if not found:
        raise RuleBookError(f"{folder}: the folder holds no rules; expected .toml files, tables/, letters/ or texts/.")
    return found


def laid_over(base: Mapping[str, Any], folder: Path) -> tuple[dict[str, Any], bool]:
    """The built-in book with an own one over it, as plain data; and whether its examples were found to hold before.

    What is kept in the cache was: only a proven book is put there.
    """
    digest = book_digest(base, folder)
    kept = kept_book(cache_file(digest), digest)
    if kept is not None:
        return kept, True
    return {"digest": digest, "format": FORMAT, **_lay_over(base, folder)}, False


def book_digest(base: Mapping[str, Any], folder: Path) -> str:
    """SHA-256 over the built-in book, every byte of the own one, and what lays the one over the other."""
    sources = own_sources(folder)
    names = "\0".join(path.relative_to(folder).as_posix() for path in sources)
    program = book_files.digest(sorted(Path(__file__).parent.glob("*.py")))
    parts = (base["digest"], __version__, program, names, book_files.digest(sources))
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()


def rules_with_examples(folder: Path | None) -> list[dict[str, Any]]:
    """Every rule in force with its examples, in rule order: the built-in ones with those of an own book over them."""
    builtin = book_files.read_rules(rules_folder(), examples=True)
    if folder is None or folder == rules_folder():
        return builtin
    own, drop = _own_rules(folder)
    return _merged(builtin, own, drop)


def _lay_over(base: Mapping[str, Any], folder: Path) -> dict[str, Any]:
    builtin = book_files.read_rules(rules_folder(), examples=True, checked=False)
    known = {rule["id"]: rule for rule in builtin}
    own, drop = _own_rules(folder)
    _check_drop(drop, own, list(known))
    own = {rule_id: rule for rule_id, rule in own.items() if _plain(rule) != known.get(rule_id)}
    contract, own_fields = own_contract(base["contract"], folder / CONTRACT)
    rules = _merged(builtin, own, drop)
    policy, tolerances = _policy(base["policy"], folder / POLICY, [rule["id"] for rule in rules], own)
    names = Names({row["name"]: row for row in contract["fields"]}, tolerances)
    for rule in own.values():
        check_rule(rule, folder / rule["file"], names)
    tables = _changed_tables(folder)
    return {
        "policy": policy,
        "rules": [rule if rule["id"] in own else _without_example(rule) for rule in rules],
        "contract": contract,
        **{name: base[name] for name in JUDGING},
        "own": {
            "rules": list(own),
            "added": [rule_id for rule_id in own if rule_id not in known],
            "replaced": [rule_id for rule_id in own if rule_id in known],
            "dropped": sorted(drop),
            "fields": own_fields,
            "tables": tables,
        },
        "base": {"policy": base["policy"], "rules": base["rules"]},
        "loosened": loosened_rules(base["rules"], rules, tables),
    }


def _own_rules(folder: Path) -> tuple[dict[str, dict[str, Any]], dict[str, Path]]:
    """(the own rules by id, each with its file; dropped ids with the file that drops them)."""
    own: dict[str, dict[str, Any]] = {}
    drop: dict[str, Path] = {}
    for path in sorted(folder.glob("*.toml")):
        if path.name in (POLICY, CONTRACT):
            continue
        if path.stem in JUDGING:
            _refuse_change(path)
            continue
        data = book_files.read_rule_file(path)
        for rule in data["rule"]:
            if rule["id"] in own:
                raise RuleBookError(
                    f"{path}: rule {rule['id']!r}: id: it stands in {own[rule['id']]['file']} too; keep one of them."
                )
            own[rule["id"]] = {**rule, "own": True, "file": path.name}
        drop.update(dict.fromkeys(data["drop"], path))
    return own, drop


def _refuse_change(path: Path) -> None:
    """What the program judges by may lie in a copy of the whole book, but is not a retailer's to change."""
    if path.read_bytes() != (rules_folder() / path.name).read_bytes():
        raise RuleBookError(f"{path}: this file of the built-in book cannot be changed by an own one; remove it.")


def _check_drop(drop: Mapping[str, Path], own: Mapping[str, Any], known: Sequence[str]) -> None:
    for rule_id, path in drop.items():
        if rule_id not in known:
            raise RuleBookError(f"{path}: drop: there is no built-in rule {rule_id!r}; {nearest(rule_id, known)}")
        if rule_id in own:
            raise RuleBookError(f"{path}: drop: rule {rule_id!r} is dropped and given at once; keep one of the two.")


def _merged(
    builtin: Sequence[dict[str, Any]], own: Mapping[str, dict[str, Any]], drop: Mapping[str, Path]
) -> list[dict[str, Any]]:
    """An own rule stands where the built-in one stood; added ones come last among those of their subject."""
    kept = [own.get(rule["id"], rule) for rule in builtin if rule["id"] not in drop]
    ids = {rule["id"] for rule in builtin}
    return book_files.by_subject([*kept, *(rule for rule_id, rule in own.items() if rule_id not in ids)])


def _policy(
    base: Mapping[str, Any], path: Path, rule_ids: list[str], own: Mapping[str, dict[str, Any]]
) -> tuple[dict[str, Any], list[str]]:
    """(the policy of the own folder over the built-in one, the names of all tolerances)."""
    policy: dict[str, Any] = json.loads(json.dumps(base))
    if not path.is_file():
        return policy, list(base["tolerance"])
    used = [rule[key] for rule in own.values() for key in ("tolerance", "allowance") if rule.get(key)]
    given = book_files.read_policy(path, rule_ids, [*base["tolerance"], *used])  # one that no rule uses is a slip
    return merged_policy(policy, given), list(policy["tolerance"])


def merged_policy(policy: dict[str, Any], given: Mapping[str, Any]) -> dict[str, Any]:
    """`policy`, changed by what another one gives."""
    for key in ("name", "hold_from", "market", "unread", "signed"):
        policy[key] = given.get(key, policy[key])
    for name, values in given.get("tolerance", {}).items():
        policy["tolerance"].setdefault(name, {}).update(values)
    policy["night"] = {**policy.get("night", {}), **given.get("night", {})}
    if "grade" in given:
        policy["grade"] = {**policy.get("grade", {}), **given["grade"]}
    for key in (name for name in ("off", "only") if name in given):
        policy[key] = policy.get(key, []) + [line for line in given.get(key, []) if line not in policy.get(key, [])]
    return policy


def _changed_tables(folder: Path) -> list[str]:
    """The names of the tables that say something else than the built-in ones."""
    return [
        path.name
        for path in sorted((folder / "tables").glob("*.csv"))
        if path.read_bytes() != (rules_folder() / "tables" / path.name).read_bytes()
    ]


def _plain(rule: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in rule.items() if key not in ("own", "file")}


def _without_example(rule: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in rule.items() if key != "example"}
