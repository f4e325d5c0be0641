"""What a policy file changes: tolerances, grades, which rules run, for whom and where, and what is held."""

from __future__ import annotations

from pathlib import Path

import pyarrow.parquet as pq
import pytest

from auditor.engine.progress import progress
from auditor.engine.run import Settings, run_audit
from auditor.errors import RuleBookError
from auditor.programs.one_listing import audit_one
from auditor.rulebook.book import RuleBook, load_book


def book_with(tmp_path: Path, text: str, **options: str) -> RuleBook:
    path = tmp_path / "policy.toml"
    path.write_text(text, encoding="utf-8")
    return load_book(policy=path, **options)


def rules_found(listing: dict[str, str], book: RuleBook) -> dict[str, str]:
    return {finding.rule: finding.grade for finding in audit_one(listing, book).findings}


OVER = {"marking": "225/65R17 102H", "max_load_kg": "860"}


def test_a_wider_tolerance_silences_a_small_difference(tmp_path: Path) -> None:
    assert rules_found(OVER, load_book()) == {"load-overstated": "critical"}
    assert rules_found(OVER, book_with(tmp_path, "[tolerance.load]\nkg = 15\n")) == {}


def test_a_grade_can_be_changed(tmp_path: Path) -> None:
    book = book_with(tmp_path, '[grade]\nload-overstated = "major"\n')
    assert rules_found(OVER, book) == {"load-overstated": "major"}


def test_a_lowered_grade_stays_critical_where_more_is_promised(tmp_path: Path) -> None:
    listing = {"marking": "225/65R17 102H", "load_index": "106"}
    assert rules_found(listing, load_book()) == {"load-index-contradicted": "critical"}
    assert rules_found(listing, book_with(tmp_path, '[grade]\nload-index-contradicted = "minor"\n')) == {
        "load-index-contradicted": "critical"
    }


def test_a_rule_can_be_switched_off_everywhere(tmp_path: Path) -> None:
    book = book_with(tmp_path, '[[off]]\nrule = "load-overstated"\nwhy = "trial"\n')
    assert rules_found(OVER, book) == {}
    assert "load-overstated" in book.switched_off


@pytest.mark.parametrize(("supplier", "found"), [("North Barrow", False), ("South Barrow", True)])
def test_a_rule_can_be_off_for_one_supplier(tmp_path: Path, supplier: str, found: bool) -> None:
    book = book_with(tmp_path, '[[off]]\nrule = "load-overstated"\nsuppliers = ["North Barrow"]\nwhy = "agreed"\n')
    assert ("load-overstated" in rules_found({**OVER, "supplier": supplier}, book)) is found


@pytest.mark.parametrize(("marking", "found"), [("225/65R17 102H", True), ("LT265/70R17 112/109S E", False)])
def test_a_rule_can_be_off_for_one_family(tmp_path: Path, marking: str, found: bool) -> None:
    book = book_with(tmp_path, '[[off]]\nrule = "load-overstated"\nfamilies = ["lt-metric"]\nwhy = "trial"\n')
    assert ("load-overstated" in rules_found({"marking": marking, "max_load_kg": "3000"}, book)) is found


def test_a_rule_can_run_for_some_only(tmp_path: Path) -> None:
    book = book_with(tmp_path, '[[only]]\nrule = "load-overstated"\nsuppliers = ["North Barrow"]\nwhy = "trial"\n')
    assert rules_found({**OVER, "supplier": "North Barrow"}, book)
    assert not rules_found({**OVER, "supplier": "South Barrow"}, book)


def test_the_supplier_of_a_feed_counts_where_records_name_none(tmp_path: Path) -> None:
    (tmp_path / "northbarrow.csv").write_text("marking,max_load_kg\n225/65R17 102H,950\n", encoding="utf-8")
    book = book_with(tmp_path, '[[off]]\nrule = "load-overstated"\nsuppliers = ["northbarrow"]\nwhy = "agreed"\n')
    with progress("none") as silent:
        outcome = run_audit([str(tmp_path / "northbarrow.csv")], tmp_path / "out", Settings(book, workers=1), silent)
    assert outcome.exit_code == 0
    assert pq.read_table(tmp_path / "out" / "findings.parquet").num_rows == 0


def test_the_market_decides_which_regional_rules_run(tmp_path: Path) -> None:
    listing = {"marking": "225/65R17 102H", "max_pressure_psi": "38", "tire_class": "C3"}
    assert set(rules_found(listing, load_book(market="all"))) == {"pressure-not-permitted", "tire-class-mismatch"}
    assert set(rules_found(listing, load_book(market="US"))) == {"pressure-not-permitted"}
    assert set(rules_found(listing, load_book(market="EU"))) == {"tire-class-mismatch"}


def test_what_is_held_follows_the_policy(tmp_path: Path) -> None:
    assert load_book().held_grades() == ("critical", "major")
    assert book_with(tmp_path, 'hold_from = "critical"\n').held_grades() == ("critical",)
    assert book_with(tmp_path, 'hold_from = "critical"\n', hold_from="minor").held_grades() == (
        "critical",
        "major",
        "minor",
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[grade]\nload-overstatd = "major"\n', "did you mean 'load-overstated'?"),
        ("[tolerance.lod]\nkg = 2\n", "lod"),
        ('[grade]\nload-overstated = "grave"\n', "grade.load-overstated"),
        ("hold_from = major\n", "not valid TOML"),
        ('hold = "major"\n', "hold"),
    ],
)
def test_a_wrong_policy_says_where_and_why(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(RuleBookError, match=said.replace("?", r"\?")) as caught:
        book_with(tmp_path, text)
    assert "policy.toml" in str(caught.value)
