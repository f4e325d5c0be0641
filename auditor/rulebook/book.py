"""The rule book: rules, tolerances and policy, read from TOML data and checked against their JSON Schemas.

A checked book is kept as one file in the user's cache, keyed by the exact bytes of its sources, so that a
single-listing check neither parses TOML nor loads a schema library.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

from auditor.errors import RuleBookError, UsageError
from auditor.rulebook import files as book_files
from auditor.rulebook.built_in import built_in, load_contract
from auditor.rulebook.characteristics import Characteristic, characteristics_of
from auditor.rulebook.finding import GRADES
from auditor.rulebook.kept import cache_file, keep_book
from auditor.rulebook.listing_fields import Contract, contract_of
from auditor.rulebook.rule import Rule, is_off, rule_of, selectors_of
from auditor.rulebook.tolerances import Tolerances
from auditor.rules_folder import rules_folder
from auditor.trade.tables import Tables, load_tables

MARKETS = ("US", "EU", "all")


@dataclass(frozen=True, slots=True)
class OwnBook:
    """What a retailer's own folder changes; all empty without one."""

    folder: Path | None = None
    added: tuple[str, ...] = ()  # ids of rules
    replaced: tuple[str, ...] = ()
    dropped: tuple[str, ...] = ()
    texts: frozenset[str] = frozenset()  # own fields that hold texts
    measured: Mapping[str, tuple[str, str | None]] = field(default_factory=dict)  # others, with quantity and unit
    tables: tuple[str, ...] = ()
    examples: Mapping[str, tuple[dict[str, Any], ...]] = field(default_factory=dict, repr=False)  # by own rule
    files: Mapping[str, str] = field(default_factory=dict)  # own rule -> the file it stands in
    proven: bool = True  # whether the examples were found to hold before

    @property
    def fields(self) -> frozenset[str]:
        """The names of the own fields."""
        return self.texts | self.measured.keys()


@dataclass(frozen=True, slots=True)
class RuleBook:
    """The rules in force, in rule order, with tolerances, tables and the policy that shaped them."""

    rules: tuple[Rule, ...]
    tolerances: Tolerances
    characteristics: tuple[Characteristic, ...]
    characteristic_of: dict[str, Characteristic]  # by field
    causes: dict[str, dict[str, Any]]  # what each cause is recognized by
    substitute_points: tuple[dict[str, Any], ...]  # what a tire must have to stand in for another one
    tables: Tables
    folder: Path
    sha256: str
    policy_name: str
    policy_sha256: str
    hold_from: str
    market: str
    signed: str = ""  # who signs the letters
    holds_unread: bool = False  # a feed with an unread column that matters is held whole
    switched_off: tuple[str, ...] = ()
    own: OwnBook = field(default_factory=OwnBook)
    contract: Mapping[str, Any] = field(default_factory=dict, repr=False)  # the compiled listing fields
    night: Mapping[str, Any] = field(default_factory=dict)  # limits of runs with a ledger
    loosened: tuple[str, ...] = ()  # what takes from safety beside the built-in book, in words

    def rule(self, rule_id: str) -> Rule:
        """The rule of that id; RuleBookError with the nearest one where there is none."""
        for rule in self.rules:
            if rule.id == rule_id:
                return rule
        raise RuleBookError(
            f"There is no rule {rule_id!r} in force; {book_files.nearest(rule_id, [r.id for r in self.rules])}"
        )

    def taker(self, hits: str) -> Rule | None:
        """The rule in force that takes hits of other rules: those of an outvoted marking, or of a whole column."""
        return next((rule for rule in self.rules if rule.takes == hits), None)

    def with_check(self, check: str) -> Rule | None:
        """The rule in force that a check tells of."""
        return next((rule for rule in self.rules if rule.check == check), None)

    def held_grades(self) -> tuple[str, ...]:
        """The grades that hold a listing."""
        return GRADES[: GRADES.index(self.hold_from) + 1]


def load_book(
    folder: Path | None = None,
    policy: Path | None = None,
    hold_from: str | None = None,
    market: str | None = None,
) -> RuleBook:
    """Reads the built-in rule book, with the own one in `folder` laid over it, under a policy file.

    `hold_from` and `market` override what the policy says.  Raises UsageError for a grade or market that does not
    exist, RuleBookError that names the file, the rule, the key and the reason.  Whether the examples of own rules
    hold is not asked here: see `auditor.programs.books.load_book`.
    """
    hold_from = choice("hold_from", hold_from, GRADES)
    market = choice("market", market, MARKETS)
    own_folder = None if folder is None or folder.resolve() == rules_folder().resolve() else folder
    stamps = ("" if own_folder is None else _stamp(own_folder), _stamp_of_file(policy))
    return _read_book(own_folder, policy, hold_from, market, stamps)


def proof_book(folder: Path) -> RuleBook:
    """An own book as its examples are proven: every rule for every market, as its own table grades it."""
    # Start-up: most runs have no rules of their own.
    from auditor.rulebook.own import laid_over

    data, proven = laid_over(built_in(), folder)
    plain = {**data["policy"], "grade": {}, "off": [], "only": []}
    return _assemble(data, _own_book(data, folder, proven), plain, _digest_of(plain), (None, "all"))


def keep_proven(folder: Path) -> None:
    """Keeps an own book whose examples were found to hold, ready for the next start."""
    # Start-up: most runs have no rules of their own.
    from auditor.rulebook.own import laid_over

    data, _ = laid_over(built_in(), folder)
    keep_book(cache_file(data["digest"]), data)


def choice(what: str, given: str | None, valid: Sequence[str]) -> str | None:
    """The valid spelling of what was given, whatever its case; None where nothing was.  Raises UsageError."""
    if given is None:
        return None
    for known in valid:
        if known.lower() == str(given).strip().lower():
            return known
    raise UsageError(f"{what} {given} is none of {', '.join(valid)}; {book_files.nearest(str(given), valid)}")


def _stamp(folder: Path) -> str:
    """Changes whenever what lies there does, so that a long-lived process never works with what is no more."""
    # Start-up: most runs have no rules of their own.
    from auditor.rulebook.own import own_sources

    return book_files.digest(own_sources(folder))


def _stamp_of_file(path: Path | None) -> str:
    return book_files.digest([path]) if path is not None and path.is_file() else ""


@lru_cache(maxsize=8)
def _read_book(
    folder: Path | None, policy: Path | None, hold_from: str | None, market: str | None, stamps: tuple[str, ...]
) -> RuleBook:
    data, proven = built_in(), True
    if folder is not None:
        # Start-up: most runs have no rules of their own.
        from auditor.rulebook.own import laid_over

        data, proven = laid_over(data, folder)
    digest = _digest_of(data["policy"])
    in_force = data["policy"]
    if policy is not None:
        # Start-up: most runs name no policy.
        from auditor.rulebook.own import merged_policy

        ids = [entry["id"] for entry in data["rules"]]
        given = book_files.read_policy(policy, ids, in_force["tolerance"])
        digest = hashlib.sha256(policy.read_bytes()).hexdigest()
        in_force = merged_policy(json.loads(json.dumps(in_force)), {"name": in_force["name"], **given})
    return _assemble(data, _own_book(data, folder, proven), in_force, digest, (hold_from, market))


def _digest_of(policy: Mapping[str, Any]) -> str:
    return hashlib.sha256(json.dumps(policy, sort_keys=True).encode()).hexdigest()


def _own_book(data: Mapping[str, Any], folder: Path | None, proven: bool) -> OwnBook:
    if folder is None:
        return OwnBook()
    own = data["own"]
    rules = {entry["id"]: entry for entry in data["rules"] if entry.get("own")}
    specs = {row["name"]: row for row in data["contract"]["fields"]}
    kinds = {name: (specs[name]["quantity"], specs[name]["unit"]) for name in own["fields"]}
    return OwnBook(
        folder=folder,
        added=tuple(own["added"]),
        replaced=tuple(own["replaced"]),
        dropped=tuple(own["dropped"]),
        texts=frozenset(name for name, (quantity, _) in kinds.items() if quantity == "text"),
        measured={name: kind for name, kind in kinds.items() if kind[0] != "text"},
        tables=tuple(own["tables"]),
        examples={rule_id: tuple(entry["example"]) for rule_id, entry in rules.items()},
        files={rule_id: entry["file"] for rule_id, entry in rules.items()},
        proven=proven,
    )


def _assemble(
    data: Mapping[str, Any],
    own: OwnBook,
    policy: Mapping[str, Any],
    policy_digest: str,
    asked: tuple[str | None, str | None],
) -> RuleBook:
    """The book in force; `asked` are the grade to hold from and the market where the caller named them."""
    in_market = asked[1] or policy["market"]
    off, only = selectors_of(policy.get("off", [])), selectors_of(policy.get("only", []))
    rules, switched_off = [], []
    for order, entry in enumerate(data["rules"]):
        rule = rule_of(entry, order, policy.get("grade", {}), off, only)
        if is_off(rule, in_market):
            switched_off.append(rule.id)
        else:
            rules.append(rule)
    tables = load_tables(rules_folder() / "tables")
    if own.folder is not None and own.tables:
        tables = load_tables(rules_folder() / "tables", own.folder / "tables", data["digest"])
    characteristics = characteristics_of(data["characteristics"])
    return RuleBook(
        rules=tuple(rules),
        tolerances=Tolerances({name: dict(values) for name, values in policy["tolerance"].items()}),
        characteristics=characteristics,
        characteristic_of={field: one for one in characteristics for field in one.fields},
        causes={cause["name"]: cause for cause in data["causes"]},
        substitute_points=tuple(data["substitute_points"]),
        tables=tables,
        folder=own.folder or rules_folder(),
        sha256=data["digest"],
        policy_name=str(policy["name"]),
        policy_sha256=policy_digest,
        hold_from=asked[0] or policy["hold_from"],
        market=in_market,
        holds_unread=policy["unread"] == "hold",
        signed=str(policy["signed"]),
        switched_off=tuple(switched_off),
        own=own,
        contract=data["contract"],
        night=dict(policy["night"]),
        loosened=_loosened(data, policy),
    )


def _loosened(data: Mapping[str, Any], policy: Mapping[str, Any]) -> tuple[str, ...]:
    base = data.get("base", data)
    if policy == base["policy"] and "loosened" not in data:
        return ()
    # Start-up: nothing is loosened in the built-in book.
    from auditor.rulebook.loosened import loosened_policy

    return (*data.get("loosened", []), *loosened_policy(base["rules"], base["policy"], policy))


def contract_in_force(book: RuleBook) -> Contract:
    """The listing fields of a book: the built-in ones, one object for all of a process, or those of an own book."""
    return load_contract() if book.own.folder is None else contract_of(book.contract)
