"""The options that choose the rule book in force; the same for every command that has them."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from auditor.outputs.headline import safety_loosened
from auditor.programs.books import load_book
from auditor.rulebook.book import MARKETS, RuleBook, choice
from auditor.rulebook.finding import GRADES


def add_book_options(parser: argparse.ArgumentParser) -> None:
    """Adds --rules, --policy, --market and --hold-from."""
    parser.add_argument("--rules", metavar="DIR", type=Path, help="a folder of own rules, laid over the built-in ones")
    parser.add_argument("--policy", metavar="FILE", type=Path, help="a policy file (TOML): tolerances, grades")
    parser.add_argument("--market", metavar="MARKET", help="which regional rules apply: US, EU or all")
    parser.add_argument("--hold-from", metavar="GRADE", help="hold from this grade on: critical, major or minor")


def book_from_options(options: argparse.Namespace) -> RuleBook:
    """The rule book the options ask for.  Raises UsageError or RuleBookError."""
    return load_book(
        options.rules,
        options.policy,
        choice("--hold-from", options.hold_from, GRADES),
        choice("--market", options.market, MARKETS),
    )


def say_loosened(book: RuleBook) -> None:
    """Says on the error stream what own rules or a policy take from safety."""
    if book.loosened:
        print(f"auditor: {safety_loosened(book.loosened)}", file=sys.stderr)
