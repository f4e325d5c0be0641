"""Own rules through both paths: a listing has alone what it has among the records of a feed, field by field."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from typing import Any

import pytest

from auditor.programs.books import load_book
from auditor.programs.one_listing import audit_one
from auditor.programs.proof import prove
from auditor.programs.proof_feeds import block_findings
from auditor.programs.verdict import IN_JSON
from auditor.rulebook.references import listings_of
from tests.own_rules import HOUSE

BOOK = load_book(HOUSE)
EXAMPLES = [listings_of(example)[0] for examples in BOOK.own.examples.values() for example in examples]
FIELDS = sorted({name for listing in EXAMPLES for name in listing})
TEXTS = {name: sorted({listing[name] for listing in EXAMPLES if name in listing}) for name in FIELDS}
ODD = [
    "",
    " ",
    "-",
    "n/a",
    "0",
    "17",
    "40 kg",
    "88 lb",
    "12,5",
    "W",
    "CLEARANCE",
    "free shipping",
    "€ 99",
    "225/65R17 102H",
]
ODD += ["225/65R17 102H free SHIPPING, max load 950 kg", "yes", "winter", "1 000", "QF-1234\n", "x" * 300]


def mixed(count: int, seed: int) -> list[dict[str, str]]:
    """Listings that mix the texts of examples with odd ones."""
    dice = random.Random(seed)
    found = []
    for _ in range(count):
        listing = dict(dice.choice(EXAMPLES))
        for name in dice.sample(FIELDS, dice.randrange(7)):
            listing[name] = dice.choice(TEXTS[name] + ODD)
        found.append(listing)
    return found


def singly(listings: Sequence[Mapping[str, str]]) -> list[list[dict[str, Any]]]:
    """The findings on each listing, with every field that any of them has, as a feed's columns give them."""
    fields = dict.fromkeys(name for listing in listings for name in listing)
    whole = [{name: listing.get(name, "") for name in fields} for listing in listings]
    return [[one.as_json() for one in audit_one(listing, BOOK).findings] for listing in whole]


def test_both_paths_agree_on_own_rules() -> None:
    listings = [*EXAMPLES, *mixed(600, seed=11)]
    blocks = [[{name: row[name] for name in IN_JSON} for row in rows] for rows in block_findings(listings, BOOK)]
    for listing, one, other in zip(listings, blocks, singly(listings), strict=True):
        assert one == other, listing
    by_rule = {finding["rule"] for findings in blocks for finding in findings}
    assert by_rule >= set(BOOK.own.added)


def test_examples_of_the_house_come_out_as_they_say() -> None:
    prove(BOOK, anew=True)  # a book that was proven once is not asked again by itself


def one(rule: str, **listing: str) -> dict[str, Any]:
    found = {finding["rule"]: finding for finding in singly([{"brand": "Quenford", **listing}])[0]}
    return found[rule]


def test_a_sentence_says_what_was_stated_and_what_was_asked() -> None:
    finding = one("carton-too-heavy", marking="225/65R17 102H", carton_weight_kg="90 lb")
    assert finding["message"] == "A carton of 90 lb cannot go by parcel, which takes from 2 to 70 lb."
    assert finding["evidence"] == "carton_weight_kg looked at by itself; marking 225/65R17 102H"
    assert (finding["stated"], finding["derived"], finding["suggestion"]) == ("90 lb", "", "")
    assert (finding["deviation"], finding["likely_cause"]) == (None, "unclear")


def test_without_a_marking_the_evidence_is_the_field_alone() -> None:
    assert one("sku-malformed", sku="1")["evidence"] == "sku looked at by itself"


def test_a_rule_about_a_title_quotes_all_of_it() -> None:
    title = "Quenford Vale 225/65R17 102H, free shipping"
    finding = one("title-promises-shipping", marking="225/65R17 102H", title=title)
    assert finding["stated"] == title


def test_a_rule_that_is_outranked_on_its_cell_is_named_in_the_evidence() -> None:
    finding = one("load-index-contradicted", marking="225/65R17 102H", load_index="51")
    assert finding["evidence"].endswith("; also on this cell: load-index-below-house-limit")


def test_fields_that_no_column_holds_are_told_apart() -> None:
    found = singly([{"sku": "QF-1234", "season": "winter"}])[0]
    assert {finding["rule"] for finding in found} >= {"brand-missing", "winter-snow-mark-unsaid", "marking-missing"}


@pytest.mark.parametrize(("filled", "missing"), [("Quenford", False), (" - ", True), ("", True), ("unknown", True)])
def test_a_word_for_unknown_fills_nothing(filled: str, missing: bool) -> None:
    found = singly([{"marking": "225/65R17 102H", "brand": filled}])[0]
    assert ("brand-missing" in {finding["rule"] for finding in found}) is missing


def test_what_cannot_be_read_is_counted_as_not_told() -> None:
    outcome = audit_one({"marking": "225/65R17 102H", "brand": "Quenford", "carton_weight_kg": "heavy"}, BOOK)
    assert "carton-too-heavy" in outcome.could_not_tell
    assert [finding.rule for finding in outcome.findings] == ["value-unreadable"]
