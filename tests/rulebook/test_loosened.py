"""What own rules and policies take from safety is said in words; what makes the audit stricter is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from auditor.programs.books import load_book
from auditor.rulebook.files import read_rules
from auditor.rules_folder import rules_folder
from tests.own_rules import HOUSE, shop


def by_policy(folder: Path, text: str) -> tuple[str, ...]:
    path = folder / "policy.toml"
    path.write_text(text, encoding="utf-8")
    return load_book(policy=path).loosened


@pytest.mark.parametrize(
    ("policy", "said"),
    [
        ("[tolerance.load]\nkg = 5\n", "tolerance load: kg is 5, built in 1.2"),
        ("[tolerance.speed]\nmph = 1.1\n", "tolerance speed: mph is 1.1, built in 1"),
        ("[tolerance.load_units]\npercent = 1\n", "tolerance load_units: percent is 1, built in 0.5"),
        (
            "[tolerance.load_off_table]\npercent_in = { metric = 0.6 }\n",
            "tolerance load_off_table: percent in metric is 0.6, built in 0.5",
        ),
        ("[tolerance.rim]\nabsolute = 0.5\n", "tolerance rim: absolute is 0.5, built in 0.05"),
        ('[grade]\nload-overstated = "major"\n', "rule load-overstated is graded major, built in critical"),
        ('[[off]]\nrule = "rim-mismatch"\n', "rule rim-mismatch is switched off"),
        (
            '[[off]]\nrule = "speed-overstated"\nsuppliers = ["North Barrow"]\nfamilies = ["metric"]\n',
            "rule speed-overstated is switched off for North Barrow, metric",
        ),
        ('[[off]]\nrule = "load-index-contradicted"\n', "rule load-index-contradicted is switched off"),
        ('[[only]]\nrule = "rim-mismatch"\nmarkets = ["US"]\n', "rule rim-mismatch runs only for US"),
    ],
)
def test_a_policy_that_loosens_safety_is_told(tmp_path: Path, policy: str, said: str) -> None:
    assert by_policy(tmp_path, policy) == (said,)


@pytest.mark.parametrize(
    "policy",
    [
        "[tolerance.load]\nkg = 1\n",
        "[tolerance.load_off_table]\npercent_in = { flotation = 1.9 }\n",
        "[tolerance.width_measured]\npercent_above = 20\n",
        "[tolerance.revolutions]\npercent = 9\n",
        '[grade]\nload-understated = "minor"\n',
        '[grade]\nload-off-table = "critical"\n',
        '[[off]]\nrule = "winter-without-snow-mark"\n',
        'hold_from = "critical"\n',
    ],
)
def test_one_that_does_not_is_not(tmp_path: Path, policy: str) -> None:
    assert by_policy(tmp_path, policy) == ()


def test_neither_the_built_in_book_nor_harmless_own_rules_loosen_anything() -> None:
    assert load_book().loosened == ()
    assert load_book(HOUSE).loosened == ()


def test_a_dropped_critical_rule_is_told(tmp_path: Path) -> None:
    assert load_book(shop(tmp_path, 'drop = ["rim-mismatch", "width-mismatch"]\n')).loosened == (
        "rule rim-mismatch is dropped",
    )


def test_a_replaced_critical_rule_is_told_where_it_judges_otherwise(tmp_path: Path) -> None:
    rule = next(rule for rule in read_rules(rules_folder(), examples=True) if rule["id"] == "rim-mismatch")
    worded = _toml({**rule, "says": rule["says"].replace("States", "Says")})
    assert load_book(shop(tmp_path, worded)).loosened == ()
    milder = _toml({**rule, "tolerance": "exact"}).replace('"critical"', '"major"')
    assert load_book(shop(tmp_path, milder)).loosened == (
        "rule rim-mismatch is replaced by an own one, with another grade and tolerance",
    )


def _toml(rule: dict[str, object]) -> str:
    """A file with one rule: JSON is TOML but for the sign between name and value."""
    subject, entry = rule["subject"], {key: value for key, value in rule.items() if key != "subject"}
    return f"subject = {_value(subject)}\n\n[[rule]]\n" + "".join(f"{k} = {_value(v)}\n" for k, v in entry.items())


def _value(value: object) -> str:
    import json

    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_value(one)}" for key, one in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    return json.dumps(value)
