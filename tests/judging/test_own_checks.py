"""Checks in Python of an installed package: found by entry point, run by both paths, and never trusted unseen."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from auditor.errors import RuleBookError
from auditor.judging.own_checks import own_check
from auditor.programs.books import load_book
from auditor.programs.one_listing import audit_one
from tests.own_rules import shop

CHECK = """
from auditor.judging.failures import Failure


def too_light_for_its_load(rule, st, out):
    for slot in st.own("tire_weight_kg"):
        where = st.value(slot) * 100.0 < st.fact("load_single_kg")
        if st.ops.any_of(where):
            out.add(OUT)
"""
RULE = """\
subject = "shop"

[[rule]]
id = "weight-implausible"
title = "Too light for its load"
grade = "minor"
kind = "check"
check = "too_light_for_its_load"
group = "plausibility"
says = "A tire of {stated} kg hardly carries the load of {marking}."
why = "One of the two is a slip."
source = "House rule"

  [[rule.example]]
  title = "a feather"
  listing = { marking = "225/65R17 102H", tire_weight_kg = "1.2" }
  finds = { field = "tire_weight_kg" }

  [[rule.example]]
  title = "a tire"
  listing = { marking = "225/65R17 102H", tire_weight_kg = "12" }
  finds = "nothing"
"""
ADDED = "Failure.of(rule, slot, where, st.value(slot), st.nothing)"


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder of installed packages, with one that has a check."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr("auditor.programs.books._PROVEN", set())
    folder = tmp_path / "site"
    info = folder / "shop_checks-1.0.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: shop-checks\nVersion: 1.0\n", encoding="utf-8")
    entry = "[auditor.checks]\ntoo_light_for_its_load = shop_checks:too_light_for_its_load\n"
    (info / "entry_points.txt").write_text(entry, encoding="utf-8")
    (folder / "shop_checks.py").write_text(CHECK.replace("OUT", ADDED), encoding="utf-8")
    monkeypatch.syspath_prepend(str(folder))
    own_check.cache_clear()
    yield folder
    own_check.cache_clear()
    sys.modules.pop("shop_checks", None)


def test_an_own_check_runs_where_a_rule_names_it(site: Path, tmp_path: Path) -> None:
    book = load_book(shop(tmp_path, RULE))  # proven by its examples, alone and in a block
    (found,) = audit_one({"marking": "225/65R17 102H", "tire_weight_kg": "2"}, book).findings
    assert found.rule == "weight-implausible"
    assert found.message == "A tire of 2 kg hardly carries the load of 225/65R17 102H."


def test_a_check_that_is_not_installed_is_refused(tmp_path: Path, site: Path) -> None:
    with pytest.raises(RuleBookError, match="no check 'too_light_for_its_lod'; did you mean 'too_light_for_its_load'"):
        load_book(shop(tmp_path, RULE, ('check = "too_light_for_its_load"', 'check = "too_light_for_its_lod"')))


def test_a_check_that_fails_is_named(tmp_path: Path, site: Path) -> None:
    (site / "shop_checks.py").write_text(CHECK.replace("OUT", "1 / 0"), encoding="utf-8")
    said = "Rule 'weight-implausible': check: 'too_light_for_its_load' failed with ZeroDivisionError"
    with pytest.raises(RuleBookError, match=said):
        load_book(shop(tmp_path, RULE))


def test_a_check_that_cannot_be_loaded_is_named(tmp_path: Path, site: Path) -> None:
    (site / "shop_checks.py").write_text("import nothing_of_the_kind\n", encoding="utf-8")
    with pytest.raises(RuleBookError, match="cannot be loaded: No module named 'nothing_of_the_kind'"):
        load_book(shop(tmp_path, RULE))


def test_a_check_that_changed_is_proven_anew_although_its_book_was_kept(
    tmp_path: Path, site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = shop(tmp_path, RULE)
    load_book(own)
    monkeypatch.setattr("auditor.programs.books._PROVEN", set())  # as another process
    own_check.cache_clear()
    sys.modules.pop("shop_checks")
    (site / "shop_checks.py").write_text("def too_light_for_its_load(rule, st, out):\n    return\n", encoding="utf-8")
    from auditor.rulebook import book as rulebook

    rulebook._read_book.cache_clear()
    with pytest.raises(RuleBookError, match="example 'a feather': it should find tire_weight_kg, but finds nothing"):
        load_book(own)
