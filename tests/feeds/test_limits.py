"""Endless records, many threads, and the encodings that bytes alone must tell apart."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from auditor.errors import FeedError
from auditor.feeds import csv_units
from auditor.feeds.encoding import detect_encoding
from auditor.feeds.model import RELEASED, Limits
from tests.feeds.reading import everything, opened, split_texts
from tests.feeds.traps import HEAD, table


def test_a_cell_of_40_megabytes_costs_its_record_alone(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    with path.open("wb") as out:
        out.write(HEAD.encode() + b"1,225/65R17 102H,850,a\n2,205/55R16 91V,615,")
        out.write(b"x" * (40 << 20))
        out.write(b"\n3,195/65R15 91H,615,c\n")
    feed = opened(path)
    cells, rejected = everything(feed)
    assert (sorted(cells), cells[3][0]) == ([1, 3], "3")
    assert [(item.record, item.reason) for item in rejected] == [
        (2, "The record is longer than the limit for one record.")
    ]
    assert len(rejected[0].text) == 2000
    released, _ = split_texts(feed, [RELEASED, 2, RELEASED], tmp_path)
    assert released == HEAD.encode() + b"1,225/65R17 102H,850,a\n3,195/65R15 91H,615,c\n"


def test_a_quoted_cell_beyond_the_limit_is_not_closed_in_time(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    long = '"' + "line\n" * 100 + '"'
    path.write_text(f"{HEAD}1,225/65R17 102H,850,a\n2,205/55R16 91V,615,{long}\n3,195/65R15 91H,615,c\n")
    cells, rejected = everything(opened(path, Limits(record_bytes=200)))
    assert rejected[0].record == 2
    last = max(cells)
    assert cells[last][0] == "3"


def test_cells_longer_than_the_readers_block(tmp_path: Path) -> None:
    path = tmp_path / "wide.csv"
    path.write_text(table([["1", "225/65R17 102H", "850", "y" * (3 << 20)], ["2", "205/55R16 91V", "615", "z"]]))
    cells, rejected = everything(opened(path))
    assert (len(cells[1][3]), cells[2][3], rejected) == (3 << 20, "z", [])


def test_too_many_columns(tmp_path: Path) -> None:
    path = tmp_path / "wide.csv"
    path.write_text(",".join(["marking", *map(str, range(200))]) + "\n")
    with pytest.raises(FeedError, match=r"wide\.csv: 201 columns are more than the limit of 100"):
        opened(path, Limits(columns=100))


def test_threads_read_units_in_any_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv_units, "CHUNK_BYTES", 2000)
    monkeypatch.setattr(csv_units, "UNIT_RECORDS", 100)
    rows = [
        [str(number), "225/65R17 102H", "850", f'a "{number}"\nb' if number % 7 == 0 else "c"] for number in range(5000)
    ]
    path = tmp_path / "many.csv"
    path.write_text(table(rows))
    feed = opened(path)
    units = list(feed.units())
    assert len(units) > 20
    with ThreadPoolExecutor(4) as pool:
        blocks = list(pool.map(lambda unit: feed.read(unit, [0]), reversed(units)))
    numbers = np.concatenate([block.records for block in reversed(blocks)])
    texts = [text for block in reversed(blocks) for text in block.columns[0].to_pylist()]
    assert numbers.tolist() == list(range(1, 5001))
    assert texts == [row[0] for row in rows]


@pytest.mark.parametrize(
    ("text", "encoding", "found"),
    [
        ("Größe Straße", "utf-8", "utf-8"),
        ("plain", "utf-8", "utf-8"),
        ("Größe Straße", "iso-8859-1", "windows-1252"),
        ("Größe – Straße €", "windows-1252", "windows-1252"),
        ("Nośność całoroczna żółć", "iso-8859-2", "iso-8859-2"),
        ("Nośność całoroczna źdźbło", "windows-1250", "windows-1250"),
        ("sku;marking\n1;225/65R17\n", "utf-16-le", "utf-16-le"),
        ("sku;marking\n1;225/65R17\n", "utf-16-be", "utf-16-be"),
    ],
)
def test_encodings(text: str, encoding: str, found: str) -> None:
    assert detect_encoding(text.encode(encoding)) == found


def test_a_few_bad_bytes_do_not_make_another_encoding() -> None:
    assert detect_encoding("Größe, Straße".encode() + b"\xff") == "utf-8"
    assert detect_encoding(b"all plain but \xfe\xff") == "utf-8"


@pytest.mark.parametrize("line", ['"\n', '1,"a\nb",c,d\n', '1,225/65R17 102H,850,"lost\n', '1,",850,x\n'])
def test_a_feed_of_faulty_quotes_costs_time_in_proportion_to_its_lines(tmp_path: Path, line: str) -> None:
    path = tmp_path / "quotes.csv"
    seconds = []
    for lines in (1000, 4000):
        path.write_text(HEAD + line * lines)
        before = time.process_time()
        everything(opened(path))
        seconds.append(time.process_time() - before)
    assert seconds[1] < 8 * seconds[0] + 0.5
