"""Listings written by hand from published tables: every answer found, no right one accused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.catalog import write
from tests.catalog.judge import Verdict, judge
from tests.quality import REFERENCE, audit, written_listings

ENTRIES = [json.loads(line) for line in REFERENCE.read_text("utf-8").splitlines()]


@pytest.fixture(scope="module")
def verdict(tmp_path_factory: pytest.TempPathFactory) -> Verdict:
    folder: Path = tmp_path_factory.mktemp("written")
    laid, _ = written_listings()
    write.parquet(folder / "listings.parquet", laid.rows)
    return judge(laid, audit([folder / "listings.parquet"], folder / "out"))


def test_there_are_enough_and_each_names_its_source() -> None:
    assert len(ENTRIES) >= 200
    assert len({entry["title"] for entry in ENTRIES}) == len(ENTRIES)
    assert all(entry["source"] for entry in ENTRIES)


def test_every_answer_is_found(verdict: Verdict) -> None:
    misses = [(answer.kind, lack) for answer, lack, _ in verdict.misses if lack != "not caused"]
    assert misses == []


def test_no_right_listing_is_accused(verdict: Verdict) -> None:
    assert [(finding["marking"], finding["message"]) for _, finding in verdict.alarms] == []
