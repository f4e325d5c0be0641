"""Lists of named values in JSON feeds: each name is a column, whatever the keys for names and values are called."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

import auditor
from auditor.feeds.json_values import flat
from tests.feeds.reading import opened


@pytest.mark.parametrize(
    ("listed", "cells"),
    [
        ([{"name": "Width", "value": 225}, {"name": "Rim", "value": "17"}], {"at.Width": "225", "at.Rim": "17"}),
        ([{"nimi": "Kantavuus (kg)", "arvo": "850"}], {"at.Kantavuus (kg)": "850"}),
        ([{"value": 225, "name": "Width"}], {"at.Width": "225"}),
        ([{"id": 7, "label": "Load", "value": 850, "unit": "kg"}], {"at.Load": "850 kg"}),
        ([{"id": 7, "label": "Load", "value": 850}], {"at.Load": "850"}),
        ([{"name": "Season", "value": "winter", "unit": ""}], {"at.Season": "winter"}),
        ([{"name": "Load", "value": None}], {"at.Load": ""}),
    ],
)
def test_names_are_keys(listed: list[Any], cells: dict[str, str]) -> None:
    assert flat({"at": listed}) == cells


@pytest.mark.parametrize(
    "listed",
    [
        [],
        ["a", "b"],
        [{"url": "x.jpg"}],
        [{"name": "Load", "value": 1}, {"name": "Load", "value": 2}],
        [{"name": "Load", "value": 1}, {"name": "Rim"}],
        [{"name": "Load", "value": {"kg": 850}}],
        [{"width": 225, "rim": 17}],
    ],
)
def test_other_lists_stay_whole(listed: list[Any]) -> None:
    assert list(flat({"at": listed})) == ["at"]


def test_a_load_among_named_values_is_judged(tmp_path: Path) -> None:
    """Records without the list, and such as name other things, are read beside the others."""
    rows = [
        {"sku": f"A{number}", "size": "225/65R17 102H",
         "details": [{"key": "Max load (kg)", "val": 850 if number else 950}, {"key": "Color", "val": "black"}]}
        for number in range(6)
    ]  # fmt: skip
    rows.append({"sku": "A9", "size": "225/65R17 102H", "details": []})
    path = tmp_path / "north.jsonl"
    path.write_text("\n".join(json.dumps(row) for row in rows) + "\n", encoding="utf-8")
    result = auditor.audit(str(path), str(tmp_path / "out"))
    found = [
        (row["record"], row["field"], row["rule"]) for row in result.findings.to_pylist() if row["grade"] != "minor"
    ]
    assert found == [(1, "max_load_kg", "load-overstated")]
    assert len((tmp_path / "out" / "released" / "north.jsonl").read_text().splitlines()) == 6


def test_a_name_that_first_stands_far_down_is_a_column(tmp_path: Path) -> None:
    row = {"sku": "A1", "size": "225/65R17 102H", "details": [{"key": "Color", "val": "black"}]}
    last = {**row, "details": [{"key": "Max load (kg)", "val": 950}]}
    path = tmp_path / "north.jsonl"
    path.write_text("\n".join(json.dumps(one) for one in (*[row] * 6_000, last)) + "\n", encoding="utf-8")
    assert "details.Max load (kg)" in opened(path).headers
