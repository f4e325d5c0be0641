"""Suppliers that disagree on tread depth or weight of one product: minor, and only beyond what roundings explain."""

from __future__ import annotations

from pathlib import Path

import pytest

from auditor.rulebook.book import load_book
from tests.across.runs import run

GTIN = "2000300556670"


def found(folder: Path, *told: dict[str, str]) -> list[tuple[str, str, str]]:
    """(field, grade, message) of what suppliers disagree on, each telling something of the same product."""
    feeds = [[{"gtin": GTIN, "marking": "225/65R17 102H", "sku": f"S-{n}", **one}] for n, one in enumerate(told)]
    rows = run(folder, load_book(), feeds)
    return [(row["field"], row["grade"], row["message"]) for row in rows if row["rule"] == "suppliers-disagree"]


@pytest.mark.parametrize(
    ("one", "other", "disagree"),
    [
        ({"tread_depth_mm": "8.0"}, {"tread_depth_mm": "8.8"}, False),  # 1/32 in is 0.79 mm, and each is rounded
        ({"tread_depth_mm": "8.0"}, {"tread_depth_mm": "8.9"}, True),
        ({"tread_depth_32nds": "10"}, {"tread_depth_32nds": "11"}, False),
        ({"tread_depth_32nds": "10"}, {"tread_depth_mm": "8.9"}, True),
        ({"tire_weight_kg": "10.0"}, {"tire_weight_kg": "11.1"}, False),
        ({"tire_weight_kg": "10.0"}, {"tire_weight_kg": "11.2"}, True),
        ({"tire_weight_lb": "22"}, {"tire_weight_kg": "10"}, False),
        ({"tire_weight_lb": "22"}, {"tire_weight_kg": "22"}, True),
        ({"tread_depth_mm": "8.0"}, {"tread_depth_mm": ""}, False),
    ],
)
def test_how_far_apart(tmp_path: Path, one: dict[str, str], other: dict[str, str], disagree: bool) -> None:
    rows = found(tmp_path, one, other)
    assert bool(rows) == disagree
    assert {grade for _, grade, _ in rows} <= {"minor"}
    if disagree:
        assert {field for field, _, _ in rows} == {next(iter(one)), next(iter(other))}


def test_who_says_what(tmp_path: Path) -> None:
    rows = found(tmp_path, {"tread_depth_mm": "8.0"}, {"tread_depth_mm": "8.0"}, {"tread_depth_mm": "10.5"})
    assert rows[0][2] == (
        'States "8.0" in tread_depth_mm, but listings of the same product from other suppliers differ (tread depth: '
        "feed0.csv and feed1.csv say 8 mm, feed2.csv says 10.5 mm, so feed2.csv is the odd one out of 3): ask the "
        "suppliers which is right before any of them is published."
    )


def test_a_dispute_over_the_tire_stands_beside_it(tmp_path: Path) -> None:
    feeds = [
        [{"gtin": GTIN, "marking": "225/65R17 102H", "tire_weight_kg": "11"}],
        [{"gtin": GTIN, "marking": "225/65R17 102V", "tire_weight_kg": "15"}],
    ]
    rows = run(tmp_path, load_book(), feeds)
    assert [(row["feed"], row["field"], row["grade"]) for row in rows] == [
        (0, "marking", "major"),
        (0, "tire_weight_kg", "minor"),
        (1, "marking", "major"),
        (1, "tire_weight_kg", "minor"),
    ]


def test_a_difference_within_one_supplier_is_no_other_tire(tmp_path: Path) -> None:
    one = {"supplier": "Northfield Supply", "sku": "LM-1", "gtin": GTIN, "marking": "225/65R17 102H"}
    rows = run(tmp_path, load_book(), [[{**one, "tread_depth_mm": "8"}, {**one, "tread_depth_mm": "10"}]])
    assert [row["rule"] for row in rows] == ["listing-duplicated"]
