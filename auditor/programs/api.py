"""The call a program makes about one listing."""

from __future__ import annotations

from collections.abc import Mapping
from os import PathLike

from auditor.programs.books import book_asked
from auditor.programs.one_listing import audit_one
from auditor.programs.request import cells_of
from auditor.programs.verdict import Verdict, verdict_of
from auditor.rulebook.book import RuleBook


def audit_listing(
    listing: Mapping[str, object],
    *,
    book: RuleBook | None = None,
    strict: bool = True,
    rules: str | PathLike[str] | None = None,
    policy: str | PathLike[str] | None = None,
    hold_from: str | None = None,
    market: str | None = None,
) -> Verdict:
    """Audits one listing, given by the contract's field names, and says whether it may be published.

    Values may be texts, numbers, truth values or None; NaN counts as blank.  `rules` names a folder of own rules,
    `policy` a policy file, `hold_from` and `market` are as on the command line; for many listings give `book`, what
    `load_book` made of these, once read.  Raises UsageError for a field that does not exist (or ignores it where
    `strict` is false) and for a value that is no plain one; RuleBookError where the rule book is not whole.

    >>> from auditor import audit_listing
    >>> verdict = audit_listing({"marking": "225/65R17 102H", "max_load_lb": "1,874", "max_load_kg": 805})
    >>> verdict.verdict, dict(verdict.suggestions)
    ('hold', {'max_load_kg': '850'})
    >>> verdict.findings[0].likely_cause
    'digits-transposed'
    >>> audit_listing({"marking": "225/65R17 102H", "max_load": "850"})
    Traceback (most recent call last):
    auditor.errors.FieldError: There is no listing field 'max_load'; did you mean 'max_load_kg'?
    """
    book = book_asked(book, rules, policy, hold_from, market)
    return verdict_of(audit_one(cells_of(listing, strict=strict, own=book.own.fields), book), book.held_grades())
