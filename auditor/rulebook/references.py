"""Whether everything that an own rule names exists, fits together, and can ever come about."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from auditor.errors import RuleBookError
from auditor.rulebook.demands import misplaced_key
from auditor.rulebook.files import nearest
from auditor.trade.codes import is_code
from auditor.trade.facts import CONVERTED, FACTS
from auditor.trade.family import FAMILIES
from auditor.trade.units import unit_of

TEXTS = ("text", "marking")
PLACES = (
    "stated", "derived", "field", "column", "marking", "size", "load_index", "speed_symbol", "load_range", "rim",
    "other", "detail", "advice",
)  # fmt: skip


class Names(NamedTuple):
    """What rules may name: listing fields (each with its `quantity` and `unit`) and tolerances."""

    fields: Mapping[str, Mapping[str, Any]]
    tolerances: Iterable[str]


class _Checked(NamedTuple):
    """A rule being checked, and where it stands."""

    rule: Mapping[str, Any]
    path: Path
    names: Names

    def wrong(self, key: str, reason: str) -> RuleBookError:
        return RuleBookError(f"{self.path}: rule {self.rule['id']!r}: {key}: {reason}")

    def known(self, key: str, what: str, name: str, valid: Iterable[str]) -> None:
        valid = list(valid)
        if name not in valid:
            raise self.wrong(key, f"there is no {what} {name!r}; {nearest(name, valid)}")

    def field(self, key: str, name: str) -> Mapping[str, Any]:
        """The field of that name."""
        self.known(key, "listing field", name, self.names.fields)
        return self.names.fields[name]


def check_rule(rule: Mapping[str, Any], path: Path, names: Names) -> None:
    """Checks one rule's names.  RuleBookError names file, rule, key, and what is near."""
    one = _Checked(rule, path, names)
    misplaced = misplaced_key(dict(rule))
    if misplaced is not None:
        raise one.wrong(*misplaced)
    for key in ("tolerance", "allowance"):
        if rule.get(key):
            one.known(key, "tolerance", rule[key], names.tolerances)
    for place in re.findall(r"\{([^{}]*)\}", rule["says"]):
        one.known("says", "place", place, PLACES)
    for position, pair in enumerate(rule.get("pairs", []), start=1):
        _check_pair(one, f"pairs.{position}", pair)
    _check_demand(one)
    _check_scope(one)
    _check_examples(one)


def _check_pair(one: _Checked, key: str, pair: Mapping[str, str]) -> None:
    for part in ("stated", "other"):
        if part in pair and one.field(f"{key}.{part}", pair[part])["quantity"] in TEXTS:
            raise one.wrong(f"{key}.{part}", f"{pair[part]} is a text; it can be compared with nothing.")
    stated, derived = pair["stated"], pair.get("derived")
    other = pair.get("other", stated)
    if derived is None:
        if other == stated:
            raise one.wrong(f"{key}.other", f"{stated} never differs from itself: the rule could find nothing.")
        quantities = [one.names.fields[name]["quantity"] for name in (stated, other)]
        if not (unit_of(stated) and unit_of(other) and quantities[0] == quantities[1]):
            raise one.wrong(key, f"{stated} and {other} are not one quantity in two units.")
        return
    one.known(f"{key}.derived", "fact of a marking", derived, fact_names())
    if unit_of(stated) != unit_of(derived) or is_code(stated) != is_code(derived):
        raise one.wrong(key, f"{_kind(stated)} cannot be compared with {_kind(derived)}.")


def _kind(name: str) -> str:
    unit = unit_of(name)
    return f"{name} ({'in ' + unit if unit else 'a code' if is_code(name) else 'without a unit'})"


def _check_demand(one: _Checked) -> None:
    rule = one.rule
    for name in rule.get("instead", []):
        one.field("instead", name)
    for position, line in enumerate(rule.get("when", []), start=1):
        one.field(f"when.{position}.field", line["field"])
        never = (line.get("filled") is False and "equals" in line) or (
            line["field"] == rule.get("field") and (line.get("filled") is False) == (rule["kind"] != "required")
        )
        if never:
            raise one.wrong(f"when.{position}", "this can never hold where the rule could find anything.")
    if "field" not in rule or rule["kind"] in ("check", "across"):
        return
    field = one.field("field", rule["field"])
    if rule["kind"] == "range" and field["quantity"] in (*TEXTS, "flag"):
        raise one.wrong("field", f"{rule['field']} is a {field['quantity']}, which has no size; use one-of or pattern.")
    for key in ("matches", "forbids"):
        if key in rule:
            try:
                re.compile(rule[key])
            except re.error as error:
                raise one.wrong(key, f"{rule[key]!r} is no pattern: {error}.") from error


def _check_scope(one: _Checked) -> None:
    rule = one.rule
    families = set(rule.get("families", FAMILIES)) - set(rule.get("not_families", []))
    if not families:
        raise one.wrong("not_families", "they leave no family, so the rule could never run.")
    if rule["kind"] == "comparison" and rule["finds"] == "between" and not rule.get("allowance"):
        raise one.wrong("finds", "`between` needs an `allowance`, or the rule could never find anything.")


def _check_examples(one: _Checked) -> None:
    found = [example["finds"] for example in one.rule["example"]]
    for wanted, what in ((True, "finds something"), (False, "finds nothing")):
        if not any((finds != "nothing") is wanted for finds in found):
            raise one.wrong("example", f"no example {what}; give one of each kind.")
    for example in one.rule["example"]:
        key = f"example {example['title']!r}"
        for listing in listings_of(example):
            for name in listing:
                one.field(key, name)
        if example["finds"] != "nothing":
            one.field(f"{key}: finds.field", example["finds"]["field"])


def listings_of(example: Mapping[str, Any]) -> Sequence[dict[str, str]]:
    """The listings of an example; a repeated one with another sku each time."""
    if "listings" in example:
        return list(example["listings"])
    if "repeat" in example:
        return [{**example["listing"], "sku": f"R-{number:04d}"} for number in range(example["repeat"])]
    return [example["listing"]]


def fact_names() -> list[str]:
    """Every fact that a rule may compare with."""
    return [*FACTS, *CONVERTED]
