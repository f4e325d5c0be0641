"""What the feed tests share: opening a text as a feed and reading everything in it."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from auditor.feeds.locate import find_feeds
from auditor.feeds.model import Feed, Limits, Rejected
from auditor.mapping.opening import open_feeds


def opened(path: Path, limits: Limits | None = None) -> Feed:
    """The one feed of a file."""
    feeds = open_feeds(find_feeds([str(path)])[0], limits=limits)
    assert len(feeds) == 1
    return feeds[0]


def everything(feed: Feed) -> tuple[dict[int, list[str]], list[Rejected]]:
    """Cells by record number, and the rejected records; every record number occurs exactly once."""
    cells: dict[int, list[str]] = {}
    rejected: list[Rejected] = []
    expected = 1
    for unit in feed.units():
        assert unit.first_record == expected
        block = feed.read(unit, range(len(feed.headers)))
        texts = [[text or "" for text in column.to_pylist()] for column in block.columns]
        assert all(len(column) == len(block.records) for column in texts)
        for position, number in enumerate(block.records.tolist()):
            assert number not in cells
            cells[number] = [column[position] for column in texts]
        rejected += block.rejected
        expected += unit.records or 0
    numbers = sorted([*cells, *(record.record for record in rejected if record.record)])
    assert numbers == list(range(1, expected)), "every record is either read or rejected, once"
    return cells, rejected


def split_texts(feed: Feed, disposition: list[int], folder: Path) -> tuple[bytes, bytes]:
    """The bytes of the released and the held file."""
    released, held = folder / "released" / feed.output_name, folder / "held" / feed.output_name
    feed.split(released, held, np.array(disposition, np.uint8))
    return released.read_bytes(), held.read_bytes()
