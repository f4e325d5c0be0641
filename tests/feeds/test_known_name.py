"""Names of files without what changes from night to night."""

from __future__ import annotations

import pytest

from auditor.feeds.known_name import known_folder, known_name, without_dates


@pytest.mark.parametrize(
    "name",
    [
        "north.csv",
        "North_2026-03-01.csv",
        "in/2026/north-20260301.csv.gz",
        "north.2026.03.01.csv",
        "north_01.03.2026.xlsx",
        "north 1.3.2026.csv",
        "north_20260301_023000.parquet",
        "north-2026-03-01T02-30-00Z.csv",
        "north_2026-03-01_02-30.csv",
        "north20260301.csv",
        "north (2).csv",
        "north-3.csv",
        "north_v2.csv",
        "north part 2.csv",
        "north_0001.csv",
        "north-1709251200.jsonl",
        "north Mar 2026.csv",
        "north 01 march 26.csv",
        "north_kw09_2026.csv",
        "north-2026w09.csv",
        "2026-03-01_north.csv",
        "north_010326.csv",
    ],
)
def test_dates_and_counters_go(name: str) -> None:
    assert known_name(name) == "north"


@pytest.mark.parametrize(
    ("name", "known"),
    [
        ("shop24.csv", "shop24"),
        ("4wheels.csv", "4wheels"),
        ("north2.csv", "north2"),
        ("mark24.csv", "mark24"),
        ("marlow vale.csv", "marlow-vale"),
        ("dec_feed.csv", "dec-feed"),
        ("Ölmühle_2026-03-01.csv", "ölmühle"),
        ("2026-03-01.csv", ""),
    ],
)
def test_the_rest_stays(name: str, known: str) -> None:
    assert known_name(name) == known


def test_folders() -> None:
    assert known_folder("2026-03-01/north/feed.csv") == "north"
    assert known_folder("feed.csv") == ""


def test_a_name_to_be_shown_keeps_its_counters() -> None:
    assert without_dates("North_Tires_2026-03-01") == "North_Tires"
    assert without_dates("feed_0001") == "feed_0001"
    assert without_dates("2026-03-01") == "2026-03-01"
