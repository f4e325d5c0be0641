"""Cells that begin with the name of what they hold: "Width: 205" under "Attribute 1"."""

from __future__ import annotations

import json
from pathlib import Path

import pyarrow.csv as pacsv
import pyarrow.parquet as pq
import pytest

import auditor
from tests.feeds.reading import opened
from tests.mapping.proposed import read_as_proposed

SIZES = (("205", "55", "R16", "91", "V"), ("195", "65", "R15", "91", "H"), ("225", "65", "R17", "102", "H"))
LABELS = {
    "en": ("Width", "Aspect ratio", "Rim diameter", "Load index", "Speed symbol"),
    "lt": ("Plotis", "Aukštis", "Skersmuo", "Apkrovos indeksas", "Greičio indeksas"),
    "pl": ("Szerokość", "Profil", "Średnica", "Indeks nośności", "Indeks prędkości"),
}
MAPPED = (("Size", "marking"), ("A1", "section_width_mm"))
FIELDS = ["section_width_mm", "aspect_ratio", "rim_diameter_in", "load_index", "speed_symbol"]


def feed(path: Path, language: str, *, wrong: str = "91") -> Path:
    lines = ["Goods;A1;A2;A3;A4;A5;Load kg"]
    for number, size in enumerate(SIZES * 4):
        cells = list(size)
        load = {"91": "615", "102": "850"}[size[3]]
        if number == 4:
            cells[3] = wrong
        labelled = [f"{name}: {cell}" for name, cell in zip(LABELS[language], cells, strict=True)]
        lines.append(";".join([f"Acme Ridge {number}", *labelled, load]))
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize("language", LABELS)
def test_labels_are_headers(tmp_path: Path, language: str) -> None:
    columns = opened(feed(tmp_path / "feed.csv", language)).mapping.columns
    assert [use.fields[0] for use in columns if use.label] == FIELDS
    assert [use.column for use in columns if use.label] == ["A1", "A2", "A3", "A4", "A5"]


def test_cells_are_judged_without_their_labels(tmp_path: Path) -> None:
    assert auditor.audit(str(feed(tmp_path / "right.csv", "lt"))).exit_code == 0
    found = auditor.audit(str(feed(tmp_path / "wrong.csv", "lt", wrong="88"))).findings.to_pylist()
    assert [(row["record"], row["rule"], row["field"]) for row in found] == [(5, "load-overstated", "max_load_kg")]


@pytest.mark.parametrize("ending", ["parquet", "json"])
def test_other_formats_are_read_alike(tmp_path: Path, ending: str) -> None:
    table = pacsv.read_csv(
        feed(tmp_path / "wrong.csv", "pl", wrong="88"), parse_options=pacsv.ParseOptions(delimiter=";")
    )
    path = tmp_path / f"feed.{ending}"
    if ending == "json":
        path.write_text(json.dumps(table.to_pylist()), encoding="utf-8")
    else:
        pq.write_table(table, path)
    result = auditor.audit(str(path))
    assert [row["record"] for row in result.findings.to_pylist()] == [5]
    assert result.summary["totals"]["records"] == 12


def test_a_label_of_odd_signs_is_only_a_text(tmp_path: Path) -> None:
    label = r"W\E(d[th"
    path = tmp_path / "feed.csv"
    path.write_text("\n".join(["Size;A1", *[f"205/55R16 91V;{label}: 225"] * 5]) + "\n", encoding="utf-8")
    (tmp_path / "maps").mkdir()
    columns = (f'[[column]]\nheader = "{header}"\nfield = "{name}"\n' for header, name in MAPPED)
    text = 'files = ["feed.csv"]\n' + "".join(columns) + f"label = {json.dumps(label)}\n"
    (tmp_path / "maps" / "feed.toml").write_text(text, encoding="utf-8")
    found = auditor.audit(str(path), maps=str(tmp_path / "maps")).findings.to_pylist()
    assert {row["rule"] for row in found} == {"width-mismatch"}
    assert {row["stated"] for row in found} == {"225"}


def test_what_is_proposed_can_be_read_again(tmp_path: Path) -> None:
    path = feed(tmp_path / "feed.csv", "en")
    again = read_as_proposed(path, tmp_path / "maps")
    assert [use.label for use in again.mapping.columns if use.label] == list(LABELS["en"])
    assert auditor.audit(str(path), maps=str(tmp_path / "maps")).exit_code == 0


def test_names_that_differ_or_that_nobody_knows_are_no_labels(tmp_path: Path) -> None:
    path = tmp_path / "feed.csv"
    rows = [f"205/55R16 91V;{'Width' if n % 2 else 'Height'}: {n};Zq: {n}" for n in range(10)]
    path.write_text("\n".join(["Size;A1;A2", *rows]) + "\n", encoding="utf-8")
    assert not [use for use in opened(path).mapping.columns if use.label]
