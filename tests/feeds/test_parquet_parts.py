"""Parts of a row group: the same records in whatever order they are asked for, and read once where that is theirs."""

from __future__ import annotations

import os
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from auditor.feeds import parquet_feed
from auditor.feeds.locate import find_feeds
from auditor.feeds.model import Block
from auditor.feeds.parquet_feed import ParquetFeed
from auditor.mapping.opening import open_feeds

RECORDS = 1000


def written(path: Path, first: int = 0) -> None:
    numbers = range(first, first + 2 * RECORDS)
    columns = {
        "sku": [f"S{number}" for number in numbers],
        "marking": [f"225/65R17 {number % 9 + 95}H" for number in numbers],
    }
    pq.write_table(pa.table(columns), path, row_group_size=RECORDS)


@pytest.fixture
def feed(tmp_path: Path) -> ParquetFeed:
    written(tmp_path / "night.parquet")
    (opened,) = open_feeds(find_feeds([str(tmp_path)])[0])
    assert isinstance(opened, ParquetFeed)
    return opened


@pytest.fixture
def begun(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The row groups that are read from their beginning."""
    found: list[int] = []
    usual = ParquetFeed._parts

    def parts(self: ParquetFeed, unit: parquet_feed.WorkUnit, names: list[str]) -> object:
        found.append(unit.index)
        return usual(self, unit, names)

    monkeypatch.setattr(ParquetFeed, "_parts", parts)
    return found


def skus(feed: ParquetFeed, part: parquet_feed.WorkUnit) -> list[str]:
    (block,) = feed.blocks(part, [0])
    assert isinstance(block, Block) and block.records.tolist() == list(
        range(part.first_record, part.first_record + (part.records or 0))
    )
    texts: list[str] = pa.array(block.columns[0]).cast(pa.string()).to_pylist()
    return texts


def wanted(part: parquet_feed.WorkUnit, first: int = 0) -> list[str]:
    begin = part.first_record - 1 + first
    return [f"S{number}" for number in range(begin, begin + (part.records or 0))]


def test_parts_in_order_are_read_once(feed: ParquetFeed, begun: list[int]) -> None:
    parts = [part for unit in feed.units() for part in feed.finer(unit, 250)]
    assert len(parts) == 8
    for part in parts:
        assert skus(feed, part) == wanted(part)
    assert begun == [0, 1]


@pytest.mark.parametrize("order", [[3, 2, 1, 0], [0, 4, 1, 5], [2, 3, 2, 3], [1, 3, 0]])
def test_parts_in_any_order_are_the_same(feed: ParquetFeed, order: list[int]) -> None:
    parts = [part for unit in feed.units() for part in feed.finer(unit, 250)]
    for place in order:
        assert skus(feed, parts[place]) == wanted(parts[place])


def test_a_file_that_was_written_anew_is_read_anew(feed: ParquetFeed, begun: list[int]) -> None:
    first, second, *_ = feed.finer(next(iter(feed.units())), 250)
    assert skus(feed, first) == wanted(first)
    written(feed.path, first=7000)
    os.utime(feed.path, ns=(1, 1))  # whatever the clock of the file system can tell apart
    assert skus(feed, second) == wanted(second, 7000)
    assert begun == [0, 0]
