"""What an own rule book or a policy takes from safety: allowed, but said aloud.

Compared with the built-in book: a load or speed tolerance that is wider, a rule that can be critical graded down,
dropped, replaced, or switched off for anyone, and a table that says something else.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from auditor.rulebook.finding import GRADES

_WATCHED_SUBJECTS = ("load", "speed")
# What a rule's table says beside what it judges.
_IDLE_KEYS = frozenset({"id", "subject", "title", "says", "why", "source", "example", "own", "file"})


def can_be_critical(rule: Mapping[str, Any]) -> bool:
    """Whether a rule's findings can be critical."""
    return "critical" in (rule["grade"], rule.get("grade_when_higher"))


def loosened_rules(
    base: Sequence[Mapping[str, Any]], rules: Sequence[Mapping[str, Any]], tables: Iterable[str]
) -> list[str]:
    """What the rules and tables of an own book loosen, one sentence each."""
    now = {rule["id"]: rule for rule in rules}
    said = []
    for rule in filter(can_be_critical, base):
        own = now.get(rule["id"])
        if own is None:
            said.append(f"rule {rule['id']} is dropped")
        elif changed := _changed(rule, own):
            said.append(f"rule {rule['id']} is replaced by an own one, with another {' and '.join(changed)}")
    return said + [f"table {name} is replaced by an own one" for name in tables]


def _changed(rule: Mapping[str, Any], own: Mapping[str, Any]) -> list[str]:
    keys = dict.fromkeys([*rule, *own])
    return [key for key in keys if key not in _IDLE_KEYS and rule.get(key) != own.get(key)]


def loosened_policy(
    base_rules: Sequence[Mapping[str, Any]], base: Mapping[str, Any], policy: Mapping[str, Any]
) -> list[str]:
    """What a policy loosens beside the built-in one, one sentence each."""
    return [
        *_tolerances(base_rules, base["tolerance"], policy["tolerance"]),
        *_grades(base_rules, base.get("grade", {}), policy.get("grade", {})),
        *_off(base_rules, base, policy),
        *_night(base.get("night", {}), policy.get("night", {})),
    ]


def _night(base: Mapping[str, Any], now: Mapping[str, Any]) -> Iterable[str]:
    before, after = (limits.get("accept_critical_days", 0) for limits in (base, now))
    if after > before:
        yield f"a critical finding may be accepted for {after} days, built in {before}"


def _tolerances(
    base_rules: Sequence[Mapping[str, Any]], base: Mapping[str, Any], now: Mapping[str, Any]
) -> Iterable[str]:
    watched = {
        rule[key]
        for rule in base_rules
        for key in ("tolerance", "allowance")
        if rule.get(key) and (can_be_critical(rule) or rule["subject"] in _WATCHED_SUBJECTS)
    }
    for name in base:
        if name not in watched:
            continue
        before, after = _numbers(base[name]), _numbers(now[name])
        for unit, value in after.items():
            usual = before.get(unit, before.get(unit.partition(" in ")[0], 0.0))
            if value > usual:
                yield f"tolerance {name}: {unit} is {value:g}, built in {usual:g}"


def _numbers(values: Mapping[str, Any]) -> dict[str, float]:
    """The numbers of a tolerance by what they are of; those of families beside the general one."""
    numbers = {name: float(value) for name, value in values.items() if isinstance(value, int | float)}
    return numbers | {
        f"{name.removesuffix('_in')} in {family}": float(value)
        for name, by_family in values.items()
        if name.endswith("_in") and isinstance(by_family, Mapping)
        for family, value in by_family.items()
    }


def _grades(base_rules: Sequence[Mapping[str, Any]], base: Mapping[str, str], now: Mapping[str, str]) -> Iterable[str]:
    for rule in base_rules:
        usual = base.get(rule["id"], rule["grade"])
        grade = now.get(rule["id"], usual)
        if usual == "critical" and GRADES.index(grade) > GRADES.index(usual):
            yield f"rule {rule['id']} is graded {grade}, built in {usual}"


def _off(base_rules: Sequence[Mapping[str, Any]], base: Mapping[str, Any], now: Mapping[str, Any]) -> Iterable[str]:
    critical = {rule["id"] for rule in base_rules if can_be_critical(rule)}
    for key, how in (("off", "is switched off"), ("only", "runs only")):
        for line in now.get(key, []):
            if line["rule"] in critical and line not in base.get(key, []):
                yield f"rule {line['rule']} {how}{_for_whom(line)}"


def _for_whom(line: Mapping[str, Any]) -> str:
    names = [name for key in ("suppliers", "families", "markets") for name in line.get(key, [])]
    return f" for {', '.join(names)}" if names else ""
