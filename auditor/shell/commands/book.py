"""`auditor book [RULE]`: the rule book in force, one rule with its proof, or whether own rules hold."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from auditor.errors import UsageError
from auditor.shell.book_options import add_book_options, book_from_options

EPILOG = """\
  auditor book                                the rules, by subject
  auditor book load-overstated                one rule with its examples
  auditor book --texts                        the words that texts are read by
  auditor book --policy strict.toml           the book as that policy has it
  auditor book --check our_rules              whether own rules hold

An own rule book that is wrong ends with exit code 2 and one sentence that names
file, rule, key and the nearest valid name."""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("rule", nargs="?", metavar="RULE", help="a rule id; without it all rules are listed")
    parser.add_argument("--texts", action="store_true", help="what is recognized in titles and sales texts")
    add_book_options(parser)
    parser.add_argument("--check", metavar="DIR", type=Path, help="check a folder of own rules with its examples")
    parser.add_argument("--markdown", action="store_true", help="print the whole reference as Markdown")


def run(options: argparse.Namespace) -> int:
    if options.check is not None:
        return _check(options)
    # Start-up: `auditor book --help` needs no rules.
    from auditor.rulebook.own import rules_with_examples
    from auditor.shell.book_words import all_rules, one_rule

    book = book_from_options(options)
    if options.texts:
        # Start-up: the lexicon of texts is large.
        from auditor.shell.text_words import whole_lexicon

        sys.stdout.write(whole_lexicon(book.own.folder))
        return 0
    if options.rule is None and not options.markdown:
        sys.stdout.write(all_rules(book))
        return 0
    rule = None if options.rule is None else book.rule(options.rule)
    examples = {entry["id"]: entry["example"] for entry in rules_with_examples(book.own.folder)}
    if rule is not None:
        sys.stdout.write(one_rule(rule, book, examples[rule.id]))
    else:
        # Start-up: hardly anyone asks for the whole page.
        from auditor.shell.book_markdown import reference

        sys.stdout.write(reference(book, examples))
    return 0


def _check(options: argparse.Namespace) -> int:
    # Start-up: `auditor book --help` needs no rules.
    from auditor.programs.proof import prove
    from auditor.shell.book_words import checked_book

    if options.rules is not None or options.rule is not None or options.markdown:
        raise UsageError("--check DIR checks a folder by itself; leave out RULE, --rules and --markdown.")
    options.rules = options.check
    book = book_from_options(options)
    prove(book, anew=True)
    sys.stdout.write(checked_book(book))
    return 0
