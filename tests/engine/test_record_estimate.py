"""The number of records that progress is measured by."""

from __future__ import annotations

from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq

from auditor.engine.record_estimate import estimate_records
from auditor.feeds.locate import find_feeds
from auditor.mapping.opening import open_feeds


def expected(path: Path) -> tuple[int | None, bool]:
    return estimate_records(open_feeds(find_feeds([str(path)])[0])[0])


def test_parquet_says_how_many(tmp_path: Path) -> None:
    path = tmp_path / "night.parquet"
    pq.write_table(pa.table({"marking": ["195/65R15 91H"] * 700}), path, row_group_size=300)
    assert expected(path) == (700, False)


def test_text_is_judged_by_its_first_lines(tmp_path: Path) -> None:
    path = tmp_path / "night.csv"
    path.write_text("marking,notes\n" + "".join(f"195/65R15 91H,note {n % 90 + 10}\n" for n in range(123_456)))
    assert expected(path) == (120_000, True)


def test_other_formats_are_not_judged(tmp_path: Path) -> None:
    path = tmp_path / "night.json"
    path.write_text('[{"marking": "195/65R15 91H"}, {"marking": "205/55R16 91V"}]')
    assert expected(path) == (None, False)
