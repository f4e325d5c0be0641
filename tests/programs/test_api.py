"""The Python calls: one listing, frames and files, and the promises their documentation makes."""

from __future__ import annotations

import decimal
import doctest
import importlib
import inspect
import json
import logging
import math
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

import auditor
from auditor.programs.request import cells_of
from auditor.programs.stream import in_lines
from auditor.programs.values import number_text
from tests.api_page import PAGE, page
from tests.shell.running import environment

LISTING = {"supplier": "Larkfield", "sku": "L-1", "marking": "225/65R17 102H", "max_load_kg": "850"}


HOMES = ("api", "books", "batches", "frames", "many", "substitution")


@pytest.mark.parametrize("name", ["auditor", *(f"auditor.programs.{home}" for home in HOMES)])
def test_the_documented_examples_hold(name: str) -> None:
    ran = doctest.testmod(importlib.import_module(name))
    assert ran.attempted > 0
    assert ran.failed == 0


def test_the_page_of_the_calls_says_what_their_docstrings_say() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run python -m tests.api_page"
    for name in auditor.__all__:
        assert name.startswith("__") or inspect.getdoc(getattr(auditor, name)), name


def test_verdicts_are_hashable_and_say_themselves_in_json() -> None:
    one, other = (auditor.audit_listing({**LISTING, "max_load_kg": "950"}) for _ in range(2))
    assert len({one, other}) == 1 and len({*one.findings, *other.findings}) == 1
    assert one.to_json() + "\n" == in_lines([one.as_json()])
    assert json.loads(one.findings[0].to_json()) == one.as_json()["findings"][0]
    assert one.as_json()["program"] == auditor.__version__


def test_the_library_tells_its_log_what_it_does(caplog: pytest.LogCaptureFixture, tmp_path: Path) -> None:
    (tmp_path / "good.csv").write_text("marking\n225/65R17 102H\n", encoding="utf-8")
    (tmp_path / "bad.csv").write_text("color\nblack\n", encoding="utf-8")
    with caplog.at_level(logging.INFO, "auditor"):
        auditor.audit(tmp_path)
    said = [(record.levelname, record.getMessage()) for record in caplog.records]
    assert any(level == "INFO" and "good.csv" in text for level, text in said)
    assert any(level == "WARNING" and "bad.csv" in text for level, text in said)


def test_every_public_name_is_there() -> None:
    assert all(getattr(auditor, name) is not None for name in auditor.__all__)
    assert set(auditor.__all__) <= set(dir(auditor))
    with pytest.raises(AttributeError, match="has no attribute 'audit_list'"):
        auditor.audit_list  # noqa: B018


def test_importing_the_package_loads_nothing_heavy() -> None:
    code = "import auditor, sys; print([n for n in sys.modules if n.startswith('auditor.') or n == 'pyarrow'])"
    ended = subprocess.run([sys.executable, "-c", code], env=environment(), capture_output=True, text=True)
    assert ended.stdout.strip() == "[]"


def test_a_verdict_carries_marking_findings_and_suggestions() -> None:
    verdict = auditor.audit_listing({**LISTING, "max_load_kg": "1,874"})
    assert (verdict.verdict, verdict.released, verdict.marking) == ("hold", False, "225/65R17 102H")
    assert verdict.decoded is not None and verdict.decoded.service.load_index == 102
    (finding,) = verdict.findings
    assert (finding.rule, finding.likely_cause, finding.suggestion) == ("load-overstated", "unit-swapped", "850")
    assert verdict.suggestions == {"max_load_kg": "850"}


def test_a_listing_without_a_marking_has_none() -> None:
    verdict = auditor.audit_listing({"max_load_kg": 850})
    assert (verdict.verdict, verdict.marking, verdict.decoded) == ("hold", None, None)
    assert [finding.rule for finding in verdict.findings] == ["marking-missing"]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("0850", "0850"),
        (850, "850"),
        (850.0, "850"),
        (7.5, "7.5"),
        (1e-7, "0.0000001"),
        (1e300, repr(1e300)),
        (True, "yes"),
        (False, "no"),
        (None, ""),
        (math.nan, ""),
        (np.float64(850.0), "850"),
        (np.int64(17), "17"),
        (decimal.Decimal("22.50"), "22.5"),
    ],
)
def test_values_become_text_as_a_person_writes_them(value: object, text: str) -> None:
    assert cells_of({"max_load_kg": value}) == {"max_load_kg": text}


def test_numbers_never_show_an_exponent_where_a_person_would_not() -> None:
    assert [number_text(value) for value in (0.1, 1e14, 2.5e-5, -3.0)] == ["0.1", "100000000000000", "0.000025", "-3"]


@pytest.mark.parametrize(
    ("listing", "said"),
    [
        ({"markings": "x"}, "There is no listing field 'markings'; did you mean 'marking'?"),
        ({"Max Load KG": 1}, "There is no listing field 'Max Load KG'; did you mean 'max_load_kg'?"),
        ({"qqq": 1}, "There is no listing field 'qqq'; `auditor schema listing` names all of them."),
        ({5: 1}, "A field name should be a text, not 5."),
        ({"size": {}}, "size should be a text, a number or nothing, not a dict."),
        ({"size": b"225"}, "size should be a text, a number or nothing, not a bytes."),
    ],
)
def test_wrong_fields_are_usage_errors(listing: dict[Any, Any], said: str) -> None:
    with pytest.raises(auditor.UsageError) as raised:
        auditor.audit_listing(listing)
    assert str(raised.value) == said


def test_unknown_fields_may_be_let_pass() -> None:
    loose = auditor.audit_listing({**LISTING, "color": "black"}, strict=False)
    assert loose == auditor.audit_listing(LISTING)


def test_another_book_decides_otherwise(tmp_path: Path) -> None:
    low = {**LISTING, "max_load_kg": "800"}
    assert auditor.audit_listing(low).verdict == "hold"
    assert auditor.audit_listing(low, book=auditor.load_book(hold_from="critical")).verdict == "release"


def test_threads_give_the_same_verdicts() -> None:
    listings = [{**LISTING, "sku": f"L-{number}", "max_load_kg": str(700 + number)} for number in range(300)]
    alone = [auditor.audit_listing(listing) for listing in listings]
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(auditor.audit_listing, listings)) == alone


FRAME = pd.DataFrame(
    {
        "SKU": ["A-1", "A-2", "A-3"],
        "Size": ["225/65R17 102H", "225/65R17 102H", "205/55R16 91V"],
        "Max load (kg)": [850, None, 950],
        "Color": ["black", "black", None],
    },
    index=[10, 20, 30],
)


def test_a_frame_gives_frames() -> None:
    result = auditor.audit(FRAME)
    assert list(result.findings["rule"]) == ["load-overstated"]
    assert list(result.findings["stated"]) == ["950"]
    assert result.released is not None and result.held is not None
    pd.testing.assert_frame_equal(result.released, FRAME.loc[[10, 20]])
    pd.testing.assert_frame_equal(result.held, FRAME.loc[[30]])
    assert (result.summary["totals"]["records"], result.exit_code) == (3, 1)


def test_a_table_gives_tables() -> None:
    table = pa.table({"marking": ["225/65R17 102H", "225/65R17 102H"], "max_load_kg": ["850", "1874"], "n": [1, 2]})
    result = auditor.audit(table)
    assert result.findings["likely_cause"].to_pylist() == ["unit-swapped"]
    assert result.released == table.slice(0, 1)
    assert result.held == table.slice(1, 1)


def test_files_give_a_table_and_the_output_folder(tmp_path: Path) -> None:
    feed = tmp_path / "north.csv"
    feed.write_text("marking,max_load_kg\n225/65R17 102H,1874\n", encoding="utf-8")
    result = auditor.audit([feed], tmp_path / "audit")
    assert result.findings["feed"].to_pylist() == ["north.csv"]
    assert (result.released, result.held) == (None, None)
    assert pq.read_table(tmp_path / "audit" / "findings.parquet") == result.findings
    assert (tmp_path / "audit" / "report.html").is_file()


def test_a_column_of_mixed_values_is_read_as_written() -> None:
    frame = pd.DataFrame({"marking": ["225/65R17 102H"] * 3, "max_load_kg": [850, "850 kg", 1874.0]}, dtype=object)
    assert list(auditor.audit(frame).findings["stated"]) == ["1874"]


def test_a_lost_decimal_mark_is_no_added_digit() -> None:
    """28.5 inches written 285 is 28 with another digit as well; the mark is what was lost."""
    (slip,) = auditor.audit_listing({"marking": "225/65R17 102H", "overall_diameter_in": "285"}).findings
    assert slip.likely_cause == "decimal-slip"
    (digit,) = auditor.audit_listing({"marking": "225/65R17 102H", "max_load_kg": "8505"}).findings
    assert digit.likely_cause == "digit-added"
