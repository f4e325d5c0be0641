"""The rule book: rules, tolerances and policy, read from TOML data and checked against their JSON Schemas.

A checked book is kept as one JSON file in the user's cache, keyed by the exact bytes of its sources, so that a
single-listing check neither parses TOML nor loads a schema library.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from auditor.errors import RuleBookError
from auditor.rulebook import files as book_files
from auditor.rulebook.finding import GRADES
from auditor.rules_folder import rules_folder
from auditor.trade.tables import Tables, load_tables

# The order of subjects is the order in which findings of one record are listed.
SUBJECTS = (
    "marking",
    "columns",
    "load",
    "speed",
    "size",
    "load range",
    "pressure",
    "quantities",
    "us grading",
    "season",
    "eu label",
    "identity",
    "peers",
)
GROUPS = ("marking", "units", "plausibility")  # which rule speaks where two of one grade meet on a cell


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
    off_for: tuple[Selector, ...] = ()
    only_for: tuple[Selector, ...] = ()


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


@lru_cache(maxsize=8)
def load_book(
    folder: Path | None = None,
    policy: Path | None = None,
    hold_from: str | None = None,
    market: str | None = None,
) -> RuleBook:
    """Reads the rule book in `folder` (default: the program's own) under a policy file.

    `hold_from` and `market` override what the policy says.  Raises RuleBookError that names the file, the rule,
    the key and the reason.
    """
    where = folder or rules_folder()
    sources = book_files.sources(where)
    digest = book_files.digest(sources)
    compiled = book_files.compiled(where, digest)
    own = compiled["policy"]
    given: dict[str, Any] = {}
    policy_digest = hashlib.sha256(json.dumps(own, sort_keys=True).encode()).hexdigest()
    if policy is not None:
        given = book_files.read_policy(where, policy, [entry["id"] for entry in compiled["rules"]], own)
        policy_digest = hashlib.sha256(policy.read_bytes()).hexdigest()
    return _assemble(where, digest, compiled, given, policy_digest, hold_from, market)


def _assemble(
    folder: Path,
    digest: str,
    compiled: dict[str, Any],
    given: dict[str, Any],
    policy_digest: str,
    hold_from: str | None,
    market: str | None,
) -> RuleBook:
    own = compiled["policy"]
    tolerances = {name: dict(values) for name, values in own["tolerance"].items()}
    for name, values in given.get("tolerance", {}).items():
        tolerances.setdefault(name, {}).update(values)
    grades = {**own.get("grade", {}), **given.get("grade", {})}
    in_market = market or given.get("market") or own["market"]
    off = _selectors(own.get("off", [])) + _selectors(given.get("off", []))
    only = _selectors(own.get("only", [])) + _selectors(given.get("only", []))
    rules, switched_off = [], []
    for order, entry in enumerate(compiled["rules"]):
        rule = _rule(entry, order, grades, off, only)
        if _is_off(rule, in_market):
            switched_off.append(rule.id)
        else:
            rules.append(rule)
    return RuleBook(
        rules=tuple(rules),
        tolerances=tolerances,
        tables=load_tables(folder / "tables"),
        folder=folder,
        sha256=digest,
        policy_name=str(given.get("name") or own["name"]),
        policy_sha256=policy_digest,
        hold_from=hold_from or given.get("hold_from") or own["hold_from"],
        market=in_market,
        switched_off=tuple(switched_off),
    )


def _rule(entry: dict[str, Any], order: int, grades: dict[str, str], off: list[Selector], only: list[Selector]) -> Rule:
    graded_up = entry.get("grade_when_higher")
    grade = grades.get(entry["id"], entry["grade"])
    if graded_up is not None and GRADES.index(graded_up) > GRADES.index(grade):
        graded_up = grade
    return Rule(
        id=entry["id"],
        order=order,
        subject=entry["subject"],
        title=entry["title"],
        grade=grade,
        grade_when_higher=graded_up,
        kind=entry["kind"],
        group=entry["group"],
        pairs=tuple(Pair(**pair) for pair in entry.get("pairs", [])),
        finds=entry.get("finds", "differs"),
        tolerance=entry.get("tolerance", ""),
        allowance=entry.get("allowance", ""),
        check=entry.get("check", ""),
        families=tuple(entry.get("families", [])),
        not_families=tuple(entry.get("not_families", [])),
        markets=tuple(entry.get("markets", [])),
        says=entry["says"],
        why=entry["why"],
        source=entry["source"],
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
