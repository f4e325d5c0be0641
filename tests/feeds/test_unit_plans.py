"""A text is looked through once however often its units are asked for, and anew when it has changed."""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from pathlib import Path

import pytest

from auditor.feeds import csv_units
from auditor.feeds.model import WorkUnit
from auditor.feeds.unit_plans import planned_once
from tests.feeds.reading import opened


def feed_of(folder: Path, records: int) -> Path:
    path = folder / "feed.csv"
    path.write_text("sku,marking\n" + "".join(f"{number},225/65R17\n" for number in range(records)))
    return path


def test_units_are_searched_once_and_in_part(tmp_path: Path) -> None:
    searched: list[int] = []

    def search() -> Iterator[WorkUnit]:
        for index in range(5):
            searched.append(index)
            yield WorkUnit(index, 1, 1)

    path = feed_of(tmp_path, 1)
    first = list(islice(planned_once(path, "how", search), 2))
    assert searched == [0, 1]
    with ThreadPoolExecutor(4) as pool:
        plans = list(pool.map(lambda _: list(planned_once(path, "how", search)), range(8)))
    assert searched == [0, 1, 2, 3, 4]
    assert all(plan == plans[0] and plan[:2] == first for plan in plans)


def test_another_file_or_another_way_is_another_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = feed_of(tmp_path, 400)
    feed = opened(path)
    assert [unit.records for unit in feed.units()] == [400]
    monkeypatch.setattr(csv_units, "CHUNK_BYTES", 1000)
    monkeypatch.setattr(csv_units, "UNIT_RECORDS", 100)
    assert len(list(feed.units())) > 1
    feed_of(tmp_path, 300)
    os.utime(path, ns=(1, 1))
    assert sum(unit.records or 0 for unit in opened(path).units()) == 300


def test_a_search_that_fails_fails_for_all_and_is_tried_again(tmp_path: Path) -> None:
    tries: list[int] = []

    def search() -> Iterator[WorkUnit]:
        tries.append(1)
        yield WorkUnit(0, 1, 1)
        if len(tries) == 1:
            raise OSError("gone")

    path = feed_of(tmp_path, 1)
    one, other = planned_once(path, "how", search), planned_once(path, "how", search)
    for units in (one, other):
        with pytest.raises(OSError, match="gone"):
            list(units)
    assert len(list(planned_once(path, "how", search))) == 1
    assert len(tries) == 2
