"""The rule book in words for a terminal of 80 columns: all rules in one table, or one rule with its proof."""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import fill
from typing import Any

from auditor.rulebook.book import RuleBook
from auditor.rulebook.demands import demand_words
from auditor.rulebook.rule import Rule

_WIDTH = 80
_LABEL = 13


def all_rules(book: RuleBook) -> str:
    """One line per rule: id, grade (and the grade it can rise to), what it finds; by subject."""
    lines = [
        f"Rule book of {len(book.rules)} rules; policy {book.policy_name!r}, market {book.market}, "
        f"held from {book.hold_from} on."
    ]
    subject = ""
    for rule in book.rules:
        if rule.subject != subject:
            subject = rule.subject
            lines += ["", subject]
        grade = f"{rule.grade}/{rule.grade_when_higher}" if rule.grade_when_higher else rule.grade
        lines.append(f"  {rule.id:<27} {grade:<15} {_cut(rule.title, _WIDTH - 46)}")
    for said in _changes(book):
        lines += ["", fill(said, _WIDTH, break_on_hyphens=False)]
    lines += ["", "`auditor book RULE` explains one rule. major/critical: critical where more is promised."]
    return "\n".join(lines) + "\n"


def _changes(book: RuleBook) -> list[str]:
    """What own rules, policy and market change of the built-in book, a sentence for each kind."""
    changed = (
        ("Switched off by policy or market", book.switched_off),
        ("Own rules", book.own.added),
        ("Own rules in place of built-in ones", book.own.replaced),
        ("Dropped", book.own.dropped),
        ("Own fields", sorted(book.own.fields)),
        ("Own tables", book.own.tables),
        ("Safety is loosened", book.loosened),
    )
    return [f"{what}: {'; '.join(names)}." for what, names in changed if names]


def checked_book(book: RuleBook) -> str:
    """That an own rule book holds, and what it is."""
    own = book.own
    rules, examples = len(own.files), sum(map(len, own.examples.values()))
    lines = [
        f"{own.folder}: the rule book holds; {_many(rules, 'own rule')} with {_many(examples, 'example')}, "
        f"{_many(len(own.dropped), 'rule')} dropped, {_many(len(own.fields), 'own field')}."
    ]
    return "\n".join(fill(line, _WIDTH, break_on_hyphens=False) for line in [*lines, *_changes(book)]) + "\n"


def _many(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def one_rule(rule: Rule, book: RuleBook, examples: list[Mapping[str, Any]]) -> str:
    """Everything the book says of one rule."""
    grade = f"{rule.grade}; {rule.grade_when_higher} where more is promised" if rule.grade_when_higher else rule.grade
    what = "compares" if rule.demand is None else "demands"
    entries = [("grade", grade), ("subject", rule.subject), (what, compared(rule))]
    if rule.own:
        entries.append(("own rule", book.own.files[rule.id]))
    entries += [
        (label, f"{name}: {tolerance_words(book.tolerances.get(name, {}))}")
        for label, name in (("tolerance", rule.tolerance), ("allowance", rule.allowance))
        if name
    ]
    entries += [("applies to", text) for text in (applies_to(rule),) if text]
    entries += [("says", rule.says), ("why", rule.why), ("source", rule.source)]
    lines = [f"{rule.id}: {rule.title}", ""]
    lines += [_entry(label, text) for label, text in entries]
    lines += ["", "Examples:"]
    for example in examples:
        lines += _example(example)
    return "\n".join(lines) + "\n"


def compared(rule: Rule) -> str:
    """What a rule holds against what."""
    if rule.demand is not None:
        return demand_words(rule.kind, rule.demand)
    if not rule.pairs:
        return f"by the check {rule.check}"
    finds = {"above": "above", "below": "below", "between": "beside", "differs": "unlike"}.get(rule.finds, rule.finds)
    return "; ".join(f"{pair.stated} {finds} {pair.derived or pair.other}" for pair in rule.pairs)


def tolerance_words(values: Mapping[str, Any]) -> str:
    """A tolerance of the policy in words, its reason last."""
    parts = []
    for name, value in values.items():
        if name == "percent_in":
            parts += [f"{percent:g} % in {family}" for family, percent in value.items()]
        elif name.endswith("_in"):
            parts += [f"{amount:g} {name.removesuffix('_in')} in {family}" for family, amount in value.items()]
        elif name == "mile_km":
            parts.append(f"where a mile was taken for {value:g} km")
        elif name == "digits":
            parts.append(f"{value:g} of the last stated digit")
        elif name.startswith("percent"):
            parts.append(f"{value:g} %{name.removeprefix('percent').replace('_', ' ')}")
        elif name != "why":
            parts.append(f"{value:g} {name}" if name != "absolute" else f"{value:g}")
    text = ", ".join(parts) or "exact"
    return f"{text}. {values['why']}" if values.get("why") else text


def applies_to(rule: Rule) -> str:
    """For whom a rule runs; empty for everyone."""
    parts = []
    if rule.families:
        parts.append(f"families {', '.join(rule.families)}")
    if rule.not_families:
        parts.append(f"all families but {', '.join(rule.not_families)}")
    if rule.markets:
        parts.append(f"market {', '.join(rule.markets)}")
    for selector in rule.off_for:
        parts.append(f"switched off for {_selected(selector.suppliers, selector.families, selector.markets)}")
    for selector in rule.only_for:
        parts.append(f"only for {_selected(selector.suppliers, selector.families, selector.markets)}")
    return "; ".join(parts)


def _selected(*choices: tuple[str, ...]) -> str:
    return ", ".join(name for names in choices for name in names) or "everyone"


def _entry(label: str, text: str) -> str:
    return fill(
        text,
        _WIDTH,
        initial_indent=f"  {label:<{_LABEL}}",
        subsequent_indent=" " * (_LABEL + 2),
        break_on_hyphens=False,
    )


def _example(example: Mapping[str, Any]) -> list[str]:
    finds = example["finds"]
    told = finds if isinstance(finds, str) else ", ".join(f"{name} {value}" for name, value in finds.items())
    lines = [fill(f"{example['title']}: finds {told}", _WIDTH, initial_indent="  ", subsequent_indent="    ")]
    for listing in _listings(example):
        words = ", ".join(f"{name} {value!r}" for name, value in listing.items())
        lines.append(fill(words, _WIDTH, initial_indent="    ", subsequent_indent="      ", break_on_hyphens=False))
    return lines


def _listings(example: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    if "listing" in example:
        return [example["listing"]]
    return list(example.get("listings", []))


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else text[: longest - 3].rstrip() + "..."
