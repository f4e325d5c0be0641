"""The examples in the rule book itself."""

from __future__ import annotations

import pytest

from auditor.rulebook.book import load_book
from auditor.rulebook.files import read_rules
from auditor.rules_folder import rules_folder
from tests.across.runs import run

EXAMPLES = [
    pytest.param(rule["id"], example, id=f"{rule['id']}: {example['title']}")
    for rule in read_rules(rules_folder(), examples=True)
    if rule["kind"] == "across"
    for example in rule["example"]
]


def listings_of(example: dict) -> list[dict[str, str]]:
    listings = example.get("listings") or [example["listing"]]
    return [dict(listing) for listing in listings for _ in range(example.get("repeat", 1))]


@pytest.mark.parametrize(("rule", "example"), EXAMPLES)
def test_example(rule, example, tmp_path):
    found = run(tmp_path, load_book(), [listings_of(example)])
    expected = example["finds"]
    if expected == "nothing":
        assert [f for f in found if f["rule"] == rule] == []
        return
    mine = [f for f in found if f["rule"] == rule and f["record"] == expected.get("record", f["record"])]
    assert mine, found
    for name in ("field", "grade"):
        if name in expected:
            assert mine[0][name] == expected[name]
    assert mine[0]["column"] == mine[0]["field"].upper()
    assert mine[0]["stated"] and "{" not in mine[0]["message"]
