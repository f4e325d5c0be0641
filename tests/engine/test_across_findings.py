"""Findings across listings lie in files, and come back by record without a record being torn apart."""

from __future__ import annotations

from pathlib import Path

import pyarrow as pa

from auditor.engine.across_findings import AcrossFindings, RecordCursor


def found(*records: int) -> pa.Table:
    return pa.table({"record": pa.array(records, pa.int64()), "text": [f"text {record}" for record in records]})


def kept(folder: Path) -> AcrossFindings:
    across_findings = AcrossFindings(folder)
    given = [(0, found(1, 2, 2)), (0, found(2, 5)), (0, found(5, 5)), (3, found(1)), (3, found(1, 7))]
    assert [number for number, _ in across_findings.take(given)] == [0, 0, 0, 3, 3]
    return across_findings


def test_parts_end_between_records(tmp_path: Path) -> None:
    across_findings = kept(tmp_path)
    assert [part["record"].to_pylist() for part in across_findings.of(0)] == [[1], [2, 2, 2], [5, 5, 5]]
    assert [part["record"].to_pylist() for part in across_findings.of(3)] == [[1, 1], [7]]
    assert list(across_findings.of(1)) == []


def test_a_stream_is_cut_where_asked(tmp_path: Path) -> None:
    upto = RecordCursor(kept(tmp_path).of(0))
    assert list(upto.before(1)) == []
    assert [part["record"].to_pylist() for part in upto.before(3)] == [[1], [2, 2, 2]]
    assert list(upto.before(5)) == []
    assert [part["text"].to_pylist() for part in upto.before(1_000)] == [["text 5"] * 3]
    assert list(upto.before(1_000)) == []


def test_nothing_across_listings(tmp_path: Path) -> None:
    upto = RecordCursor(AcrossFindings(tmp_path).of(0))
    assert [*upto.before(9), *upto.before(1_000)] == []
