"""The summary is written only when it balances, and in tests only when it follows its schema."""

from __future__ import annotations

import copy
import json
from pathlib import Path

import jsonschema
import pytest

from auditor.engine import reports
from auditor.errors import OutputError
from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.summary import write_summary
from auditor.rulebook.built_in import published_schema
from tests.outputs.summary_schema import write_summary_by_schema


def test_written_summary_reads_back_sorted_and_ends_with_a_line_end(audit: FinishedAudit, tmp_path: Path) -> None:
    text = write_summary(tmp_path, audit.summary).read_text(encoding="utf-8")
    read = json.loads(text)
    assert read == audit.summary
    assert list(read) == sorted(read)
    assert text.endswith("}\n")


def test_the_schema_is_a_schema() -> None:
    schema = published_schema("summary")
    jsonschema.Draft202012Validator.check_schema(schema)


def test_a_feed_that_does_not_balance_is_refused(audit: FinishedAudit, tmp_path: Path) -> None:
    summary = copy.deepcopy(audit.summary)
    summary["feeds"][1]["released"] += 1
    with pytest.raises(OutputError, match=r"does not balance in kestrel_night\.csv: 675 records read"):
        write_summary(tmp_path, summary)
    assert not (tmp_path / "summary.json").exists()


def test_totals_that_are_not_those_of_the_feeds_are_refused(audit: FinishedAudit, tmp_path: Path) -> None:
    summary = copy.deepcopy(audit.summary)
    summary["totals"]["findings"]["critical"] -= 1
    with pytest.raises(OutputError, match="does not balance in critical findings: 176 in total, 177 over"):
        write_summary(tmp_path, summary)


def test_a_misshapen_summary_is_seen_by_the_tests_with_its_place(audit: FinishedAudit, tmp_path: Path) -> None:
    summary = copy.deepcopy(audit.summary)
    summary["feeds"][0]["sha256"] = "short"
    with pytest.raises(AssertionError, match="breaks its schema at feeds/0/sha256"):
        write_summary_by_schema(tmp_path, summary)
    assert reports.write_summary is write_summary_by_schema, "audits of the tests are not held to the schema"
