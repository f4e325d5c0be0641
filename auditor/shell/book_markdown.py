"""The rule book as a page of Markdown: every tolerance and every rule with its reason, source and examples."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any

from auditor.rulebook.book import RuleBook
from auditor.rulebook.rule import Rule
from auditor.shell.book_words import applies_to, compared, tolerance_words

_HEAD = """\
# The rules

Made from the rule files by `auditor book --markdown > rules/README.md`; a test holds the two equal.

*critical* could hurt someone if believed, *major* is the wrong product or wrong facts, *minor* is rounding or form.
`major/critical` is critical where the listing promises more than the marking.
A listing is held from *{hold_from}* on, unless a policy says otherwise.
"""


def reference(book: RuleBook, examples: Mapping[str, Sequence[Mapping[str, Any]]]) -> str:
    """The whole page."""
    parts = [_HEAD.format(hold_from=book.hold_from), _overview(book), _tolerances(book)]
    for subject, rules in groupby(book.rules, key=lambda rule: rule.subject):
        parts.append(f"## {subject[:1].upper() + subject[1:]}\n")
        parts += [_rule(rule, book, examples[rule.id]) for rule in rules]
    return "\n".join(parts)


def _overview(book: RuleBook) -> str:
    lines = ["| rule | grade | what it finds |", "| --- | --- | --- |"]
    lines += [f"| [{rule.id}](#{rule.id}) | {_grade(rule)} | {_cell(rule.title)} |" for rule in book.rules]
    return "\n".join(lines) + "\n"


def _tolerances(book: RuleBook) -> str:
    lines = ["## Tolerances\n", "| tolerance | value and reason | used by |", "| --- | --- | --- |"]
    for name, values in book.tolerances.items():
        users = [rule.id for rule in book.rules if name in (rule.tolerance, rule.allowance)]
        lines.append(f"| {name} | {_cell(tolerance_words(values))} | {', '.join(users) or 'checks'} |")
    return "\n".join(lines) + "\n"


def _rule(rule: Rule, book: RuleBook, examples: Sequence[Mapping[str, Any]]) -> str:
    entries = [("grade", _grade(rule)), ("compares" if rule.demand is None else "demands", compared(rule))]
    entries += [
        (label, f"{name}: {tolerance_words(book.tolerances.get(name, {}))}")
        for label, name in (("tolerance", rule.tolerance), ("allowance", rule.allowance))
        if name
    ]
    entries += [("applies to", text) for text in (applies_to(rule),) if text]
    entries += [("says", f"`{rule.says}`"), ("why", rule.why), ("source", rule.source)]
    lines = [f"### {rule.id}", "", f"{rule.title}.", ""]
    lines += [f"- **{label}**: {text}" for label, text in entries]
    lines += ["", "| example | listing | finds |", "| --- | --- | --- |"]
    lines += [
        f"| {_cell(example['title'])} | {_cell(_listings(example))} | {_cell(_finds(example['finds']))} |"
        for example in examples
    ]
    return "\n".join(lines) + "\n"


def _grade(rule: Rule) -> str:
    return f"{rule.grade}/{rule.grade_when_higher}" if rule.grade_when_higher else rule.grade


def _finds(finds: Any) -> str:
    if isinstance(finds, str):
        return finds
    return ", ".join(f"{name} `{value}`" for name, value in finds.items())


def _listings(example: Mapping[str, Any]) -> str:
    listings = [example["listing"]] if "listing" in example else example["listings"]
    said = "; ".join(", ".join(f"{name} `{value}`" for name, value in listing.items()) for listing in listings)
    return f"{said}, {example['repeat']} times" if "repeat" in example else said


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")
