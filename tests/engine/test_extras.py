"""Findings across listings lie in files, and come back by record without a record being torn apart."""

from __future__ import annotations

from pathlib import Path

import pyarrow as pa

from auditor.engine.extras import Extras, Upto


def found(*records: int) -> pa.Table:
    return pa.table({"record": pa.array(records, pa.int64()), "text": [f"text {record}" for record in records]})


def kept(folder: Path) -> Extras:
    extras = Extras(folder)
    given = [(0, found(1, 2, 2)), (0, found(2, 5)), (0, found(5, 5)), (3, found(1)), (3, found(1, 7))]
    assert [number for number, _ in extras.take(given)] == [0, 0, 0, 3, 3]
    return extras


def test_parts_end_between_records(tmp_path: Path) -> None:
    extras = kept(tmp_path)
    assert [part["record"].to_pylist() for part in extras.of(0)] == [[1], [2, 2, 2], [5, 5, 5]]
    assert [part["record"].to_pylist() for part in extras.of(3)] == [[1, 1], [7]]
    assert list(extras.of(1)) == []


def test_a_stream_is_cut_where_asked(tmp_path: Path) -> None:
    upto = Upto(kept(tmp_path).of(0))
    assert list(upto.before(1)) == []
    assert [part["record"].to_pylist() for part in upto.before(3)] == [[1], [2, 2, 2]]
    assert list(upto.before(5)) == []
    assert [part["text"].to_pylist() for part in upto.rest()] == [["text 5"] * 3]
    assert list(upto.rest()) == []


def test_nothing_across_listings(tmp_path: Path) -> None:
    upto = Upto(Extras(tmp_path).of(0))
    assert [*upto.before(9), *upto.rest()] == []
