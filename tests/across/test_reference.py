"""Random catalogs: the fast rules find exactly what the plain ones find, however the blocks are cut."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as some

from auditor.rulebook.book import load_book
from tests.across.reference import Catalog
from tests.across.runs import run

MARKINGS = (
    "225/65R17 102H",
    "225/65 R17 102H",
    "225/65R17 102V",
    "225/65R17 99H",
    "225/65R17",
    "225/65R17 102H XL",
    "235/65R17 104H",
    "LT245/75R16 120/116S E",
    "LT245/75R16 120/116S",
    "LT245/75R16 120S",
    "225/45ZR17 94(Y)",
    "225/45R17 94Y",
    "35x12.50R17LT 121R E",
    "37x12.50R17LT 121R E",
    "315/80R22.5 156/150L (154/150M)",
    "315/80R22.5 154/150M",
    "",
    "no tire",
    "NO  TIRE AT ALL",
)
GTINS = ("2000200112235", "02000200112235", "2000-200-334453", "0000000000000", "N/A", "", "2000200112236", "20001001")
LISTING = some.fixed_dictionaries(
    {
        "supplier": some.sampled_from(("Northfield Supply", "Eastmere Tires", " Holt ", "")),
        "sku": some.sampled_from(("A-1", "a-1 ", "A-2", "", "N/A")),
        "brand": some.sampled_from(("Larkmoor", "LARKMOOR", "Haulstone", "")),
        "model": some.sampled_from(("", "", "Vista", "vista", "Ridge")),
        "part_number": some.sampled_from(("P1", "p1", "P2", "", "-")),
        "gtin": some.sampled_from(GTINS),
        "marking": some.sampled_from(MARKINGS),
        "load_range": some.sampled_from(("", "", "E", "C")),
    }
)
FEEDS = some.lists(some.lists(LISTING, min_size=1, max_size=9), min_size=1, max_size=3)


def summed(found: list[dict], rule: str, *columns: str) -> list[tuple]:
    return sorted(tuple(row[c] for c in ("feed", "record", *columns)) for row in found if row["rule"] == rule)


def check(feeds: list[list[dict[str, str]]], size: int, **settings) -> None:
    plain = Catalog(feeds)
    with tempfile.TemporaryDirectory() as folder:
        found = run(Path(folder), load_book(), feeds, size, **settings)
    positions = [(row["feed"], row["record"]) for row in found]
    assert positions == sorted(positions)
    assert summed(found, "gtin-shared", "field") == sorted((*position, "gtin") for position in plain.shared())
    assert summed(found, "sku-shared", "field") == sorted((*position, "sku") for position in plain.shared("sku"))
    repeated = {}
    for row in found:
        if row["rule"] == "listing-duplicated":
            assert f"({'record '}" in row["message"]
            repeated[row["feed"], row["record"]] = row["field"], row["message"]
    expected = plain.duplicated()
    assert {position: field for position, (field, _) in repeated.items()} == {
        position: field for position, (field, _) in expected.items()
    }
    for position, (_, message) in repeated.items():
        feed, record = expected[position][1]
        where = "this feed" if feed == position[0] else f"feed{feed}.csv"
        assert f"(record {record} of {where})" in message
    disputes = {((row["feed"], row["record"]), row["field"]) for row in found if row["rule"] == "suppliers-disagree"}
    assert disputes == set(plain.disputes())
    odd = {(row["feed"], row["record"]) for row in found if row["rule"] == "index-unlike-peers"}
    marked = {position for position, field in disputes if field == "marking"}
    assert odd == plain.odd() - marked
    keys = [(row["feed"], row["record"], row["field"]) for row in found if row["rule"] != "listing-duplicated"]
    assert len(set(keys)) == len(keys)


@settings(max_examples=40)
@given(FEEDS, some.sampled_from((1, 2, 5, 100)), some.sampled_from((1, 3, 1000)))
def test_random_catalogs(feeds, size, most_rows):
    check(feeds, size, most_rows=most_rows)


PEER = some.fixed_dictionaries(
    {
        "sku": some.uuids().map(str),
        "brand": some.sampled_from(("Larkmoor", "larkmoor", "Haulstone", "")),
        "marking": some.sampled_from(
            ("225/65R17 102H",) * 8 + ("225/65R17 100H", "225/65ZR17 104V", "225/65R17 103H", "P225/65R17 100H")
        ),
    }
)


@settings(max_examples=40)
@given(some.lists(some.lists(PEER, min_size=4, max_size=14), min_size=1, max_size=2))
def test_random_peers(feeds):
    check(feeds, 5)
