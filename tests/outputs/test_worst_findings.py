"""The findings that the report lists."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pyarrow.parquet as pq

from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.findings import FINDINGS_SCHEMA, FindingsWriter
from auditor.outputs.worst_findings import doubted, worst_findings
from auditor.rulebook.finding import GRADES
from tests.outputs.invented import repeat


def test_all_are_listed_where_there_is_room(audit: FinishedAudit) -> None:
    table = pq.read_table(audit.findings)
    worst = worst_findings(audit.findings)
    assert sorted(worst.table["key"].to_pylist()) == sorted(table["key"].to_pylist())
    assert worst.found == worst.shown == audit.summary["totals"]["findings"]


def test_worst_grade_first_then_what_is_believed_then_the_furthest_above(audit: FinishedAudit) -> None:
    rows = worst_findings(audit.findings).table.to_pylist()
    far = [row["deviation"] or 0.0 for row in rows]
    doubts = doubted(np.array(far)).tolist()
    ranks = [(GRADES.index(row["grade"]), doubt, -off) for row, doubt, off in zip(rows, doubts, far, strict=True)]
    assert ranks == sorted(ranks)
    assert {0, 1} <= set(doubts)


def test_every_supplier_and_rule_keeps_a_place_under_the_cap(audit: FinishedAudit, tmp_path: Path) -> None:
    many = repeat(audit, tmp_path, 150_000)
    worst = worst_findings(many.findings, 300)
    assert worst.table.num_rows == 300
    assert sum(worst.shown.values()) == 300
    assert worst.found["critical"] > 300  # the critical ones alone would fill the list
    pairs = {(row["supplier"], row["rule"]) for row in pq.read_table(audit.findings).to_pylist()}
    assert {(row["supplier"], row["rule"]) for row in worst.table.to_pylist()} == pairs
    whole = {row["key"]: row for row in pq.read_table(many.findings).to_pylist()}
    assert all(row == whole[row["key"]] for row in worst.table.to_pylist())
    assert worst.table["key"].to_pylist() == worst_findings(many.findings, 300).table["key"].to_pylist()


def test_nothing_found(tmp_path: Path) -> None:
    with FindingsWriter(tmp_path) as writer:
        pass
    worst = worst_findings(writer.parquet_path)
    assert worst.table.num_rows == 0
    assert worst.table.schema.names == FINDINGS_SCHEMA.names
