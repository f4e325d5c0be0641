"""Rows of many suppliers in one file, each supplier's given back in order."""

from __future__ import annotations

import io
from pathlib import Path

import pyarrow as pa
import pytest

from auditor.outputs.corrections import spool as corrections_spool
from auditor.outputs.corrections.rows import COLUMNS
from auditor.outputs.corrections.spool import CorrectionsSpool
from auditor.outputs.corrections.writer import _write_rows


def rows(*texts: str) -> pa.Table:
    return pa.table({"stated": pa.array(texts), "record": pa.array(range(len(texts)))})


@pytest.mark.parametrize("piece", [1, 7, 1 << 20])
def test_rows_come_back_by_supplier_and_grade_in_their_order(piece: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(corrections_spool, "_COPIED_BYTES", piece)
    spool = CorrectionsSpool(io.BytesIO())
    spool.add("Kestrel", "major", rows("a", "line\nbreak"))
    spool.add("Vallon", "major", rows("b"))
    spool.add("Kestrel", "critical", rows('"c"'))
    spool.add("Kestrel", "major", rows("ü"))
    target = io.BytesIO()
    for grade in ("critical", "major", "minor"):
        spool.copy("Kestrel", grade, target)
    assert target.getvalue().decode() == '"""c""",0\n"a",0\n"line\nbreak",1\n"ü",0\n'


def test_copying_does_not_disturb_what_is_added_afterwards() -> None:
    spool = CorrectionsSpool(io.BytesIO())
    spool.add("Kestrel", "minor", rows("a"))
    spool.copy("Kestrel", "minor", io.BytesIO())
    spool.add("Kestrel", "minor", rows("b"))
    target = io.BytesIO()
    spool.copy("Kestrel", "minor", target)
    assert target.getvalue() == b'"a",0\n"b",0\n'


def test_a_file_ends_where_a_spreadsheet_program_would_cut_it(tmp_path: Path) -> None:
    spool = CorrectionsSpool(io.BytesIO())
    for number in range(7):
        spool.add("Kestrel", "major", pa.table({name: [f"{number}-{row}" for row in range(10)] for name in COLUMNS}))
    _write_rows(tmp_path / "Kestrel", "Kestrel", spool, most=30)
    names = ["Kestrel.csv", "Kestrel.part2.csv", "Kestrel.part3.csv"]
    assert sorted(path.name for path in tmp_path.iterdir()) == names
    lines = [(tmp_path / name).read_text(encoding="utf-8").splitlines() for name in names]
    assert [len(part) for part in lines] == [31, 31, 11]
    assert len({part[0] for part in lines}) == 1  # the headings
    assert lines[2][1].startswith('"6-0"')
