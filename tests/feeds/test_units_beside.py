"""What stands beside a cell and is read with it."""

from __future__ import annotations

from pathlib import Path

import pyarrow as pa

import auditor
from auditor.feeds.units_beside import texts_in_one


def test_blank_texts_give_no_line_and_lose_no_record() -> None:
    first = pa.array(["a", "", None, "d"])
    further = [pa.array([None, "", " ", "x"]), pa.array(["", "", "c", "z"])]
    assert texts_in_one(first, further).to_pylist() == ["a", "", "c", "d\nx\nz"]


def test_a_heading_above_two_columns_of_texts_loses_no_feed(tmp_path: Path) -> None:
    rows = [f"A{n};Tyre 205/55R16 91V Twigaro;205/55R16;91;{'New ply.' if n % 2 else ''}" for n in range(8)]
    path = tmp_path / "stock.csv"
    path.write_text("\n".join(["Item;Description;Size;Load index;Remarks", "SALOON;;;;", *rows]) + "\n")
    totals = auditor.audit(str(path)).summary["totals"]
    assert (totals["records"], totals["furniture"], totals["released"]) == (9, 1, 8)
