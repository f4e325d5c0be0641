"""Rejected records are listed with their reason, whatever they hold."""

from __future__ import annotations

import csv
from pathlib import Path

from auditor.feeds.model import Rejected
from auditor.outputs.rejected import COLUMNS, write_rejected


def test_each_record_stands_with_its_reason(tmp_path: Path) -> None:
    records = [
        Rejected("a.csv", None, 7, 1_024, "The record has 9 cells; the header has 12.", '=cmd|"x";\x00\n2'),
        Rejected("b.xlsx", "Tires", None, None, "A cell is not text.", ""),
    ]
    assert write_rejected(tmp_path, iter(records)) == 2
    with (tmp_path / "rejected.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0] == list(COLUMNS)
    assert rows[1] == ["a.csv", "", "7", "1024", records[0].reason, '\'=cmd|"x";\\0\n2']
    assert rows[2] == ["b.xlsx", "Tires", "", "", records[1].reason, ""]


def test_no_rejected_record_leaves_the_header(tmp_path: Path) -> None:
    assert write_rejected(tmp_path, []) == 0
    assert (tmp_path / "rejected.csv").read_text(encoding="utf-8") == ",".join(COLUMNS) + "\n"
