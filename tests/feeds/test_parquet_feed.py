"""Parquet: types become text as a person writes it, row groups keep numbers, damage costs only what it hits."""

from __future__ import annotations

import pickle
from datetime import datetime
from decimal import Decimal
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from auditor.errors import FeedError
from auditor.feeds import parquet_feed
from auditor.feeds.locate import find_feeds
from auditor.feeds.model import HELD, RELEASED, Limits
from auditor.mapping.opening import open_feeds
from tests.feeds.reading import everything, opened

SIZES = ["225/65R17 102H", "205/55R16 91V", "195/65R15 91H"]


def sample_table(records: int = 9) -> pa.Table:
    return pa.table(
        {
            "sku": pa.array([f"{number:05}" for number in range(records)]),
            "marking": pa.array([SIZES[number % 3] for number in range(records)]).dictionary_encode(),
            "max_load_kg": pa.array([850.0, 615.0, None] * (records // 3)),
            "tread_depth_mm": pa.array([Decimal("8.50"), Decimal("8.00"), Decimal("7.25")] * (records // 3)),
            "gtin": pa.array([4012345678901 + number for number in range(records)]),
            "winter": pa.array([True, False, None] * (records // 3)),
            "listed": pa.array([datetime(2031, 10, 5), None, datetime(2031, 10, 5, 12, 30)] * (records // 3)),
            "load": pa.array([{"kg": 850, "note": "x"}, None, {"kg": 615, "note": None}] * (records // 3)),
            "tags": pa.array([["a", "b"], [], None] * (records // 3)),
        }
    )


def test_types_become_the_text_a_person_writes(tmp_path: Path) -> None:
    path = tmp_path / "typed.parquet"
    pq.write_table(sample_table(), path, row_group_size=4)
    feed = opened(path)
    cells, rejected = everything(feed)
    assert rejected == []
    assert feed.headers[-3:] == ("load.kg", "load.note", "tags")
    assert cells[1] == [
        "00000", SIZES[0], "850", "8.5", "4012345678901", "true", "2031-10-05", "850", "x", "['a', 'b']",
    ]  # fmt: skip
    assert cells[2] == ["00001", SIZES[1], "615", "8", "4012345678902", "false", "", "", "", "[]"]
    assert cells[9][6] == "2031-10-05 12:30:00.000000"[: len(cells[9][6])]


def test_split_keeps_schema_types_and_values(tmp_path: Path) -> None:
    path, table = tmp_path / "typed.parquet", sample_table()
    pq.write_table(table, path, row_group_size=4, compression="zstd")
    feed = opened(path)
    disposition = np.array([RELEASED, HELD, RELEASED] * 3, np.uint8)
    feed.split(tmp_path / "r.parquet", tmp_path / "h.parquet", disposition)
    released, held = pq.read_table(tmp_path / "r.parquet"), pq.read_table(tmp_path / "h.parquet")
    assert released.schema.equals(pq.read_table(path).schema)
    assert held.to_pylist() == [row for row, what in zip(table.to_pylist(), disposition, strict=True) if what == HELD]
    assert released.num_rows == 6
    assert pq.ParquetFile(tmp_path / "r.parquet").metadata.row_group(0).column(0).compression == "ZSTD"


def test_nothing_held_still_writes_the_held_file(tmp_path: Path) -> None:
    path = tmp_path / "typed.parquet"
    pq.write_table(sample_table(), path)
    opened(path).split(tmp_path / "r.parquet", tmp_path / "h.parquet", np.zeros(9, np.uint8))
    assert pq.read_table(tmp_path / "h.parquet").num_rows == 0


def test_few_distinct_texts_are_read_as_dictionaries(tmp_path: Path) -> None:
    path = tmp_path / "many.parquet"
    pq.write_table(sample_table(3000), path)
    feed = opened(path)
    block = feed.read(next(iter(feed.units())), [1, 0])
    assert block.columns[0].type == pa.dictionary(pa.int32(), pa.string())
    assert [column[4].as_py() for column in block.columns] == [SIZES[1], "00004"]


def test_a_huge_row_group_is_read_in_batches_with_exact_numbers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(parquet_feed, "BATCH_RECORDS", 100)
    path = tmp_path / "huge.parquet"
    pq.write_table(sample_table(999), path, row_group_size=999)
    feed = opened(path)
    unit = next(iter(feed.units()))
    blocks = list(feed.blocks(unit, [0, 1]))
    assert len(blocks) == 10
    assert np.concatenate([block.records for block in blocks]).tolist() == list(range(1, 1000))
    whole = feed.read(unit, [1, 0])
    assert whole.columns[1].to_pylist() == [f"{number:05}" for number in range(999)]
    assert whole.columns[0].to_pylist()[:4] == [*SIZES, SIZES[0]]


def test_equal_headers_are_told_apart_by_position(tmp_path: Path) -> None:
    path = tmp_path / "double.parquet"
    arrays = [pa.array(["first"]), pa.array([SIZES[0]]), pa.array(["second"])]
    pq.write_table(pa.Table.from_arrays(arrays, names=["title", "marking", "title"]), path)
    feed = opened(path)
    assert everything(feed)[0] == {1: ["first", SIZES[0], "second"]}
    assert feed.read(next(iter(feed.units())), [2]).columns[0].to_pylist() == ["second"]


def test_damaged_row_group_costs_its_own_records(tmp_path: Path) -> None:
    path = tmp_path / "damaged.parquet"
    pq.write_table(sample_table(9).select([0, 1]), path, row_group_size=3, compression="none", use_dictionary=False)
    data = bytearray(path.read_bytes())
    chunk = pq.ParquetFile(path).metadata.row_group(1).column(0)
    start = chunk.data_page_offset
    data[start : start + 12] = b"\xff" * 12
    path.write_bytes(data)
    cells, rejected = everything(opened(path))
    assert sorted(cells) == [1, 2, 3, 7, 8, 9]
    assert [item.record for item in rejected] == [4, 5, 6]
    assert rejected[0].reason.startswith("Row group 2 of the Parquet file is damaged")


def test_truncated_file_is_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "cut.parquet"
    pq.write_table(sample_table(), path)
    path.write_bytes(path.read_bytes()[:-20])
    with pytest.raises(FeedError, match=r"^cut\.parquet: not a whole Parquet file"):
        opened(path)


def test_partition_folders_give_their_values(tmp_path: Path) -> None:
    for supplier in ("ellermoor", "valbrune"):
        folder = tmp_path / f"supplier={supplier}" / "season=winter"
        folder.mkdir(parents=True)
        pq.write_table(sample_table().select(["sku", "marking"]), folder / "part-0.parquet")
    feeds = [feed for located in find_feeds([str(tmp_path)]) for feed in open_feeds(located)]
    assert [feed.name for feed in feeds] == [
        "supplier=ellermoor/season=winter/part-0.parquet",
        "supplier=valbrune/season=winter/part-0.parquet",
    ]
    assert [feed.supplier for feed in feeds] == ["ellermoor", "valbrune"]
    assert feeds[0].mapping.constants == {"supplier": "ellermoor", "season": "winter"}


def test_feeds_can_be_pickled(tmp_path: Path) -> None:
    path = tmp_path / "typed.parquet"
    pq.write_table(sample_table(), path)
    feed = opened(path)
    again = pickle.loads(pickle.dumps(feed))
    unit = pickle.loads(pickle.dumps(next(iter(feed.units()))))
    assert again.read(unit, [0]).columns[0].to_pylist()[0] == "00000"


def test_pages_that_unpack_without_end_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "bomb.parquet"
    cells = pa.array(["225/65R17 102H" + " " * 100_000] * 1000)
    pq.write_table(pa.table({"marking": cells}), path, compression="zstd", use_dictionary=False)
    assert path.stat().st_size < 1 << 20
    with pytest.raises(FeedError, match=r"bomb\.parquet: the pages unpack to 100,\d{3},\d{3} bytes from"):
        opened(path, Limits(unpacked_ratio=50))


def test_a_long_text_that_a_dictionary_repeats_is_not_listed_for_every_record(tmp_path: Path) -> None:
    path = tmp_path / "long.parquet"
    cells = pa.DictionaryArray.from_arrays(pa.array([0] * 5000, pa.int32()), pa.array(["x" * (4 << 20)]))
    pq.write_table(pa.table({"marking": ["225/65R17 102H"] * 5000, "note": cells}), path)
    feed = opened(path)
    assert len(feed.sample(2000)[0]) == 4
