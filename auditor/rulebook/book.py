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
from typing import Any, NamedTuple

from auditor.errors import RuleBookError, UsageError
from auditor.rulebook import files as book_files
from auditor.rulebook.built_in import built_in
from auditor.rulebook.demands import Demand, demand_of, detail_words
from auditor.rulebook.finding import GRADES
from auditor.rulebook.kept import cache_file, keep_book
from auditor.rulebook.subjects import GROUPS
from auditor.rules_folder import rules_folder
from auditor.trade.tables import Tables, load_tables

MARKETS = ("US", "EU", "all")


class Pair(NamedTuple):
    """One comparison of a rule: a stated field with a derived fact, or with another stated field."""

    stated: str
    derived: str = ""
    other: str = ""


class Selector(NamedTuple):
    """Whom a policy line is about; an empty tuple means everyone."""

    rule: str
    suppliers: tuple[str, ...] = ()
    families: tuple[str, ...] = ()
    markets: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of the book, with everything a report says about it."""

    id: str
    order: int
    subject: str
    title: str
    grade: str
    grade_when_higher: str | None
    kind: str
    group: str
    pairs: tuple[Pair, ...]
    finds: str
    tolerance: str
    allowance: str
    check: str
    families: tuple[str, ...]
    not_families: tuple[str, ...]
    markets: tuple[str, ...]
    says: str
    why: str
    source: str
    demand: Demand | None = None  # what a rule that looks at a field by itself asks of it
    own: bool = False  # of a retailer's own book
    off_for: tuple[Selector, ...] = ()
    only_for: tuple[Selector, ...] = ()


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
    tolerances: dict[str, dict[str, Any]]
    tables: Tables
    folder: Path
    sha256: str
    policy_name: str
    policy_sha256: str
    hold_from: str
    market: str
    switched_off: tuple[str, ...] = ()
    own: OwnBook = field(default_factory=OwnBook)
    contract: Mapping[str, Any] = field(default_factory=dict, repr=False)  # the compiled listing fields
    loosened: tuple[str, ...] = ()  # what takes from safety beside the built-in book, in words

    def rule(self, rule_id: str) -> Rule:
        """The rule of that id; RuleBookError with the nearest one where there is none."""
        for rule in self.rules:
            if rule.id == rule_id:
                return rule
        raise RuleBookError(
            f"There is no rule {rule_id!r} in force; {book_files.nearest(rule_id, [r.id for r in self.rules])}"
        )

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
    off, only = _selectors(policy.get("off", [])), _selectors(policy.get("only", []))
    rules, switched_off = [], []
    for order, entry in enumerate(data["rules"]):
        rule = _rule(entry, order, policy.get("grade", {}), off, only)
        if _is_off(rule, in_market):
            switched_off.append(rule.id)
        else:
            rules.append(rule)
    tables = load_tables(rules_folder() / "tables")
    if own.folder is not None and own.tables:
        tables = load_tables(rules_folder() / "tables", own.folder / "tables", data["digest"])
    return RuleBook(
        rules=tuple(rules),
        tolerances={name: dict(values) for name, values in policy["tolerance"].items()},
        tables=tables,
        folder=own.folder or rules_folder(),
        sha256=data["digest"],
        policy_name=str(policy["name"]),
        policy_sha256=policy_digest,
        hold_from=asked[0] or policy["hold_from"],
        market=in_market,
        switched_off=tuple(switched_off),
        own=own,
        contract=data["contract"],
        loosened=_loosened(data, policy),
    )


def _loosened(data: Mapping[str, Any], policy: Mapping[str, Any]) -> tuple[str, ...]:
    base = data.get("base", data)
    if policy == base["policy"] and "loosened" not in data:
        return ()
    # Start-up: nothing is loosened in the built-in book.
    from auditor.rulebook.loosened import loosened_policy

    return (*data.get("loosened", []), *loosened_policy(base["rules"], base["policy"], policy))


def _rule(entry: dict[str, Any], order: int, grades: dict[str, str], off: list[Selector], only: list[Selector]) -> Rule:
    graded_up = entry.get("grade_when_higher")
    grade = grades.get(entry["id"], entry["grade"])
    if graded_up is not None and GRADES.index(graded_up) > GRADES.index(grade):
        graded_up = grade
    demand = demand_of(entry)
    return Rule(
        id=entry["id"],
        order=order,
        subject=entry["subject"],
        title=entry["title"],
        grade=grade,
        grade_when_higher=graded_up,
        kind=entry["kind"],
        group=entry.get("group", GROUPS[-1]),
        pairs=tuple(Pair(**pair) for pair in entry.get("pairs", [])),
        finds=entry.get("finds", "differs"),
        tolerance=entry.get("tolerance", ""),
        allowance=entry.get("allowance", ""),
        check=entry.get("check", ""),
        families=tuple(entry.get("families", [])),
        not_families=tuple(entry.get("not_families", [])),
        markets=tuple(entry.get("markets", [])),
        says=entry["says"].replace("{detail}", detail_words(entry["kind"], demand)) if demand else entry["says"],
        why=entry["why"],
        source=entry["source"],
        demand=demand,
        own=bool(entry.get("own")),
        off_for=tuple(s for s in off if s.rule == entry["id"]),
        only_for=tuple(s for s in only if s.rule == entry["id"]),
    )


def _selectors(lines: list[dict[str, Any]]) -> list[Selector]:
    return [
        Selector(
            line["rule"],
            tuple(line.get("suppliers", [])),
            tuple(line.get("families", [])),
            tuple(line.get("markets", [])),
        )
        for line in lines
    ]


def _is_off(rule: Rule, market: str) -> bool:
    """Whether a rule never runs under this market and policy; lines about some suppliers or families do not count."""
    if rule.markets and market != "all" and market not in rule.markets:
        return True
    for selector in rule.off_for:
        everywhere = not selector.suppliers and not selector.families
        if everywhere and (not selector.markets or market in selector.markets):
            return True
    return any(s.markets and market not in s.markets for s in rule.only_for if not s.suppliers and not s.families)
