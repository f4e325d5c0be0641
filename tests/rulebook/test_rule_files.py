"""The rule book is data, so its files are checked as data: shape, completeness, wording, proof by example."""

from __future__ import annotations

import json
import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from string import Formatter
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from auditor.rulebook.built_in import load_contract, published_schema
from auditor.rulebook.finding import CAUSES, COLUMNS
from auditor.rulebook.subjects import SUBJECTS
from auditor.rules_folder import rules_folder
from auditor.trade.family import FAMILIES

RULES = rules_folder()
SCHEMAS = RULES / "schemas"

RULES_BY_SUBJECT = {
    "marking": "marking-missing marking-unreadable marking-nonstandard marking-contradicted value-unreadable "
    "marking-implausible prefix-missing service-unread",
    "columns": "column-suspect",
    "load": "load-overstated load-understated load-off-table load-unverified load-units-disagree "
    "dual-load-above-single load-index-unknown load-index-contradicted load-implausible",
    "speed": "speed-overstated speed-understated speed-off-table descriptions-mixed speed-unverified "
    "speed-units-disagree speed-symbol-unknown "
    "speed-symbol-contradicted zr-symbol-conflict slow-for-the-road",
    "size": "rim-mismatch width-mismatch aspect-mismatch construction-mismatch overall-diameter-off "
    "diameter-within-rim size-units-disagree rim-width-out-of-range revolutions-off revolutions-units-disagree "
    "revolutions-unlike-diameter",
    "load range": "ply-rating-mismatch load-range-contradicted load-version-contradicted",
    "pressure": "pressure-units-disagree pressure-not-permitted pressure-impossible pressure-unlike-load-range",
    "quantities": "depth-units-disagree weight-units-disagree tread-depth-implausible weight-implausible "
    "dual-load-unlike-single",
    "us grading": "grade-invalid grade-contradicted grade-not-applicable",
    "season": "snow-mark-contradicted winter-without-snow-mark",
    "eu label": "tire-class-mismatch label-class-invalid noise-class-mismatch noise-level-implausible",
    "texts": "text-contradicted text-denies",
    "identity": "gtin-check-digit listing-duplicated gtin-shared sku-shared suppliers-disagree",
    "peers": "index-unlike-peers",
    "substitutes": "substitute-rim-differs substitute-load-lower substitute-load-range-lower substitute-speed-lower "
    "substitute-diameter-off substitute-version-lower substitute-kind-differs",
}
CRITICAL = {
    "load-overstated",
    "speed-overstated",
    "descriptions-mixed",
    "rim-mismatch",
    "substitute-rim-differs",
    "substitute-load-lower",
    "substitute-load-range-lower",
}
MAY_RISE = {
    "load-index-contradicted",
    "speed-symbol-contradicted",
    "load-range-contradicted",
    "ply-rating-mismatch",
    "marking-contradicted",
}
MARKET_OF_SUBJECT = {"us grading": ["US"], "eu label": ["EU"]}
PLACEHOLDERS = {
    "stated": "950 kg",
    "advice": "confirm it on the sidewall",
    "derived": "850 kg",
    "field": "max_load_kg",
    "column": "Max load",
    "marking": "225/65R17 102H",
    "size": "225/65R17",
    "load_index": "102",
    "speed_symbol": "H",
    "load_range": "E",
    "rim": "17 in",
    "other": "2200",
    "detail": "something else is so",
}


def _toml(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def _schema(name: str) -> dict[str, Any]:
    return published_schema(name.removesuffix(".json"))


RULE_FILES = [
    path
    for path in sorted(RULES.glob("*.toml"))
    if path.stem not in ("policy", "listing_fields", "characteristics", "causes", "substitute_points")
]
BOOK = [(_toml(path)["subject"], rule) for path in RULE_FILES for rule in _toml(path)["rule"]]
ENTRIES = [pytest.param(subject, rule, id=rule["id"]) for subject, rule in BOOK]
FIELDS = set(_schema("listing.json")["properties"]) - {"id"}


@pytest.mark.parametrize("path", RULE_FILES, ids=lambda path: path.name)
def test_file_keeps_the_schema(path: Path) -> None:
    errors = Draft202012Validator(_schema("rule.json")).iter_errors(_toml(path))
    assert [f"{list(error.absolute_path)}: {error.message}" for error in errors] == []


@pytest.mark.parametrize("path", RULE_FILES, ids=lambda path: path.name)
def test_file_is_named_after_its_subject(path: Path) -> None:
    assert _toml(path)["subject"] == path.stem.replace("_", " ")


def test_every_rule_stands_once_under_its_subject() -> None:
    wanted = {subject: ids.split() for subject, ids in RULES_BY_SUBJECT.items()}
    assert set(wanted) == set(SUBJECTS)
    counted = Counter(rule["id"] for _, rule in BOOK)
    assert [rule_id for rule_id, count in counted.items() if count > 1] == []
    for subject, ids in wanted.items():
        missing = set(ids) - {rule["id"] for where, rule in BOOK if where == subject}
        assert missing == set(), subject


@pytest.mark.parametrize(("subject", "rule"), ENTRIES)
def test_examples_prove_both_sides(subject: str, rule: dict[str, Any]) -> None:
    silent = [e for e in rule["example"] if e["finds"] == "nothing"]
    finding = [e for e in rule["example"] if e["finds"] != "nothing"]
    assert len(finding) >= 2, "at least two examples must find"
    assert len(silent) >= 2, "at least two examples must find nothing"
    titles = [e["title"] for e in rule["example"]]
    assert len(set(titles)) == len(titles), "each example has a title of its own"


@pytest.mark.parametrize(("subject", "rule"), ENTRIES)
def test_examples_use_fields_of_the_contract(subject: str, rule: dict[str, Any]) -> None:
    for example in rule["example"]:
        listings = example.get("listings") or [example["listing"]]
        for listing in listings:
            assert set(listing) <= FIELDS, example["title"]
        finds = example["finds"]
        if finds == "nothing":
            continue
        assert finds["field"] in FIELDS, example["title"]
        if "listings" in example:
            assert 1 <= finds["record"] <= len(listings), example["title"]
        if finds["field"] != "marking":
            accused = listings[finds.get("record", 1) - 1]
            holders = load_contract().together[finds["field"]]  # one cell may hold several fields
            assert set(holders) & set(accused), f"{example['title']}: a finding needs a cell to stand on"


@pytest.mark.parametrize(("subject", "rule"), ENTRIES)
def test_sentence_is_one_and_whole(subject: str, rule: dict[str, Any]) -> None:
    says = rule["says"]
    used = {name for _, name, _, _ in Formatter().parse(says) if name is not None}
    assert used <= set(PLACEHOLDERS)
    sentence = says.format(**PLACEHOLDERS)
    assert sentence.endswith(".") and "\n" not in sentence and "  " not in sentence
    assert not re.search(r"\.\s+[A-Z]", sentence), "one sentence only"
    assert len(sentence) <= 320, "too long to be read in one breath"
    assert ("{other}" in says) == (rule["kind"] == "units")
    for key in ("title", "why", "source"):
        assert rule[key].strip() == rule[key] != "", key
        assert "\n" not in rule[key], key


@pytest.mark.parametrize(("subject", "rule"), ENTRIES)
def test_names_of_tolerances_checks_and_fields_exist(subject: str, rule: dict[str, Any]) -> None:
    tolerances = _toml(RULES / "policy.toml")["tolerance"]
    for key in ("tolerance", "allowance"):
        assert key not in rule or rule[key] in tolerances
    for pair in rule.get("pairs", []):
        assert pair["stated"] in FIELDS
        assert pair.get("other", pair["stated"]) in FIELDS
    if rule["kind"] in ("check", "across", "column"):
        assert rule["check"] == rule["id"].replace("-", "_")
    assert (rule["group"] == "units") == (rule["kind"] == "units")
    if rule["finds" if "finds" in rule else "kind"] == "between":
        assert "allowance" in rule


@pytest.mark.parametrize(("subject", "rule"), ENTRIES)
def test_only_what_can_hurt_is_critical(subject: str, rule: dict[str, Any]) -> None:
    if rule["id"] in {i for ids in RULES_BY_SUBJECT.values() for i in ids.split()}:
        assert (rule["grade"] == "critical") == (rule["id"] in CRITICAL)
        assert ("grade_when_higher" in rule) == (rule["id"] in MAY_RISE)
    if subject in MARKET_OF_SUBJECT:
        assert rule["markets"] == MARKET_OF_SUBJECT[subject]


def test_schemas_are_schemas() -> None:
    names = sorted(path.name for path in SCHEMAS.glob("*.json"))
    assert {
        "finding.json",
        "listing.json",
        "policy.json",
        "rule.json",
        "summary.json",
        "verdict.json",
    } <= set(names)
    for name in names:
        Draft202012Validator.check_schema(_schema(name))


def test_schemas_name_what_the_program_knows() -> None:
    definitions = _schema("rule.json")["$defs"]
    assert tuple(definitions["family"]["enum"]) == FAMILIES
    assert tuple(definitions["cause"]["enum"]) == CAUSES
    assert tuple(_schema("policy.json")["$defs"]["selector"]["properties"]["families"]["items"]["enum"]) == FAMILIES
    assert tuple(_schema("finding.json")["properties"]["likely_cause"]["enum"]) == (*CAUSES, "", None)
    finding = _schema("verdict.json")["$defs"]["finding"]
    assert finding == {name: part for name, part in _schema("finding.json").items() if name in finding}
    assert {"properties", "required", "additionalProperties"} <= set(finding)


ANSWERS = ("finding", "decode")  # their members are what they describe, and share names with fields


@pytest.mark.parametrize("path", sorted(SCHEMAS.glob("*.json")), ids=lambda path: path.stem)
def test_no_schema_lists_what_stands_elsewhere(path: Path) -> None:
    """Written out, these would be one more place to touch for a new field, family or cause."""
    listed = [set(names) for names in _lists(json.loads(path.read_text(encoding="utf-8")))]
    for known in (FAMILIES, CAUSES, FIELDS):
        assert [names for names in listed if len(names & set(known)) > 2 and path.stem not in ANSWERS] == []
    filled = json.dumps(_schema(path.name))
    assert not any(f'"{key}"' in filled for key in ("names_of", "properties_of", "schema_of"))


def _lists(node: Any) -> Iterator[list[str]]:
    if isinstance(node, dict):
        yield list(node)
        yield from (names for value in node.values() for names in _lists(value))
    elif isinstance(node, list):
        yield [one for one in node if isinstance(one, str)]
        yield from (names for value in node for names in _lists(value))


def test_listing_schema_has_the_fields_of_the_contract() -> None:
    contract = {field["name"] for field in _toml(RULES / "listing_fields.toml")["field"]}
    assert contract == FIELDS


def test_default_policy_keeps_its_schema() -> None:
    policy = _toml(RULES / "policy.toml")
    assert list(Draft202012Validator(_schema("policy.json")).iter_errors(policy)) == []
    assert all(values.get("why") for values in policy["tolerance"].values())


@pytest.mark.parametrize(
    ("policy", "fits"),
    [
        ({"hold_from": "minor", "market": "EU"}, True),
        ({"tolerance": {"load_off_table": {"percent_in": {"flotation": 3}}}}, True),
        ({"grade": {"load-off-table": "major"}}, True),
        ({"off": [{"rule": "winter-without-snow-mark", "suppliers": ["Northfield Supply"]}]}, True),
        ({"only": [{"rule": "rim-mismatch", "families": ["metric"], "markets": ["US"]}]}, True),
        ({"hold_from": "never"}, False),
        ({"market": "UK"}, False),
        ({"tolerance": {"load": {"kmh": 2}}}, False),
        ({"tolerance": {"load": {"kg": -1}}}, False),
        ({"tolerance": {"load_off_table": {"percent_in": {"passenger": 3}}}}, False),
        ({"grade": {"load-off-table": "none"}}, False),
        ({"off": [{"suppliers": ["Northfield Supply"]}]}, False),
        ({"holdfrom": "major"}, False),
    ],
)
def test_policy_schema_tells_good_from_bad(policy: dict[str, Any], fits: bool) -> None:
    assert Draft202012Validator(_schema("policy.json")).is_valid(policy) is fits


@pytest.mark.parametrize(
    ("listing", "fits"),
    [
        (
            {
                "marking": "225/65R17 102H",
                "max_load_kg": 850,
                "mud_and_snow": True,
                "gtin": None,
                "id": "a-1",
            },
            True,
        ),
        ({"marking": ["225/65R17"]}, False),
        ({"marking": "225/65R17", "max_load": "850"}, False),
        ({"max_load_kg": {"value": 850}}, False),
        ("225/65R17", False),
    ],
)
def test_listing_schema_tells_good_from_bad(listing: Any, fits: bool) -> None:
    assert Draft202012Validator(_schema("listing.json")).is_valid(listing) is fits


_RELEASE = {
    "verdict": "release",
    "marking": None,
    "findings": [],
    "suggestions": {},
    "could_not_tell": ["rim-mismatch"],
    "program": "0.1.0",
}


@pytest.mark.parametrize(
    ("answer", "fits"),
    [
        (_RELEASE, True),
        ({**_RELEASE, "id": 7}, True),
        ({"id": "x", "error": {"message": "A listing is a JSON object; send one."}}, True),
        ({**_RELEASE, "verdict": "keep"}, False),
        ({**_RELEASE, "error": {"message": "both"}}, False),
        ({**_RELEASE, "findings": [{"rule": "rim-mismatch"}]}, False),
        ({**_RELEASE, "more": 1}, False),
        ({"id": "x"}, False),
    ],
)
def test_verdict_schema_tells_good_from_bad(answer: Any, fits: bool) -> None:
    assert Draft202012Validator(_schema("verdict.json")).is_valid(answer) is fits


def test_verdict_finding_has_the_finding_columns() -> None:
    remembered = {"state", "first_night"}  # with a ledger
    columns = {name for name, _ in COLUMNS} | remembered
    assert set(_schema("verdict.json")["$defs"]["finding"]["properties"]) == columns
