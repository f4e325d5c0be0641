"""Every trap feed: all records accounted for, right numbers, right fields, and everything comes back."""

from __future__ import annotations

from pathlib import Path

import pytest

from auditor.errors import FeedError
from auditor.feeds.model import RELEASED
from tests.feeds.reading import everything, opened, split_texts
from tests.feeds.traps import FOLDER, STORED, Trap


@pytest.mark.parametrize("trap", STORED, ids=lambda trap: trap.name)
def test_stored_feed_is_the_one_described(trap: Trap) -> None:
    assert (FOLDER / trap.file).read_bytes() == trap.build()


@pytest.mark.parametrize("trap", [trap for trap in STORED if trap.error], ids=lambda trap: trap.name)
def test_unreadable_feed_gets_one_sentence(trap: Trap) -> None:
    with pytest.raises(FeedError) as caught:
        opened(FOLDER / trap.file)
    assert trap.error and trap.error in str(caught.value)
    assert str(caught.value).startswith(trap.file)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("trap", [trap for trap in STORED if not trap.error], ids=lambda trap: trap.name)
def test_records_fields_and_cells(trap: Trap) -> None:
    feed = opened(FOLDER / trap.file)
    cells, rejected = everything(feed)
    assert len(cells) + len(rejected) == trap.records
    assert [record.record for record in rejected] == list(trap.rejected)
    for record, words in zip(rejected, trap.rejected.values(), strict=True):
        assert words in record.reason
    for (number, header), text in trap.cells.items():
        assert cells[number][feed.headers.index(header)] == text
    placed = {use.column: use.fields[0] for use in feed.mapping.columns}
    assert placed.items() >= trap.placed.items()
    assert tuple(item.column for item in feed.mapping.left_out) == trap.left_out


@pytest.mark.parametrize(
    "trap",
    [trap for trap in STORED if not trap.error and trap.byte_equal and not trap.rejected],
    ids=lambda trap: trap.name,
)
def test_releasing_everything_gives_the_same_bytes(trap: Trap, tmp_path: Path) -> None:
    feed = opened(FOLDER / trap.file)
    released, _ = split_texts(feed, [RELEASED] * trap.records, tmp_path)
    assert released == trap.build()


def test_there_are_enough_traps() -> None:
    assert len(STORED) >= 40
    assert len({trap.name for trap in STORED}) == len(STORED)
    assert sorted(path.name for path in FOLDER.iterdir()) == sorted(trap.file for trap in STORED)
