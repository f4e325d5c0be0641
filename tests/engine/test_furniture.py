"""Rows that are no listings are counted, and neither released, held nor rejected; a listing is never one of them."""

from __future__ import annotations

import json
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

import auditor

HEADER = "SKU;Brand;Tire size;Max load (kg);Price"
GOOD = "A{0};Tarn;225/65R17 102H;850;89.90"


def counts(folder: Path, lines: list[str], name: str = "north.csv") -> tuple[int, int, int, int, int]:
    path = folder / name
    path.write_text("\n".join([HEADER, *lines]) + "\n", encoding="utf-8")
    result = auditor.audit(str(path), str(folder / "out"))
    totals = result.summary["totals"]
    assert json.loads((folder / "out" / "summary.json").read_text())["totals"] == totals
    return tuple(totals[key] for key in ("records", "released", "held", "rejected", "furniture"))  # type: ignore[return-value]


def listings(first: int, count: int) -> list[str]:
    return [GOOD.format(number) for number in range(first, first + count)]


@pytest.mark.parametrize(
    "row",
    [
        HEADER,
        HEADER.upper(),
        ";;;kg;USD",
        ";;mm;[kg];",
        ";;km/h;kg;",
        ";;;Km/H;kPa",
        ";;км/ч;кг;руб.",
        ";PR;;kg;szt.",
        ";pulg.;km/h;kg;EUR",
        ";tum;;kg;kr",
        "WINTER TIRES;;;;",
        ";;Winterreifen;;",
        "--- Passenger ---;;;;",
        "Page 3 of 9;;;;",
        "Seite 2/7;;;;",
        "Total: 450;;;;",
        "TOTAL;;;;4,512.50",
        "Razem;;;;",
        ";;;;",
        "",
        "SERIES 22.5 - DRIVE AND STEER;;;;",
        ">>> Радіальні, серія 85;;;;",
        "TOTALE ARTICOLI: 18;;;;531",
        "Разом позицій: 17;;;;170",
        ";Toplam ürün sayısı;;;18",
        "合計: 18;;;;90",
        ";;;;SUV / 4 seasons",
        "Light truck",
        "Page 3 of 9",
    ],
)
def test_furniture_is_counted_and_sets_no_exit_code(tmp_path: Path, row: str) -> None:
    assert counts(tmp_path, [*listings(0, 4), row, *listings(4, 4)]) == (9, 8, 0, 0, 1)
    assert auditor.audit(str(tmp_path / "north.csv")).exit_code == 0
    assert row == "" or row not in (tmp_path / "out" / "released" / "north.csv").read_text().splitlines()[1:]


@pytest.mark.parametrize(
    "row",
    [
        "A9;;;;",  # an article number
        "A9 LT;;;;",
        ";;;;Tarn 225/65R17 summer tire",
        ";;;;89.90",
        "A9;Tarn;;;89.90",
        ";;;850;",  # a load
        ";Tarn;;;89.90",  # a listing without its size: its price says so
        ";;225/65R17;;",
        "Total 225/65R17;;;;",
        "A9;Total;;850;89.90",
    ],
)
def test_a_row_that_may_be_a_listing_is_held(tmp_path: Path, row: str) -> None:
    assert counts(tmp_path, [*listings(0, 4), row, *listings(4, 4)])[4] == 0


def test_where_articles_are_numbered_by_words_a_word_is_no_heading(tmp_path: Path) -> None:
    words = [f"{word};Tarn;225/65R17 102H;850;89.90" for word in ("Alder", "Birch", "Cedar", "Doum")]
    assert counts(tmp_path, [*words, "Elm;;;;"])[4] == 0


def test_pieces_of_a_broken_record_are_no_headings(tmp_path: Path) -> None:
    broken = ["A9;Tarn", "Harlow Road", "225/65R17 102H;850;89.90"]
    assert counts(tmp_path, [*listings(0, 4), *broken, *listings(4, 4)])[3:] == (3, 0)


def test_tables_of_other_formats_are_looked_at_too(tmp_path: Path) -> None:
    rows = [("A1", "225/65R17 102H", "850"), ("SKU", "Tire size", "Max load (kg)"), (None, "Commercial", None)]
    table = pa.table(dict(zip(("SKU", "Tire size", "Max load (kg)"), map(list, zip(*rows, strict=True)), strict=True)))
    pq.write_table(table, tmp_path / "t.parquet")
    result = auditor.audit(str(tmp_path / "t.parquet"))
    assert (result.summary["totals"]["released"], result.summary["totals"]["furniture"]) == (1, 2)
