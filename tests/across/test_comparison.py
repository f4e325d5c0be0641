"""Rules switched off, rules for some suppliers, feeds that broke off, counts that leave memory, words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pyarrow as pa

from auditor.across import peers as peers_module
from auditor.across.comparison import ListingComparison
from auditor.across.facts import RULES, block_facts
from auditor.across.peers import PeerCounts, peers_standing_apart
from auditor.across.sentences import SupplierStatement, dispute_texts
from auditor.engine.unit_audit import UnitAuditor
from auditor.feeds.model import Block
from auditor.rulebook.book import load_book
from auditor.rulebook.rule import Selector
from tests.across.runs import plan_of, run

GTIN = "2000300556670"
DISPUTED = [
    {"supplier": "Northfield Supply", "sku": "LM-100", "gtin": GTIN, "marking": "225/65R17 102H"},
    {"supplier": "Eastmere Tires", "sku": "V-17", "gtin": GTIN, "marking": "225/65R17 102V"},
    {"supplier": "Holt and Daughter", "sku": "3341", "gtin": GTIN, "marking": "225/65R17 102H"},
]


def book_without(*ids: str):
    """The rule book without some rules, by their ids or their checks."""
    book = load_book()
    return replace(book, rules=tuple(rule for rule in book.rules if not {rule.id, rule.check} & set(ids)))


def book_with(rule_id: str, **changes):
    book = load_book()
    return replace(book, rules=tuple(replace(r, **changes) if r.id == rule_id else r for r in book.rules))


def facts_of(listings, book):
    fields = list(listings[0])
    plan = plan_of("feed.csv", fields)
    columns = [pa.array([listing[field] for listing in listings], pa.string()) for field in fields]
    records = np.arange(1, len(listings) + 1)
    st = UnitAuditor(book).statements(plan, Block(0, columns, records))
    return block_facts(plan, st, records)


def test_rules_switched_off_take_nothing():
    assert facts_of(DISPUTED, book_without(*RULES)) is None


def test_a_feed_without_keys_and_markings_takes_no_part():
    assert facts_of([{"model": "Vista", "max_load_kg": "850"}], load_book()) is None


def test_one_rule_switched_off(tmp_path):
    assert run(tmp_path, book_without("suppliers-disagree"), [DISPUTED]) == []


def test_a_rule_that_is_off_for_a_supplier(tmp_path):
    off = (Selector("suppliers-disagree", suppliers=("Eastmere Tires",)),)
    found = run(tmp_path, book_with("suppliers-disagree", off_for=off), [DISPUTED])
    assert [row["supplier"] for row in found] == ["Northfield Supply", "Holt and Daughter"]


def test_a_rule_for_one_family_only(tmp_path):
    only = (Selector("suppliers-disagree", families=("lt-metric",)),)
    assert run(tmp_path, book_with("suppliers-disagree", only_for=only), [DISPUTED]) == []


def test_says_who_is_the_odd_one_out(tmp_path):
    found = run(tmp_path, load_book(), [DISPUTED])
    assert [row["derived"] for row in found] == ["H", "H", "H"]
    for row in found:
        assert (
            "speed symbol: Holt and Daughter and Northfield Supply say H, Eastmere Tires says V, "
            "so Eastmere Tires is the odd one out of 3" in row["message"]
        )
        assert row["evidence"] == "compared speed symbol over 3 suppliers with the same GTIN"


def test_two_suppliers_have_no_majority():
    detail, derived, _ = dispute_texts(
        0, {"index": [SupplierStatement("B", 102.0), SupplierStatement("A", 99.0)]}, load_book().tables
    )
    assert (detail, derived) == ("load index: A says 99, B says 102", "")


def test_names_at_most_four_suppliers():
    says = [SupplierStatement(f"S{number}", 102.0) for number in range(9)] + [
        SupplierStatement("T", 99.0),
        SupplierStatement("U", 99.0),
    ]
    detail, derived, _ = dispute_texts(1, {"index": says}, load_book().tables)
    assert detail == "load index: S0, S1, S2 and 6 more say 102, T and 1 more say 99, so 9 of 11 suppliers say 102"
    assert derived == "102"


def test_a_split_load_range_is_named_as_the_cell(tmp_path):
    listings = [
        {"supplier": supplier, "gtin": GTIN, "marking": "LT245/75R16 120/116S", "load_range": load_range}
        for supplier, load_range in (("Northfield Supply", "E"), ("Eastmere Tires", "D"))
    ]
    found = [row for row in run(tmp_path, load_book(), [listings]) if row["rule"] == "suppliers-disagree"]
    assert [(row["field"], row["stated"], row["column"]) for row in found] == [
        ("load_range", "E", "LOAD_RANGE"),
        ("load_range", "D", "LOAD_RANGE"),
    ]


def test_a_feed_given_up_counts_for_nothing(tmp_path):
    book = load_book()
    other = [dict(listing, supplier="Marrowby", sku=f"X-{n}", gtin="") for n, listing in enumerate(DISPUTED * 5)]
    odd = {"supplier": "Tannery Row", "sku": "T-1", "gtin": GTIN, "marking": "225/65R17 99V"}
    across = ListingComparison(tmp_path, book)
    across.take(0, facts_of([odd], book))
    across.take(1, facts_of([*DISPUTED, *other], book))
    across.forget(1)
    across.take(2, facts_of([dict(odd, sku="T-2")], book))

    def fetch(feed, records, fields):
        assert feed != 1
        assert fields == {"gtin", "marking", "size"}
        return {name: pa.array([text] * len(records)) for name, text in (("supplier", "Tannery Row"), ("gtin", GTIN))}

    found = [(feed, table.to_pylist()) for feed, table in across.findings(fetch)]
    assert [(feed, row["rule"], row["field"]) for feed, rows in found for row in rows] == [
        (2, "listing-duplicated", "gtin")
    ]


def test_counts_that_leave_memory_say_the_same(tmp_path):
    generator = np.random.default_rng(5)
    counts = np.zeros(4000, dtype=peers_module.COUNT)
    counts["group"] = generator.integers(1, 150, len(counts)).astype(np.uint64) * np.uint64(0x9E3779B97F4A7C15)
    counts["index"] = np.where(generator.random(len(counts)) < 0.9, 100, generator.integers(95, 105, len(counts)))
    counts["brand"] = generator.integers(0, 4, len(counts))
    counts["count"] = 1
    few, many = PeerCounts(tmp_path, in_memory=200), PeerCounts(tmp_path / "unused")
    for start in range(0, len(counts), 100):
        few._keep(peers_module.summed(counts[start : start + 100]))
        many._keep(peers_module.summed(counts[start : start + 100]))
    assert few._spilled and not many._spilled
    whole = many.odd()
    assert len(whole) > 50
    assert few.odd().tolist() == whole.tolist()
    assert sorted(peers_standing_apart(peers_module.summed(counts)).tolist()) == sorted(whole.tolist())
