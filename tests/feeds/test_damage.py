"""Feeds damaged at random, from fixed seeds: each is read, rejected in part, or refused in one sentence."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
import xlsxwriter
import xlwt

from auditor.errors import AuditorError
from auditor.feeds.locate import find_feeds
from auditor.feeds.model import HELD, REJECTED
from auditor.feeds.splitting import split_feeds
from auditor.mapping.opening import open_feeds
from tests.feeds.reading import everything
from tests.feeds.traps import FOLDER, table, zipped

PIECES = [
    b'"',
    b"\n",
    b"\r",
    b"\0",
    b",",
    b'""',
    b"\n\n",
    b"\xff\xfe",
    b"{",
    b"[",
    b"]",
    b"\\ud83d",
    bytes(range(120, 140)),
]


def damaged(content: bytes, chance: random.Random) -> bytes:
    data = bytearray(content)
    for _ in range(chance.randint(1, 5)):
        kind = chance.random()
        position = chance.randrange(len(data) + 1)
        if kind < 0.4 and position < len(data):
            data[position] = chance.randrange(256)
        elif kind < 0.6:
            del data[position : position + chance.randint(1, 30)]
        elif kind < 0.8:
            data[position:position] = chance.choice(PIECES)
        else:
            del data[position:]
    return bytes(data)


def whole_feeds(folder: Path) -> list[Path]:
    """One sound feed of each kind."""
    rows = [["SKU", "Size"], ["1", "225/65R17"], ["2", "205/55R16"]]
    with xlsxwriter.Workbook(str(folder / "book.xlsx")) as book:
        sheet = book.add_worksheet()
        for number, row in enumerate(rows):
            sheet.write_row(number, 0, row)
    old = xlwt.Workbook()
    old_sheet = old.add_sheet("List")
    for number, row in enumerate(rows):
        for position, cell in enumerate(row):
            old_sheet.write(number, position, cell)
    old.save(str(folder / "old.xls"))
    pq.write_table(pa.table({"sku": ["1", "2"], "marking": ["225/65R17 102H", "x"]}), folder / "table.parquet")
    (folder / "night.zip").write_bytes(zipped({"a.csv": table().encode()}))
    stored = [path for path in FOLDER.iterdir() if 0 < path.stat().st_size < 20_000]
    return sorted([*stored, *folder.iterdir()], key=lambda path: path.name)


@pytest.mark.parametrize("seed", range(4))
def test_damage_is_never_more_than_one_sentence(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    (tmp_path / "whole").mkdir()
    for path in whole_feeds(tmp_path / "whole"):
        target = tmp_path / path.name
        target.write_bytes(damaged(path.read_bytes(), chance))
        try:
            feeds = [feed for located in find_feeds([str(target)]) for feed in open_feeds(located)]
        except AuditorError as error:
            assert "\n" not in str(error)
            continue
        dispositions = []
        for feed in feeds:
            cells, rejected = everything(feed)
            disposition = np.full(len(cells) + len(rejected), HELD, np.uint8)
            disposition[[(record.record or 1) - 1 for record in rejected]] = REJECTED
            dispositions.append(disposition)
        split_feeds(feeds, dispositions, tmp_path / "released", tmp_path / "held")
