"""Rows in a file are picked as they would be from memory, however few of the file may be mapped at once."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from auditor.across import spool
from auditor.across.spool import RowStore

ROW = np.dtype([("record", "<i8"), ("name", "<u8")])


def stored(folder: Path, count: int) -> RowStore:
    store = RowStore(folder / "rows", ROW)
    rows = np.zeros(count, dtype=ROW)
    rows["record"], rows["name"] = np.arange(count), np.arange(count) * 7
    store.add(rows[: count // 3])
    store.add(rows[count // 3 :])
    return store


@pytest.mark.parametrize("windows", [1, 3, 1024])
def test_rows_come_in_the_order_asked_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, windows: int) -> None:
    monkeypatch.setattr(spool, "_WINDOW_BYTES", 4096)
    monkeypatch.setattr(spool, "_MOST_WINDOWS", windows)
    rows = stored(tmp_path, 5_000).read()
    assert len(rows) == 5_000
    chance = np.random.default_rng(5)
    for at in (chance.integers(0, 5_000, 900), np.arange(0, 5_000, 3), np.array([4_999]), np.array([7, 7, 3])):
        found = rows.pick(at)
        assert found["record"].tolist() == at.tolist()
        assert found["name"].tolist() == (at * 7).tolist()
    assert rows.pick(np.zeros(0, dtype=np.int64)).tolist() == []
    assert rows.stretch(4_990, 6_000)["record"].tolist() == list(range(4_990, 5_000))


def test_no_rows(tmp_path: Path) -> None:
    rows = RowStore(tmp_path / "rows", ROW).read()
    assert len(rows) == 0
    assert rows.pick(np.zeros(0, dtype=np.int64)).tolist() == []
    assert rows.stretch(0, 10).tolist() == []
