"""The built-in rule book: read from its files, checked, and kept as one file that is quick to load."""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from auditor.errors import RuleBookError
from auditor.rulebook.files import (
    CONTRACT,
    JUDGING,
    POLICY,
    check,
    digest,
    nearest,
    read_rules,
    read_toml,
    schema,
    sources,
)
from auditor.rulebook.kept import FORMAT, SHIPPED, cache_file, keep_book, kept_book, sealed
from auditor.rulebook.listing_fields import Contract, contract_of
from auditor.rules_folder import rules_folder


@lru_cache(maxsize=1)
def built_in() -> dict[str, Any]:
    """The built-in rule book as plain data; see `compiled`."""
    where = rules_folder()
    return compiled(where, digest(sources(where)))


@lru_cache(maxsize=1)
def load_contract() -> Contract:
    """The built-in listing fields.  Raises RuleBookError."""
    return contract_of(built_in()["contract"])


@cache
def words_of_headers(groups: frozenset[str]) -> frozenset[str]:
    """The words that headers of some groups of fields are made of."""
    phrases = load_contract().phrases
    return frozenset(
        word for phrase, named in phrases.items() if not groups.isdisjoint(named) for word in phrase.split()
    )


def schema_names() -> list[str]:
    """The names of the published schemas."""
    return sorted(path.stem for path in (rules_folder() / "schemas").glob("*.json"))


def published_schema(name: str) -> dict[str, Any]:
    """A JSON Schema that other programs may lean on, with every name filled in.  Raises RuleBookError."""
    # Start-up: one listing needs no schema.
    from auditor.rulebook.schemas import read_schema

    fields = {spec.name: spec.says for spec in load_contract().fields.values()}
    return read_schema(rules_folder(), name, {"fields": fields})


def compiled(folder: Path, book_digest: str) -> dict[str, Any]:
    """The built-in book, checked, as plain data: `rules` (in order), `policy`, `contract`, and what judging goes by.

    Taken from the file that a wheel carries or from the user's cache, where these fit the sources and may be trusted.
    """
    cached = cache_file(book_digest)
    for path, owner in ((folder / SHIPPED, _owner(folder)), (cached, None)):
        kept = kept_book(path, book_digest, owner=owner)
        if kept is not None:
            return kept
    data = {"digest": book_digest, "format": FORMAT, **_compile(folder)}
    keep_book(cached, data)
    return data


def _owner(folder: Path) -> int:
    """Who owns the rule files: whoever could change those needs no compiled one to do it."""
    return (folder / POLICY).stat().st_uid


def write_shipped(folder: Path) -> None:
    """Writes the compiled form beside the rule files of a wheel that is being built.

    The schemas are not asked here, for a build has no schema library: the tests hold every rule file to them.
    """
    data = {"digest": digest(sources(folder)), "format": FORMAT, **_compile(folder, checked=False)}
    (folder / SHIPPED).write_bytes(sealed(data))


def _compile(folder: Path, *, checked: bool = True) -> dict[str, Any]:
    # Start-up: a book that is kept has its headers folded.
    from auditor.rulebook.header_words import compiled_contract

    policy = read_toml(folder / "policy.toml")
    if checked:
        check(policy, schema("policy"), folder / "policy.toml")
    rules = read_rules(folder, checked=checked)
    names = list(policy["tolerance"])
    for rule in rules:
        for key in ("tolerance", "allowance"):
            if rule.get(key) and rule[key] not in names:
                raise RuleBookError(
                    f"{folder}: rule {rule['id']!r}: {key}: there is no tolerance {rule[key]!r} in policy.toml; "
                    f"{nearest(rule[key], names)}"
                )
    return {
        "policy": policy,
        "rules": rules,
        "contract": compiled_contract(read_toml(folder / CONTRACT)),
        **{name: _read_judging(folder, name, checked) for name in JUDGING},
    }


def _read_judging(folder: Path, name: str, checked: bool) -> list[dict[str, Any]]:
    """What markings settle, or how mistakes come about."""
    path = folder / f"{name}.toml"
    data = read_toml(path)
    if checked:
        check(data, schema(name), path)
    listed: list[dict[str, Any]] = data[name.removesuffix("s")]
    return listed
