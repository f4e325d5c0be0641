"""Whatever the program knows of a rule stands in its table, and what tables name exists."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from auditor.judging.checks import CHECKS
from auditor.judging.comparator import run_rules
from auditor.judging.single.hits import ScalarCollector
from auditor.judging.single.statements import ListingStatements
from auditor.rulebook.book import load_book
from auditor.rulebook.finding import CAUSES
from auditor.rules_folder import rules_folder
from auditor.trade.facts import FACT_POSITION
from auditor.wording.details import detail_of

BOOK = load_book()
PACKAGE = Path(__file__).parents[2] / "auditor"


def test_no_module_knows_a_rule() -> None:
    ids = {rule.id for rule in BOOK.rules}
    named = {
        f"{path.relative_to(PACKAGE)}: {text}"
        for path in PACKAGE.rglob("*.py")
        for text in re.findall(r'"([a-z]+(?:-[a-z]+)+)"', path.read_text(encoding="utf-8"))
        if text in ids
    }
    assert named == set()


@pytest.mark.parametrize("name", ["characteristics", "causes", "substitute_points"])
def test_tables_keep_their_schemas(name: str) -> None:
    data = tomllib.loads((rules_folder() / f"{name}.toml").read_text(encoding="utf-8"))
    schema: dict[str, Any] = json.loads((rules_folder() / "schemas" / f"{name}.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    assert [error.message for error in Draft202012Validator(schema).iter_errors(data)] == []


def test_every_cause_has_its_table_in_the_order_of_trial() -> None:
    assert (*BOOK.causes, "unclear") == CAUSES


def test_tolerances_of_characteristics_and_causes_exist() -> None:
    named = {one.tolerance for one in BOOK.characteristics} | {one.allowance for one in BOOK.characteristics}
    named |= {
        name for one in BOOK.characteristics for said in one.statements for name in (said.tolerance, said.allowance)
    }
    named |= {cause["speed_tolerance"] for cause in BOOK.causes.values() if "speed_tolerance" in cause}
    assert named - {""} <= set(BOOK.tolerances)


def test_facts_of_characteristics_exist() -> None:
    st = ListingStatements([("marking", "marking", "225/65R17 102H")], BOOK)
    for one in BOOK.characteristics:
        for fact in (one.fact, one.text_fact, *(said.fact for said in one.statements if said.fact)):
            st.fact(fact)  # raises KeyError where there is none
        assert not one.floor or one.floor in FACT_POSITION


def test_every_check_is_named_and_every_name_is_a_check() -> None:
    assert {rule.check for rule in BOOK.rules if rule.kind == "check"} == set(CHECKS)


def test_hits_are_taken_by_one_rule_each() -> None:
    taken = [rule.takes for rule in BOOK.rules if rule.takes]
    assert sorted(taken) == ["outvoted-marking", "whole-column"]


@pytest.mark.parametrize("rule", [rule for rule in BOOK.rules if rule.detail], ids=lambda rule: rule.id)
def test_clauses_name_only_what_there_is(rule: Any) -> None:
    """A placeholder that is neither a limit, a tolerance, a fact nor a value of the finding would fail here."""
    from auditor.judging.failures import Basis
    from auditor.wording.details import FACT

    for basis in {Basis(clause.basis) for clause in rule.detail}:
        for field in {field for clause in rule.detail for field in clause.fields} | {"max_load_kg"}:
            detail = detail_of(rule, field, basis, BOOK)
            assert detail is not None
            pieces = [
                1.0 if need.startswith(FACT) else ("title",) if need == "differ" else "x" for need in detail.needs
            ]
            assert "{" not in detail.make(*pieces)


def test_a_limit_that_a_check_needs_is_named_where_it_is_missing() -> None:
    from dataclasses import replace

    from auditor.errors import RuleBookError

    rule = replace(BOOK.rule("zr-symbol-conflict"), limits={"above_mph": 149.0})
    st = ListingStatements([("marking", "marking", "225/65ZR17 102H")], replace(BOOK, rules=(rule,)))
    with pytest.raises(RuleBookError, match=r"zr-symbol-conflict.*above_kmh.*did you mean 'above_mph'"):
        run_rules(st, ScalarCollector())
