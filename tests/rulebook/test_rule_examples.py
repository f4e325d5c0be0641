"""Every example of every rule in the rule book, through the single-listing path and through a whole audit."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest

from auditor.engine.progress import progress
from auditor.engine.run import Settings, run_audit
from auditor.programs.one_listing import audit_one
from auditor.rulebook.book import load_book
from auditor.rulebook.files import read_rules
from auditor.rules_folder import rules_folder

RULES = read_rules(rules_folder(), examples=True)
ACROSS = ("column-suspect", "listing-duplicated", "gtin-shared", "suppliers-disagree", "index-unlike-peers")


def _examples(*, across: bool) -> list[Any]:
    return [
        pytest.param(rule, example, id=f"{rule['id']}: {example['title']}")
        for rule in RULES
        for example in rule["example"]
        if (rule["id"] in ACROSS or "listings" in example) == across
    ]


def _check(rule: dict[str, Any], example: dict[str, Any], found: list[dict[str, Any]]) -> None:
    wanted = example["finds"]
    mine = [finding for finding in found if finding["rule"] == rule["id"]]
    if wanted == "nothing":
        assert mine == []
        return
    on_field = [finding for finding in mine if finding["field"] == wanted["field"]]
    if "record" in wanted:
        on_field = [finding for finding in on_field if finding["record"] == wanted["record"]]
    assert on_field, found
    names = {"cause": "likely_cause"}
    for key, value in wanted.items():
        assert str(on_field[0][names.get(key, key)]) == str(value), key


@pytest.mark.parametrize(("rule", "example"), _examples(across=False))
def test_one_listing(rule: dict[str, Any], example: dict[str, Any]) -> None:
    outcome = audit_one(example["listing"], load_book())
    found = [{name: getattr(finding, name) for name in finding.__dataclass_fields__} for finding in outcome.findings]
    _check(rule, example, found)
    if example["finds"] != "nothing":
        stray = [
            finding
            for finding in found
            if finding["grade"] != "minor"
            and (finding["rule"], finding["field"]) != (rule["id"], example["finds"]["field"])
        ]
        assert stray == []


@pytest.mark.parametrize(("rule", "example"), _examples(across=True))
def test_several_listings(rule: dict[str, Any], example: dict[str, Any], tmp_path: Path) -> None:
    listings = example.get("listings") or [
        {**example["listing"], "sku": f"R-{number:04d}"} for number in range(example["repeat"])
    ]
    headers = list(dict.fromkeys(name for listing in listings for name in listing))
    with (tmp_path / "feed.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, headers)
        writer.writeheader()
        writer.writerows(listings)
    with progress("none") as silent:
        run_audit([str(tmp_path / "feed.csv")], tmp_path / "out", Settings(load_book(), workers=1), silent)
    _check(rule, example, pq.read_table(tmp_path / "out" / "findings.parquet").to_pylist())
