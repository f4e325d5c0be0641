"""The report's data stays small whatever the feeds hold."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.outputs.audit_result import FinishedAudit, ListingDetail, Statement
from auditor.outputs.report.data import findings_data, script_json, shorten, size_of
from auditor.outputs.report.marking_parts import parts_of
from auditor.outputs.worst_findings import worst_findings


@pytest.mark.parametrize(
    ("marking", "size"),
    [
        ("225/65R17 102H", "225/65R17"),
        ("LT265/70R17 121/118S E", "LT265/70R17"),
        ("31x10.50R15LT 109S C", "31x10.50R15LT"),
        ("215/65R16C 109/107T", "215/65R16C"),
        ("245/40ZR19 (98Y) XL", "245/40ZR19"),
        ("120/70ZR17 M/C (58W)", "120/70ZR17"),
        ("195/70R15C 8PR 104/102R", "195/70R15C"),
        ("220/55R390", "220/55R390"),
        ("", ""),
    ],
)
def test_size_stands_before_the_service_description(marking: str, size: str) -> None:
    assert size_of(marking) == size


@given(st.text())
def test_embedded_text_reads_back_and_cannot_end_its_script(text: str) -> None:
    safe = script_json([text])
    assert json.loads(safe) == [text]
    assert not set(safe) & set("<>&\u2028\u2029")


def test_long_texts_say_how_long_they_are() -> None:
    assert shorten("x" * 600) == "x" * 600
    assert shorten("x" * 10_000).endswith("… (10,000 characters)")
    assert len(shorten("x" * 10_000)) <= 600


def test_too_much_leaves_out_details_first_then_the_least_bad_findings(audit: FinishedAudit) -> None:
    worst = worst_findings(audit.findings).table
    heavy = [
        ListingDetail(
            detail.feed,
            detail.sheet,
            detail.record,
            detail.marking,
            detail.title,
            "",
            [Statement("title", "Title", f"{'&' * 500}{detail.feed}{detail.record}", None, None)],
        )
        for detail in audit.details
    ]
    keys = worst["key"].to_pylist()
    everything = findings_data(worst, heavy, {}, {}, {})
    assert keys_in(everything) == keys
    some = findings_data(worst, heavy, {}, {}, {}, most_bytes=800_000)
    assert keys_in(some) == keys
    assert 0 < len(some["details"]) < len(everything["details"])
    few = findings_data(worst, heavy, {}, {}, {}, most_bytes=100_000)
    assert 0 < len(few["rows"]) < len(keys)
    assert keys_in(few) == keys[: len(few["rows"])]
    assert len(script_json(few)) < 110_000


def test_each_part_of_the_markings_stands_once(audit: FinishedAudit) -> None:
    markings = ("225/65R17 102H", "205/65R17 102H", "225/65R16C 112/110R")
    parts = {marking: parts_of(marking) for marking in markings}
    data = findings_data(worst_findings(audit.findings, 10).table, [], parts, {}, {})
    assert {
        marking: [data["named"][position] for position in positions] for marking, positions in data["parts"].items()
    } == parts
    assert len(set(data["named"])) == len(data["named"]) < sum(map(len, parts.values()))


def keys_in(data: dict[str, Any]) -> list[str]:
    return [data["texts"][row[data["row"].index("key")]] for row in data["rows"]]
