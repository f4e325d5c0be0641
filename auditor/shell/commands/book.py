"""`auditor book [RULE]`: the rule book in force, or one rule with its proof."""

from __future__ import annotations

import argparse
import sys

from auditor.shell.book_options import add_book_options, book_from_options

EPILOG = """\
  auditor book                                the rules, by subject
  auditor book load-overstated                one rule with its examples
  auditor book --policy strict.toml           the book as that policy has it"""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("rule", nargs="?", metavar="RULE", help="a rule id; without it all rules are listed")
    add_book_options(parser)


def run(options: argparse.Namespace) -> int:
    # Start-up: `auditor book --help` needs no rules.
    from auditor.rulebook.files import read_rules
    from auditor.shell.book_words import all_rules, one_rule

    book = book_from_options(options)
    if options.rule is None:
        sys.stdout.write(all_rules(book))
        return 0
    rule = book.rule(options.rule)
    entry = next(entry for entry in read_rules(book.folder, examples=True) if entry["id"] == rule.id)
    sys.stdout.write(one_rule(rule, book, entry["example"]))
    return 0
