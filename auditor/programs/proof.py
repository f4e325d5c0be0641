"""Proves an own rule book: what its rules name can be read and run, and every example comes out as it says.

The examples of an own rule run through the single-listing path and as a feed, under the own policy, for all markets.
What a policy grades or switches off has no part in it: an example proves the rule, not who it is for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from auditor.errors import RuleBookError
from auditor.judging.checks import CHECKS
from auditor.judging.demands import is_measured, value_of
from auditor.judging.own_checks import own_check, own_check_names
from auditor.outputs.languages import languages, load_wordings
from auditor.programs.one_listing import audit_one
from auditor.rulebook.book import RuleBook, keep_proven, proof_book
from auditor.rulebook.built_in import built_in
from auditor.rulebook.files import nearest
from auditor.rulebook.references import listings_of
from auditor.rulebook.rule import Rule

_ALSO = "also on this cell: "


def prove(book: RuleBook, *, anew: bool = False) -> None:
    """Raises RuleBookError where an own book does not hold what it says.

    A book that does is kept, and not asked again unless `anew`; only what own checks in Python do may change behind
    its back.
    """
    checks = own_checks_of(book)
    folder = book.own.folder
    asked = anew or not book.own.proven
    if folder is None or not (asked or checks):
        return
    plain = proof_book(folder)
    if not asked:
        for rule in checks:
            _prove_singly(rule, plain)
        return
    _prove_whole(plain)
    keep_proven(folder)


def own_checks_of(book: RuleBook) -> list[Rule]:
    """The rules that run a check of an installed package.  RuleBookError where there is no such check."""
    for rule in book.rules:
        if rule.kind in ("across", "column"):
            _known_check(book, rule, [one["check"] for one in built_in()["rules"] if one["kind"] == rule.kind])
    rules = [rule for rule in book.rules if rule.kind == "check" and rule.check not in CHECKS]
    for rule in rules:
        if own_check(rule.check) is None:
            _known_check(book, rule, [*CHECKS, *own_check_names()])
    return rules


def _known_check(book: RuleBook, rule: Rule, names: list[str]) -> None:
    if rule.check not in names:
        raise _wrong(book, rule, "check", f"there is no check {rule.check!r}; {nearest(rule.check, names)}")


def _prove_whole(book: RuleBook) -> None:
    for language in languages(book.own.folder):
        load_wordings(language, book.own.folder)
    own = [rule for rule in book.rules if rule.own]
    for rule in own:
        _check_values(rule, book)
    for rule in own:
        _prove_singly(rule, book)
    _prove_in_feeds(own, book)


def _check_values(rule: Rule, book: RuleBook) -> None:
    """Whether the values that a rule names can be read as cells of its field."""
    demand = rule.demand
    if demand is None:
        return
    named = [("values", demand.field, text) for text in demand.values]
    named += [(key, demand.field, text) for key, text in (("least", demand.least), ("most", demand.most)) if text]
    named += [("when", one.field, text) for one in demand.when for text in one.equals]
    for key, field, text in named:
        if is_measured(book, field) and not value_of(book, field, text) >= 0.0:
            raise _wrong(book, rule, key, f"{text!r} cannot be read as a value of {field}, so no cell ever equals it.")
    if demand.least and demand.most:
        least, most = (value_of(book, demand.field, text) for text in (demand.least, demand.most))
        if least > most:
            raise _wrong(book, rule, "least", f"{demand.least} is more than {demand.most}, so that nothing could hold.")


def _prove_singly(rule: Rule, book: RuleBook) -> None:
    for example in book.own.examples.get(rule.id, ()):
        listings = listings_of(example)
        if len(listings) == 1:
            findings = [
                {name: getattr(finding, name) for name in finding.__dataclass_fields__}
                for finding in audit_one(listings[0], book).findings
            ]
            _compare(rule, book, example, findings)


def _prove_in_feeds(rules: Sequence[Rule], book: RuleBook) -> None:
    """The same examples as records of a feed, and those that need more than one listing."""
    # Start-up: only a book that was not proven before needs the array libraries.
    from auditor.programs.proof_feeds import block_findings, feed_findings

    cases = [(rule, example) for rule in rules for example in book.own.examples.get(rule.id, ())]
    single = [(rule, example) for rule, example in cases if len(listings_of(example)) == 1]
    found = block_findings([listings_of(example)[0] for _, example in single], book)
    for (rule, example), findings in zip(single, found, strict=True):
        _compare(rule, book, example, findings)
    for rule, example in cases:
        if len(listings_of(example)) > 1:
            _compare(rule, book, example, feed_findings(listings_of(example), book))


def _compare(rule: Rule, book: RuleBook, example: Mapping[str, Any], findings: Sequence[Mapping[str, Any]]) -> None:
    """Whether an example comes out as it says; a rule that another one outranks on its cell has found it too."""
    wanted = example["finds"]
    mine = [finding for finding in findings if finding["rule"] == rule.id]
    also = [finding for finding in findings if rule.id in also_on(str(finding["evidence"]))]
    key = f"example {example['title']!r}"
    if wanted == "nothing":
        if mine or also:
            raise _wrong(book, rule, key, f"it should find nothing, but finds {_told((mine + also)[0])}.")
        return
    there = [
        finding
        for finding in mine + also
        if finding["field"] == wanted["field"] and wanted.get("record") in (None, finding.get("record"))
    ]
    if not there:
        others = f"only {_told((mine + also)[0])}" if mine or also else "nothing"
        raise _wrong(book, rule, key, f"it should find {wanted['field']}, but finds {others}.")
    for name, value in wanted.items():
        column = "likely_cause" if name == "cause" else name
        if there[0]["rule"] == rule.id and name not in ("field", "record") and str(there[0][column]) != str(value):
            said = there[0][column]
            raise _wrong(book, rule, key, f"{name} should be {value!r}, but is {said!r}.")


def also_on(evidence: str) -> tuple[str, ...]:
    """The rules that a finding's evidence names beside its own."""
    clauses = [clause.removeprefix(_ALSO) for clause in evidence.split("; ") if clause.startswith(_ALSO)]
    return tuple(rule for clause in clauses for rule in clause.split(", "))


def _told(finding: Mapping[str, Any]) -> str:
    return f"{finding['field']} {finding['stated']!r} ({finding['rule']}, {finding['grade']})"


def _wrong(book: RuleBook, rule: Rule, key: str, reason: str) -> RuleBookError:
    folder = book.own.folder or book.folder
    return RuleBookError(f"{folder / book.own.files.get(rule.id, '')}: rule {rule.id!r}: {key}: {reason}")
