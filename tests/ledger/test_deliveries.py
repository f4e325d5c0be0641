"""Deliveries that are unlike those before, and which feed is which."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from auditor.ledger.deliveries import Delivery
from tests.ledger.nights import COLUMNS, LIMITS, delivery, night

START = dt.date(2026, 3, 2)


@pytest.fixture
def ledger(tmp_path: Path) -> str:
    return str(tmp_path / "nights.db")


def run(ledger: str, day: int, *feeds: Delivery | str, every: dict[str, float] | None = None) -> list[dict[str, Any]]:
    """The changed deliveries of a day, each without what all have."""
    limits = replace(LIMITS, drift=replace(LIMITS.drift, every_days=every or {}))
    name = (START + dt.timedelta(days=day)).isoformat()
    told = night(ledger, name, feeds=feeds, limits=limits).told
    return [{name: entry[name] for name in ("feed", "what", "before", "now")} for entry in told.delivery_changed]


def usual(day: int, **changed: Any) -> Delivery:
    return delivery("north", **{"sha256": (f"file-{day}",), **changed})


def test_a_first_night_has_no_drift(ledger: str) -> None:
    assert run(ledger, 0, usual(0)) == []
    assert run(ledger, 1, usual(1), "south") == []


def test_fewer_records(ledger: str) -> None:
    for day, records in enumerate((100, 104, 96)):
        assert run(ledger, day, usual(day, records=records)) == []
    assert run(ledger, 3, usual(3, records=75)) == []
    assert run(ledger, 4, usual(4, records=50)) == [{"feed": "north", "what": "fewer-records", "before": 98, "now": 50}]


def test_what_is_usual_is_the_median_of_the_last_seven(ledger: str) -> None:
    for day in range(4):
        run(ledger, day, usual(day, records=100))
    for day in range(4, 8):
        assert run(ledger, day, usual(day, records=50))[0]["what"] == "fewer-records"
    assert run(ledger, 8, usual(8, records=50)) == []


def test_a_feed_of_changes_may_have_few_records(ledger: str) -> None:
    run(ledger, 0, usual(0, changes=True))
    assert run(ledger, 1, usual(1, changes=True, records=3, held=0)) == []


def test_a_lost_column(ledger: str) -> None:
    run(ledger, 0, usual(0))
    left = {name: header for name, header in COLUMNS.items() if name != "max_load_kg"}
    lost = {"feed": "north", "what": "column-lost", "before": "Max load (kg)", "now": None}
    assert run(ledger, 1, usual(1, columns=left)) == [lost]
    assert run(ledger, 2, usual(2, columns=left)) == [lost]  # until it is what is usual
    assert run(ledger, 3, usual(3, columns=left)) == []
    assert run(ledger, 4, usual(4, columns={**COLUMNS, "max_load_kg": "Load"})) == []


def test_a_lost_column_that_no_rule_needs_sets_no_exit_code(ledger: str) -> None:
    columns = {**COLUMNS, "model": "Pattern"}
    night(ledger, "2026-03-02", feeds=[usual(0, columns=columns)])
    told = night(ledger, "2026-03-03", feeds=[usual(1)]).told
    (entry,) = told.delivery_changed
    assert (entry["field"], entry["sets_exit_code"]) == ("model", False)
    assert entry["said"] == "has lost its column 'Pattern' (model)"
    assert entry["supplier"] == "North"


def test_a_daily_feed_is_missed_at_once(ledger: str) -> None:
    for day in range(3):
        run(ledger, day, usual(day), "south")
    assert run(ledger, 3, "south") == [{"feed": "north", "what": "not-delivered", "before": "2026-03-04", "now": None}]


def test_a_weekly_feed_is_missed_when_its_gap_is_exceeded_by_half(ledger: str) -> None:
    for day in range(22):
        feeds = ["south", *([usual(day)] if day % 7 == 0 else [])]
        assert run(ledger, day, *feeds) == []
    for day in range(22, 32):
        assert run(ledger, day, "south") == []
    assert [one["what"] for one in run(ledger, 32, "south")] == ["not-delivered"]


def test_the_job_may_say_how_often_a_feed_comes(ledger: str) -> None:
    run(ledger, 0, usual(0), "south")
    assert run(ledger, 3, "south", every={"north": 2}) == []
    assert [one["what"] for one in run(ledger, 4, "south", every={"north": 2})] == ["not-delivered"]


def test_the_very_file_of_an_earlier_night(ledger: str) -> None:
    for day in range(3):
        run(ledger, day, usual(day))
    assert run(ledger, 3, usual(1)) == [
        {"feed": "north", "what": "same-file", "before": "2026-03-03", "now": "2026-03-05"}
    ]


def test_a_weekly_file_that_lies_there_all_week(ledger: str) -> None:
    for day in range(25):
        assert run(ledger, day, usual(day // 7)) == []
    for day in range(25, 32):
        assert run(ledger, day, usual(3)) == []
    assert [one["what"] for one in run(ledger, 32, usual(3))] == ["same-file"]


def test_more_of_it_is_held(ledger: str) -> None:
    for day in range(3):
        run(ledger, day, usual(day, held=10))
    assert run(ledger, 3, usual(3, held=20)) == []
    assert run(ledger, 4, usual(4, held=21)) == [{"feed": "north", "what": "held-share", "before": 0.1, "now": 0.21}]


def test_one_more_of_ten_is_no_jump(ledger: str) -> None:
    run(ledger, 0, usual(0, records=10, held=0))
    assert run(ledger, 1, usual(1, records=10, held=4)) == []
    assert run(ledger, 2, usual(2, records=10, held=8)) != []


def test_several_files_of_one_feed_are_added_up(ledger: str) -> None:
    one, two = usual(0, file="north-one", records=60), usual(0, file="north-one", records=40, sha256=("b",))
    run(ledger, 0, one, two)
    assert run(ledger, 1, usual(1, file="north-one", records=60)) == [
        {"feed": "north", "what": "fewer-records", "before": 100, "now": 60}
    ]


def test_feeds_of_one_name_are_told_apart_by_their_folders(ledger: str) -> None:
    east, west = (delivery("feed", file=f"{side}/feed", sha256=(side,)) for side in ("east", "west"))
    run(ledger, 0, east, west)
    later = [replace(one, sha256=(f"{one.file}-later",)) for one in (east, west)]
    run(ledger, 1, *later)
    assert run(ledger, 2, replace(west, sha256=("last",))) == [
        {"feed": "east/feed", "what": "not-delivered", "before": "2026-03-03", "now": None}
    ]


def test_a_feed_keeps_its_name_when_another_of_that_name_comes(ledger: str) -> None:
    run(ledger, 0, delivery("feed", file="east/feed", sha256=("1",)))
    both = [delivery("feed", file=f"{side}/feed", sha256=(side,)) for side in ("east", "west")]
    assert run(ledger, 1, *both) == []
    assert [one["feed"] for one in run(ledger, 2, replace(both[1], sha256=("2",)))] == ["feed"]
