"""The rule book that a program or command asks for: read, laid over, and its own rules proven by their examples."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from auditor.errors import UsageError
from auditor.rulebook import book as rulebook
from auditor.rulebook.book import RuleBook

if TYPE_CHECKING:
    from os import PathLike


_PROVEN: set[str] = set()  # own books of which this process knows that their examples hold


def load_book(
    rules: str | PathLike[str] | None = None,
    policy: str | PathLike[str] | None = None,
    hold_from: str | None = None,
    market: str | None = None,
) -> RuleBook:
    """The rule book in force: the built-in one, with a folder of own rules laid over it, under a policy file.

    `hold_from` (critical, major or minor) and `market` (US, EU or all) override what the policy says.
    Raises UsageError for a grade or market that does not exist; RuleBookError, which names file, rule, key and the
    nearest valid name, for a book that is not whole, or whose own examples come out otherwise.

    >>> from auditor import load_book
    >>> load_book(hold_from="critical").held_grades()
    ('critical',)
    >>> load_book(market="EUR")
    Traceback (most recent call last):
    auditor.errors.UsageError: market EUR is none of US, EU, all; did you mean 'EU'?
    """
    folder = None if rules is None else Path(rules)
    book = rulebook.load_book(folder, None if policy is None else Path(policy), hold_from, market)
    if book.own.folder is not None and book.sha256 not in _PROVEN:
        # Start-up: most runs have no rules of their own.
        from auditor.programs.proof import prove

        prove(book)
        _PROVEN.add(book.sha256)
    return book


def book_asked(
    book: RuleBook | None = None,
    rules: str | PathLike[str] | None = None,
    policy: str | PathLike[str] | None = None,
    hold_from: str | None = None,
    market: str | None = None,
) -> RuleBook:
    """The book of a call: the one it was given, or the one that its keywords name."""
    if book is None:
        return load_book(rules, policy, hold_from, market)
    for name, given in (("rules", rules), ("policy", policy), ("hold_from", hold_from), ("market", market)):
        if given is not None:
            raise UsageError(f"{name} and book were both given; a book has its own {name}, so leave one of them out.")
    return book
