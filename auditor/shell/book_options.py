"""The options that choose the rule book in force; the same for every command that has them."""

from __future__ import annotations

import argparse
from pathlib import Path

from auditor.errors import UsageError
from auditor.rulebook.book import RuleBook, load_book
from auditor.rulebook.finding import GRADES

MARKETS = ("US", "EU", "all")


def add_book_options(parser: argparse.ArgumentParser) -> None:
    """Adds --rules, --policy, --market and --hold-from."""
    parser.add_argument("--rules", metavar="DIR", type=Path, help="a rule book of your own")
    parser.add_argument("--policy", metavar="FILE", type=Path, help="a policy file (TOML): tolerances, grades")
    parser.add_argument("--market", metavar="MARKET", help="which regional rules apply: US, EU or all")
    parser.add_argument("--hold-from", metavar="GRADE", help="hold from this grade on: critical, major or minor")


def book_from_options(options: argparse.Namespace) -> RuleBook:
    """The rule book the options ask for.  Raises UsageError or RuleBookError."""
    market = _choice("--market", options.market, MARKETS)
    grade = _choice("--hold-from", options.hold_from, GRADES)
    return load_book(options.rules, options.policy, grade, market)


def _choice(option: str, given: str | None, valid: tuple[str, ...]) -> str | None:
    """The valid spelling of what was given, whatever its case; None where nothing was given."""
    if given is None:
        return None
    for choice in valid:
        if choice.lower() == given.strip().lower():
            return choice
    # Start-up: only a slip of the pen needs the nearest name.
    from auditor.rulebook.files import nearest

    raise UsageError(f"{option} {given} is none of {', '.join(valid)}; {nearest(given, list(valid))}")
