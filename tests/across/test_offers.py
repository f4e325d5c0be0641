"""Tires that are offered in place of others: by SKU, by marking, in lists, by a file of pairs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as some

from auditor.across.block_offers import split_cells
from auditor.across.comparison import ListingComparison
from auditor.across.facts import block_facts
from auditor.across.pair_file import PairFile
from auditor.engine.unit_audit import UnitAuditor
from auditor.errors import UsageError
from auditor.feeds.model import Block
from auditor.rulebook.book import load_book
from auditor.substitution.offers import marking_of, parted
from tests.across.runs import plan_of, run

NORTH, EAST = "Northfield Supply", "Eastmere Tires"


def tire(sku: str, marking: str, supplier: str = NORTH, **more: str) -> dict[str, str]:
    return {"supplier": supplier, "sku": sku, "marking": marking, **more}


def offers(folder: Path, *feeds: list[dict[str, str]], **settings: Any) -> list[tuple[int, int, str, str]]:
    """(feed, record, field, rule) of what is offered and lacks something."""
    rows = run(folder, load_book(), list(feeds), **settings)
    return [
        (row["feed"], row["record"], row["field"], row["rule"]) for row in rows if row["rule"].startswith("substitute-")
    ]


@pytest.mark.parametrize(
    ("cell", "entries"),
    [
        ("A-1", ["A-1"]),
        ("A-1; A-2|A-3", ["A-1", "A-2", "A-3"]),
        ("A-1, A-2,1003", ["A-1", "A-2", "1003"]),
        ('["A-1","A-2"]', ["A-1", "A-2"]),
        ("A-1\nA-2\t A-3 ;", ["A-1", "A-2", "A-3"]),
        ("225/65R17 102H, 225/65R17 102V", ["225/65R17 102H", "225/65R17 102V"]),
        ("31x10,50R15LT 109S; 4,00-8", ["31x10.50R15LT 109S", "4.00-8"]),
    ],
)
def test_cells_are_parted(cell: str, entries: list[str]) -> None:
    assert split_cells(pa.array([cell])).to_pylist() == [entries]
    assert parted(cell) == entries


@given(some.text(alphabet='A1 0,;|\t\n\r"[]x-R/', max_size=24))
def test_one_cell_is_parted_as_a_column_is(cell: str) -> None:
    assert split_cells(pa.array([cell])).to_pylist() == [parted(cell)]


@pytest.mark.parametrize(
    ("text", "marking"),
    [
        ("225/65 R17 102 H", "225/65R17 102H"),
        ("2256517102", ""),  # more likely a SKU
        ("LM-101", ""),
        ("225/65R17 or 235/65R17", ""),
    ],
)
def test_what_counts_as_a_marking(text: str, marking: str) -> None:
    assert marking_of(text) == marking


def test_both_directions(tmp_path: Path) -> None:
    strong, weak = tire("A", "225/65R17 106V XL"), tire("B", "225/65R17 102H")
    assert offers(tmp_path / "1", [{**strong, "substitutes": "B"}, weak]) == [
        (0, 1, "substitutes", "substitute-load-lower")
    ]
    assert offers(tmp_path / "2", [strong, {**weak, "substitutes": "A"}]) == []
    assert offers(tmp_path / "3", [strong, {**weak, "replaces": "A"}]) == [(0, 2, "replaces", "substitute-load-lower")]
    assert offers(tmp_path / "4", [{**strong, "replaces": "B"}, weak]) == []


@pytest.fixture(autouse=True)
def folders(tmp_path: Path) -> None:
    for name in "1234":
        (tmp_path / name).mkdir()


def test_the_graver_rule_speaks_once_per_cell(tmp_path: Path) -> None:
    feed = [
        tire("A", "225/65R17 102H", substitutes="B, C, D"),
        tire("B", "225/65R17 102T"),
        tire("C", "235/60R18 107V XL"),
        tire("D", "225/65R17 102V"),
    ]
    (row,) = run(tmp_path, load_book(), [feed])
    assert (row["record"], row["field"], row["rule"]) == (1, "substitutes", "substitute-rim-differs")
    assert "for rims of 17 in; 1 more of its entries falls short: take the offer out" in row["message"]


def test_the_suppliers_own_sku_goes_before_anothers(tmp_path: Path) -> None:
    feeds = [
        [tire("A", "225/65R17 102H", substitutes="B"), tire("B", "225/65R17 102V")],
        [tire("B", "225/65R17 99H", EAST)],
    ]
    assert offers(tmp_path / "1", *feeds) == []
    feeds[0].pop()
    assert offers(tmp_path / "2", *feeds) == [(0, 1, "substitutes", "substitute-load-lower")]


def test_a_sku_of_two_tires_cannot_be_told(tmp_path: Path) -> None:
    feed = [tire("A", "225/65R17 102H", substitutes="B"), tire("B", "225/65R17 99H"), tire("B", "225/60R17 99H")]
    assert offers(tmp_path, feed) == []


def test_a_tire_in_place_of_itself_says_nothing(tmp_path: Path) -> None:
    assert offers(tmp_path, [tire("A", "225/65R17", substitutes="A; a ")]) == []


@pytest.mark.parametrize("size", [1, 2, 1000])
def test_where_blocks_end_changes_nothing(tmp_path: Path, size: int) -> None:
    feed = [tire(f"S{n}", f"225/65R17 {102 - n % 3}H", substitutes=f"S{(n + 1) % 9};S{(n + 2) % 9}") for n in range(9)]
    found = offers(tmp_path, feed, size=size, most_rows=2)
    assert found == [(0, n + 1, "substitutes", "substitute-load-lower") for n in range(9) if n % 3 < 2]


def test_what_fields_of_their_own_add_counts(tmp_path: Path) -> None:
    plain = tire("A", "225/45R17 94W XL", load_version="", severe_snow="", substitutes="B")
    other = tire("B", "225/45R17 94W", load_version="XL", severe_snow="no")
    assert offers(tmp_path / "1", [plain, other]) == []
    assert offers(tmp_path / "2", [plain, {**other, "load_version": ""}]) == [
        (0, 1, "substitutes", "substitute-version-lower")
    ]
    slower = tire("B", "225/45R17 94H XL", severe_snow="yes")
    assert offers(tmp_path / "3", [plain, slower]) == []
    assert offers(tmp_path / "4", [plain, {**slower, "severe_snow": "no"}]) == [
        (0, 1, "substitutes", "substitute-speed-lower")
    ]


def test_pairs_of_a_file_and_what_no_listing_has(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    path.write_text("SKU;substitute_sku\nA;B\nA;C\nZ;A\nB;0042\n;A\n", encoding="utf-8")
    pairs = PairFile(path)
    feed = [tire("A", "225/65R17 102H"), tire("B", "225/65R17 99H"), tire("C", "225/65R17 102T")]
    rows = run(tmp_path, load_book(), [feed], pairs=pairs)
    assert [(row["record"], row["rule"], row["column"], row["stated"]) for row in rows] == [
        (1, "substitute-load-lower", "pairs.csv", "B"),
        (1, "substitute-speed-lower", "pairs.csv", "C"),
    ]
    assert pairs.told() == {"file": "pairs.csv", "pairs": 4, "unknown": 1, "unknown_examples": ["Z"]}


@pytest.mark.parametrize(
    ("text", "said"),
    [("sku,other\nA,B\n", "names no column 'substitute_sku'"), ("", "is no CSV file of pairs")],
)
def test_a_file_of_pairs_that_is_none(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "pairs.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(UsageError, match=said):
        PairFile(path)


def test_a_missing_file_of_pairs(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="cannot be read"):
        PairFile(tmp_path / "none.csv")


def test_messages_name_both_tires_and_both_figures(tmp_path: Path) -> None:
    feed = [tire("A", "205/55R16 91V", substitutes="B; C"), tire("B", "205/55R16 91V"), tire("C", "205/65R16 95V")]
    (row,) = run(tmp_path, load_book(), [feed])
    assert row["message"] == (
        'States "B; C" in substitutes, but C (205/65R16 95V) measures 672 mm (26.5 in) and this tire (205/55R16 91V) '
        "measures 632 mm (24.9 in), +6.3 %: take the offer out, or ask the supplier."
    )
    assert row["evidence"] == "in place of it fails: diameter; compared with record 3 of this feed"


@pytest.mark.parametrize(
    ("field", "text", "rules"),
    [
        ("description", "Quiet and strong. Replaces 225/65R17 102V.", ["substitute-speed-lower"]),
        ("description", "Replaces 225/65R17 102H.", []),
        ("description", "Replaces 225/65R17 102H, 225/65R17 102V or 225/65R17 100H.", ["substitute-speed-lower"]),
        ("description", "Replaces 225/65R17 102H and 225/65R17 102V is on stock too.", []),
        ("title", "Larkmoor Vista 225/65R17 102H replaces 225/65R17 106H XL", ["substitute-load-lower"]),
        ("description", "Ersetzt 225/60R16 98H.", ["substitute-rim-differs"]),
        ("description", "Replaces 225/60R18 on some trims.", []),
        ("description", "Does not replace 225/65R17 102V.", []),
        ("description", "Does it replace 225/65R17 102V?", []),
        ("description", "It is replaced by 225/65R17 102V.", []),
        ("description", "If it replaces 225/65R17 102V, keep below 130 mph.", []),
    ],
)
def test_what_texts_say_a_tire_replaces(tmp_path: Path, field: str, text: str, rules: list[str]) -> None:
    rows = run(tmp_path, load_book(), [[tire("A", "225/65R17 102H", **{field: text}), tire("B", "205/55R16 91V")]])
    found = [row for row in rows if row["rule"].startswith("substitute-")]
    assert [(row["record"], row["field"], row["rule"]) for row in found] == [(1, field, rule) for rule in rules]


def test_what_a_lost_feed_offers_counts_for_nothing(tmp_path: Path) -> None:
    book = load_book()
    auditor = UnitAuditor(book)
    across = ListingComparison(tmp_path, book, offered=True)
    assert across.want.substitutes and across.want.sku
    feeds = [[tire("B", "225/65R17 99H")], [tire("A", "225/65R17 102H", substitutes="B;Z")]]
    for number, listings in enumerate(feeds):
        plan = plan_of(f"feed{number}", list(listings[0]))
        columns = [pa.array([one[field] for one in listings]) for field in listings[0]]
        records = np.arange(1, len(listings) + 1)
        st = auditor.statements(plan, Block(0, columns, records))
        across.take(number, block_facts(plan, st, records, across.want))
    across.forget(1)
    assert list(across.findings(lambda *_: {})) == []
    assert across.offer_counts(lambda *_: {}) == {}
