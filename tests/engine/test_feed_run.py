"""The spool of a feed's findings gives them back whole, however it was cut."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.engine.feed_run import spooled_findings
from auditor.engine.unit_parts import WHOLE, FeedParts, Left, PartWriter, TogetherWriter


def read_back(folder: Path, pieces: list[list[int]]) -> list[list[int]]:
    parts = FeedParts(folder, 0)
    run: Any = SimpleNamespace(parts=parts)
    schema = pa.schema([("record", pa.int64()), ("turn", pa.int64())])
    occurrence = 0
    for part, mine in enumerate((pieces[: len(pieces) // 2], pieces[len(pieces) // 2 :])):
        with PartWriter(folder, 0, part) as writer:
            for piece in mine:
                occurrences = list(range(occurrence, occurrence + len(piece)))
                writer.table("findings", pa.table([pa.array(piece), pa.array(occurrences)], schema=schema))
                occurrence += len(piece)
        parts.add(writer.kinds)
    tables = list(spooled_findings(run))
    assert [position for table in tables for position in table["turn"].to_pylist()] == list(range(occurrence))
    return [table["record"].to_pylist() for table in tables]


@given(steps=st.lists(st.integers(0, 1), min_size=1, max_size=30), cut=st.integers(1, 7))
def test_findings_of_a_record_stay_together(
    tmp_path_factory: pytest.TempPathFactory, steps: list[int], cut: int
) -> None:
    records = [1 + sum(steps[: position + 1]) for position in range(len(steps))]
    pieces = [records[start : start + cut] for start in range(0, len(records), cut)]
    tables = read_back(tmp_path_factory.mktemp("spool"), pieces)
    assert [record for table in tables for record in table] == records
    for before, after in pairwise(tables):
        assert before[-1] < after[0]


def test_a_feed_without_findings_has_no_spool(tmp_path: Path) -> None:
    assert list(spooled_findings(SimpleNamespace(parts=FeedParts(tmp_path, 0)))) == []  # type: ignore[arg-type]


def test_what_small_units_leave_in_one_file_is_read_by_each(tmp_path: Path) -> None:
    table = pa.table({"record": pa.array([1, 2, 3], pa.int64())})
    feeds = [FeedParts(tmp_path, number) for number in range(3)]
    with TogetherWriter(tmp_path, 0, 0) as file:
        for number, feed in enumerate(feeds):
            left = Left()
            left.table("findings", table.slice(number, 1) if number else None)
            left.object("pieces", f"counts of {number}")
            feed.add(WHOLE, file.add(left))
    assert len(list(tmp_path.iterdir())) == 1
    for number in (2, 0, 1):
        found = [one["record"].to_pylist() for one in feeds[number].tables("findings")]
        assert found == ([[number + 1]] if number else [])
        assert list(feeds[number].objects("pieces", [0])) == [f"counts of {number}"]
        assert list(feeds[number].tables("waiting")) == []
        feeds[number].remove("pieces", 0)  # others still need the file
