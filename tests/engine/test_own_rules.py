"""Own rules in whole audits: own fields by their headers, and what gives way on a cell is told and counted."""

from __future__ import annotations

from pathlib import Path

import pyarrow.parquet as pq

from auditor.engine.progress import progress
from auditor.engine.run import RunOutcome, Settings, run_audit
from auditor.programs.books import load_book
from tests.own_rules import HOUSE


def audited(folder: Path, feed: str, workers: int = 1) -> tuple[RunOutcome, list[dict[str, object]]]:
    (folder / "feed.csv").write_text(feed, encoding="utf-8")
    with progress("none") as silent:
        settings = Settings(load_book(HOUSE), workers=workers)
        outcome = run_audit([str(folder / "feed.csv")], folder / "out", settings, silent)
    return outcome, pq.read_table(folder / "out" / "findings.parquet").to_pylist()


def test_own_columns_are_known_by_their_spellings(tmp_path: Path) -> None:
    _, found = audited(
        tmp_path,
        "Label on the tire;Marking;Hausklasse;Shipping weight (lb)\n"
        "Quenford;225/65R17 102H;D;90\n"
        ";205/55R16 91V;A;20\n",
    )
    assert [(row["record"], row["rule"], row["column"], row["stated"]) for row in found] == [
        (1, "house-class-unknown", "Hausklasse", "D"),
        (1, "carton-too-heavy", "Shipping weight (lb)", "90"),
        (2, "brand-missing", "Label on the tire", ""),
    ]


def test_an_own_rule_that_another_outranks_is_counted(tmp_path: Path) -> None:
    outcome, found = audited(
        tmp_path, "brand,marking,load_index\n" + "Quenford,225/65R17 102H,51\n" + "Quenford,225/65R17 102H,102\n"
    )
    assert [row["rule"] for row in found if row["rule"] != "listing-duplicated"] == ["load-index-contradicted"]
    assert outcome.summary["rules"]["own"]["load-index-below-house-limit"] == {"findings": 0, "also_on_cell": 1}


def test_what_other_listings_hold_stands_beside_what_is_said_of_the_listing(tmp_path: Path) -> None:
    outcome, found = audited(tmp_path, "brand,sku,marking\n" + "Quenford,odd,225/65R17 102H\n" * 2)
    assert sorted(row["rule"] for row in found if row["record"] == 2) == ["listing-duplicated", "sku-malformed"]
    assert outcome.summary["rules"]["own"]["sku-malformed"] == {"findings": 2, "also_on_cell": 0}


def test_the_same_whatever_the_number_of_workers(tmp_path: Path) -> None:
    feed = "brand,sku,marking,house_class,title\n" + "".join(
        f"Quenford,{'QF-1234' if number % 3 else 'odd'},225/65R17 102H,{'ABCDE'[number % 5]},Free shipping {number}\n"
        for number in range(300)
    )
    outcomes = []
    for workers in (1, 3):
        (tmp_path / str(workers)).mkdir()
        outcome, found = audited(tmp_path / str(workers), feed, workers)
        outcomes.append((outcome.summary["by_rule"], found))
    assert outcomes[0] == outcomes[1]
