"""Released and held Parquet files hold the feed's records and types, however the feed is encoded and parted."""

from __future__ import annotations

import threading
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from auditor.errors import FeedError
from auditor.feeds import parquet_split
from auditor.feeds.locate import find_feeds
from auditor.feeds.model import HELD, REJECTED, RELEASED, Feed
from auditor.feeds.stopping import Stopped, watch_for_stop
from auditor.mapping.opening import open_feeds

RECORDS = 9_000


def listings() -> pa.Table:
    """Few distinct texts and many, missing cells, other types, and metadata of the writer's own."""
    numbers = np.arange(RECORDS)
    table = pa.table(
        {
            "sku": [f"A{number:06d}" for number in numbers],
            "marking": [None if number % 11 == 0 else f"{155 + number % 12 * 10}/65R16 98H" for number in numbers],
            "season": ["winter", "summer", None] * (RECORDS // 3),
            "title": [f"Tire number {number} of a long list, with words that fill the cell" for number in numbers],
            "kept_type": pa.array(["a", "b", "c"] * (RECORDS // 3), pa.large_string()),
            "coded": pa.array(["x", "y", "z"] * (RECORDS // 3)).dictionary_encode(),
            "load": pa.array([{"kg": 850, "note": "x"}, None, {"kg": 615, "note": None}] * (RECORDS // 3)),
            "listed": pa.array(numbers, pa.timestamp("us", "Europe/Paris")),
        }
    )
    return table.replace_schema_metadata({"origin": "an invented exporter"})


def opened(path: Path) -> Feed:
    return open_feeds(find_feeds([str(path)])[0])[0]


def parted(feed: Feed, folder: Path, disposition: np.ndarray) -> tuple[Path, Path]:
    released, held = folder / "r.parquet", folder / "h.parquet"
    feed.split(released, held, disposition)
    return released, held


def share_of(held: float) -> np.ndarray:
    disposition = (np.random.default_rng(7).random(RECORDS) < held).astype(np.uint8)
    disposition[::500] = REJECTED
    return disposition


@pytest.mark.parametrize("held", [0.0, 0.04, 0.5, 0.97])
@pytest.mark.parametrize("group", [700, 4_000, RECORDS])
def test_every_record_goes_where_it_belongs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, held: float, group: int
) -> None:
    monkeypatch.setattr(parquet_split, "GROUP_RECORDS", 2_000)
    monkeypatch.setattr(parquet_split, "BATCH_RECORDS", 600)
    path, table, disposition = tmp_path / "feed.parquet", listings(), share_of(held)
    pq.write_table(table, path, row_group_size=group)
    for part, wanted in zip(parted(opened(path), tmp_path, disposition), (RELEASED, HELD), strict=True):
        found = pq.read_table(part)
        assert found.schema.equals(pq.read_table(path).schema, check_metadata=True)
        assert found.equals(pq.read_table(path).filter(pa.array(disposition == wanted)))


@pytest.mark.parametrize("encoding", [{"use_dictionary": False}, {"use_dictionary": ["season"]}, {"version": "1.0"}])
def test_other_encodings_of_the_feed(tmp_path: Path, encoding: dict[str, object]) -> None:
    path, disposition = tmp_path / "feed.parquet", share_of(0.1)
    pq.write_table(listings(), path, row_group_size=5_000, compression="none", **encoding)
    released, held = parted(opened(path), tmp_path, disposition)
    rows = pq.read_table(path).to_pylist()
    for part, wanted in ((released, RELEASED), (held, HELD)):
        assert pq.read_table(part).to_pylist() == [
            row for row, what in zip(rows, disposition, strict=True) if what == wanted
        ]


def test_a_dictionary_that_grows_too_large_later(tmp_path: Path) -> None:
    """A column is judged by its first row groups; further down it may be anything."""
    texts = ["same"] * 6_000 + [f"other text {number} " * 20 for number in range(6_000)]
    path = tmp_path / "feed.parquet"
    table = pa.table({"marking": ["195/65R15 91H"] * 12_000, "title": texts})
    pq.write_table(table, path, row_group_size=3_000, dictionary_pagesize_limit=20_000)
    disposition = np.zeros(12_000, np.uint8)
    disposition[5::100] = HELD
    released, held = parted(opened(path), tmp_path, disposition)
    assert pq.read_table(released).equals(table.filter(pa.array(disposition == RELEASED)))
    assert pq.read_table(held).equals(table.filter(pa.array(disposition == HELD)))


def damaged_behind(path: Path, column: str, group: int) -> None:
    """Overwrites the last bytes of a column chunk, so that the records before them can be read."""
    file = pq.ParquetFile(path)
    position = file.schema_arrow.names.index(column)
    chunk = file.metadata.row_group(group).column(position)
    end = (chunk.dictionary_page_offset or chunk.data_page_offset) + chunk.total_compressed_size
    content = bytearray(path.read_bytes())
    content[end - 400 : end] = b"\xff" * 400
    path.write_bytes(content)


def long_texts(path: Path) -> pa.Table:
    words = np.random.default_rng(3).integers(0, 10**9, 4_000)
    table = pa.table({"marking": ["195/65R15 91H"] * 4_000, "notes": [f"{word} " * 30 for word in words.tolist()]})
    pq.write_table(table, path, row_group_size=2_000, data_page_size=4_000, compression="snappy", use_dictionary=False)
    return table


def test_records_before_the_damage_are_copied(tmp_path: Path) -> None:
    path = tmp_path / "feed.parquet"
    table = long_texts(path)
    damaged_behind(path, "notes", 1)
    disposition = np.zeros(4_000, np.uint8)
    disposition[3_000:] = REJECTED
    released, _ = parted(opened(path), tmp_path, disposition)
    assert pq.read_table(released).equals(table.slice(0, 3_000))


def test_damage_in_a_column_that_no_rule_reads_is_told(tmp_path: Path) -> None:
    path = tmp_path / "feed.parquet"
    long_texts(path)
    damaged_behind(path, "notes", 1)
    with pytest.raises(FeedError, match=r"^feed\.parquet: row group 2 is damaged in a column that no rule reads"):
        parted(opened(path), tmp_path, np.zeros(4_000, np.uint8))


@pytest.mark.parametrize("name", ["night.parquet", "night.csv", "night.jsonl"])
def test_a_split_ends_where_it_is_asked_to(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    if name.endswith("parquet"):
        pq.write_table(listings(), path)
    elif name.endswith("csv"):
        path.write_text("sku,marking\n" + "".join(f"A{number},195/65R15 91H\n" for number in range(RECORDS)))
    else:
        lines = (f'{{"sku": "A{number}", "marking": "195/65R15 91H"}}\n' for number in range(RECORDS))
        path.write_text("".join(lines))
    feed, stop, seen = opened(path), threading.Event(), []

    def work() -> None:
        watch_for_stop(stop)
        try:
            feed.split(tmp_path / "r", tmp_path / "h", np.zeros(RECORDS, np.uint8))
        except Stopped as stopped:
            seen.append(stopped)

    stop.set()
    thread = threading.Thread(target=work)
    thread.start()
    thread.join(20)
    assert len(seen) == 1
