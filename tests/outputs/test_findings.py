"""Findings on disk: both files hold the same, and the CSV cannot run anything."""

from __future__ import annotations

import csv
from pathlib import Path

import jsonschema
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.outputs import findings
from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.findings import (
    FINDINGS_SCHEMA,
    FindingsWriter,
    neutralize,
    neutralize_text,
    read_by_grade,
)
from auditor.rulebook.built_in import published_schema
from auditor.rulebook.finding import COLUMNS, GRADES


def test_both_files_hold_the_same_findings(audit: FinishedAudit) -> None:
    table = pq.read_table(audit.findings)
    with (audit.folder / "findings.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert table.schema.names == [name for name, _ in COLUMNS]
    assert [row["key"] for row in rows] == table["key"].to_pylist()
    assert [int(row["record"]) for row in rows] == table["record"].to_pylist()
    deviations = [float(row["deviation"]) if row["deviation"] else None for row in rows]
    assert deviations == table["deviation"].to_pylist()


def test_findings_follow_their_schema(audit: FinishedAudit) -> None:
    schema = published_schema("finding")
    validator = jsonschema.Draft202012Validator(schema)
    jsonschema.Draft202012Validator.check_schema(schema)
    for finding in pq.read_table(audit.findings).to_pylist():
        validator.validate(finding)
    with pytest.raises(jsonschema.ValidationError):
        validator.validate(finding | {"grade": "terrible"})


@pytest.mark.parametrize("text", ["=1+1", "+SUM(A1)", "-2+3", "@x", "\t=1", "\r=1", "\n=1", "＝1", "-", "+49 30"])
def test_texts_that_would_run_as_formula_get_an_apostrophe(text: str) -> None:
    assert neutralize_text(text) == "'" + text


@pytest.mark.parametrize("text", ["-5", "+5.25", "-1,360", "225/65R17", "", "a=1", "'=1", "850 kg"])
def test_numbers_and_plain_texts_are_untouched(text: str) -> None:
    assert neutralize_text(text) == text


_CELLS = st.text() | st.text(st.sampled_from("=+-@\t\r\n＝＋－＠0123456789.,'a١")) | st.sampled_from(["-5", "+1,360.5"])


@given(st.lists(st.none() | _CELLS), st.integers(0, 3))
def test_neutralizing_only_ever_adds_one_apostrophe(texts: list[str | None], start: int) -> None:
    array = pa.array(texts, pa.string())
    for some in (array, array.slice(start), pa.chunked_array([array, array.slice(start)], pa.string())):
        safe = neutralize(some)
        safe.validate(full=True)
        for before, after in zip(some.to_pylist(), safe.to_pylist(), strict=True):
            assert after in (before, f"'{before}")
            assert before is None or after == neutralize_text(before)


def test_no_findings_leave_two_files_with_their_header(tmp_path: Path) -> None:
    with FindingsWriter(tmp_path) as writer:
        pass
    assert pq.read_table(writer.parquet_path).schema.equals(FINDINGS_SCHEMA)
    assert (tmp_path / "findings.csv").read_text(encoding="utf-8").count("\n") == 1
    assert list(read_by_grade(writer.parquet_path)) == []


def test_many_small_parts_become_large_row_groups(tmp_path: Path, audit: FinishedAudit) -> None:
    table = pq.read_table(audit.findings)
    encoded = table.set_column(8, "rule", table["rule"].dictionary_encode())
    with FindingsWriter(tmp_path) as writer:
        for _ in range(400):
            writer.append(encoded)
    metadata = pq.read_metadata(writer.parquet_path)
    assert metadata.num_rows == writer.rows == 400 * table.num_rows
    assert metadata.row_group(0).num_rows >= 65_536
    assert metadata.num_row_groups <= 3


def test_reading_by_grade_gives_all_worst_first_in_file_order(audit: FinishedAudit) -> None:
    parts = list(read_by_grade(audit.findings, ["key", "record"]))
    assert parts[0].schema.names == ["key", "record"]
    read = [key for part in parts for key in part["key"].to_pylist()]
    table = pq.read_table(audit.findings).to_pylist()
    assert read == [row["key"] for grade in GRADES for row in table if row["grade"] == grade]


def test_where_parts_end_changes_no_byte(tmp_path: Path, audit: FinishedAudit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(findings, "ROW_GROUP", 100)
    table = pa.concat_tables([pq.read_table(audit.findings)] * 30).slice(0, 430)
    written = []
    for name, size in (("small", 7), ("even", 100), ("large", 430)):
        (tmp_path / name).mkdir()
        with FindingsWriter(tmp_path / name) as writer:
            for start in range(0, table.num_rows, size):
                writer.append(table.slice(start, size))
        assert pq.read_metadata(writer.parquet_path).num_row_groups == -(-table.num_rows // 100)
        assert writer.rows == table.num_rows
        written.append((writer.parquet_path.read_bytes(), writer.csv_path.read_bytes()))
    assert written[0] == written[1] == written[2]


def test_many_small_tables_give_the_same_files_and_do_not_wait_by_themselves(
    audit: FinishedAudit, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(findings, "ROW_GROUP", 150)
    monkeypatch.setattr(findings, "_MOST_SMALL", 8)
    table = pq.read_table(audit.findings).slice(0, 400)
    most = 0
    for name, rows in (("whole", table.num_rows), ("small", 1)):
        (tmp_path / name).mkdir()
        with FindingsWriter(tmp_path / name) as writer:
            for start in range(0, table.num_rows, rows):
                writer.append(table.slice(start, rows))
                most = max(most, len(writer._waiting) + len(writer._small))
    assert most < 30
    for name in ("findings.parquet", "findings.csv"):
        assert (tmp_path / "whole" / name).read_bytes() == (tmp_path / "small" / name).read_bytes()
