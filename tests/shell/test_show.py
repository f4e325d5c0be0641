"""Looking into a finished audit from the shell."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pyarrow.parquet as pq
import pytest

from auditor.errors import UsageError
from auditor.outputs.audit_result import FinishedAudit
from auditor.shell.show import FindingsAsked, show, show_json


def test_shows_worst_first_and_says_how_many_there_are(audit: FinishedAudit) -> None:
    text = show(audit.folder, FindingsAsked(limit=3))
    assert text.count("CRITICAL ") == 3
    assert f"3 of {pq.read_metadata(audit.findings).num_rows} findings that fit; --limit shows more" in text
    assert max(len(line) for line in text.splitlines()) <= 80


def test_filters_narrow_together(audit: FinishedAudit) -> None:
    table = pq.read_table(audit.findings).to_pylist()
    fits = [row for row in table if row["rule"] == "rim-mismatch" and row["supplier"] == "Odermatt Reifenkontor"]
    text = show(audit.folder, FindingsAsked(supplier="odermatt", rule="RIM-mismatch", grade="Critical", limit=1_000))
    assert text.count("CRITICAL rim-mismatch") == len(fits)
    assert text.endswith(f"{len(fits)} findings fit.\n")


def test_one_listing_by_sku(audit: FinishedAudit) -> None:
    row = pq.read_table(audit.findings).to_pylist()[0]
    text = show(audit.folder, FindingsAsked(sku=row["sku"].lower()))
    for part in ("sku", "rule", "marking", "message"):
        assert row[part] in " ".join(text.split()), part


def test_repeated_mistakes_lead(audit: FinishedAudit) -> None:
    group, *_ = audit.summary["repeated"]
    text = show(audit.folder, FindingsAsked(limit=3))
    single = re.search("^CRITICAL [a-z]", text, re.MULTILINE)
    assert single is not None
    assert text.index(f"CRITICAL REPEATED {group['count']} times") < single.start()
    assert "Kestrel Wholesale Rubber, Max Load Kg: pounds written as kilograms" in text
    assert group["examples"][0]["sku"] in text
    assert "REPEATED" not in show(audit.folder, FindingsAsked(supplier="bluewater"))


def test_programs_get_the_same_as_json(audit: FinishedAudit) -> None:
    said = json.loads(show_json(audit.folder, FindingsAsked(grade="critical", limit=2)))
    critical = [row for row in pq.read_table(audit.findings).to_pylist() if row["grade"] == "critical"]
    assert said["findings_in_all"] == len(critical)
    assert len(said["findings"]) == 2
    assert [group["key"] for group in said["repeated"]] == [audit.summary["repeated"][0]["key"]]
    assert said["totals"] == audit.summary["totals"]


def test_nothing_fits(audit: FinishedAudit) -> None:
    assert show(audit.folder, FindingsAsked(sku="no such")).endswith("\nNo finding fits.\n")


def test_another_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="is not the folder of a finished audit"):
        show(tmp_path, FindingsAsked())


def test_a_misspelled_rule_or_grade_is_refused(audit: FinishedAudit) -> None:
    with pytest.raises(UsageError, match="did you mean rim-mismatch"):
        show(audit.folder, FindingsAsked(rule="rim-mismatched"))
    with pytest.raises(UsageError, match="--grade terrible is none of critical, major, minor"):
        show(audit.folder, FindingsAsked(grade="terrible"))


def test_hostile_findings_cannot_steer_the_terminal(hostile: FinishedAudit) -> None:
    text = show(hostile.folder, FindingsAsked(limit=60))
    assert not any(char != "\n" and not char.isprintable() for char in text)
