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


def read_back(folder: Path, pieces: list[list[int]]) -> list[list[int]]:
    run: Any = SimpleNamespace(spool=folder / "findings-0.arrow")
    schema = pa.schema([("record", pa.int64()), ("turn", pa.int64())])
    occurrence = 0
    with pa.ipc.new_file(str(run.spool), schema) as writer:
        for piece in pieces:
            occurrences = list(range(occurrence, occurrence + len(piece)))
            writer.write_batch(
                pa.record_batch([pa.array(piece, pa.int64()), pa.array(occurrences, pa.int64())], schema=schema)
            )
            occurrence += len(piece)
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
    assert list(spooled_findings(SimpleNamespace(spool=tmp_path / "none.arrow"))) == []  # type: ignore[arg-type]
