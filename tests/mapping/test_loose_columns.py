"""Feeds whose headers say little: other scripts, single letters, a "load rating" over indices."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

import auditor
from auditor.rulebook.headers import read_header
from tests.mapping.test_proposal import CONTRACT, left_out, placed

SIZES = """205 55 16 91 V;195 65 15 91 H;225 45 17 94 Y;185 65 15 88 T;175 70 14 84 T;215 60 16 99 H;225 65 17 102 H
235 55 19 101 V;255 35 19 96 Y;245 40 18 97 W;165 70 13 79 T;185 60 14 82 H;195 55 16 87 H;205 60 16 92 H""".replace(
    "\n", ";"
)
ROWS = [row.split() for row in SIZES.split(";")]
WIDTHS, ASPECTS, RIMS, INDICES, SYMBOLS = ([row[part] for row in ROWS] for part in range(5))
# UN Regulation No. 30, Annex 4
LOADS_KG = {79: 437, 82: 475, 84: 500, 87: 545, 88: 560, 91: 615, 92: 630, 94: 670, 96: 710}
LOADS_KG |= {97: 730, 99: 775, 101: 825, 102: 850}
COUNTS = [str(number % 7) for number in range(len(ROWS))]


@pytest.mark.parametrize(
    ("header", "group"),
    [
        ("Индекс нагрузки", "load_index"),
        ("Індекс швидкості", "speed_symbol"),
        ("Макс. навантаження, кг", "max_load"),
        ("Товарен индекс", "load_index"),
        ("Διάμετρος ζάντας", "rim_diameter"),
        ("Yük Endeksi", "load_index"),
        ("Islak Zemin", "wet_grip_class"),
        ("扁平率", "aspect_ratio"),
        ("最高速度 (km/h)", "max_speed"),
        ("载重指数", "load_index"),
        ("하중지수", "load_index"),
        ("속도기호", "speed_symbol"),
        ("قطر الجنط", "rim_diameter"),
        ("קוד מהירות", "speed_symbol"),
        ("Chỉ số tải", "load_index"),
        ("ดัชนีความเร็ว", "speed_symbol"),
    ],
)
def test_headers_of_other_scripts(header: str, group: str) -> None:
    assert read_header(header, CONTRACT).groups[0] == group


def test_a_price_of_another_script_is_nothing_of_the_tire() -> None:
    assert placed({"Цена, руб.": ["5400", "4400"], "価格": ["120", "90"], "库存": ["4", "8"]}) == {}


def test_parts_of_sizes_are_known_by_their_values_together() -> None:
    feed = {"a": COUNTS, "b": WIDTHS, "c": ASPECTS, "d": RIMS, "e": INDICES, "f": SYMBOLS, "g": COUNTS[::-1]}
    assert placed(feed) == {
        "b": "section_width_mm",
        "c": "aspect_ratio",
        "d": "rim_diameter_in",
        "e": "load_index",
        "f": "speed_symbol",
    }


def test_an_index_beside_a_size_is_known_by_its_values() -> None:
    sizes = [f"{width}/{aspect}R{rim}" for width, aspect, rim in zip(WIDTHS, ASPECTS, RIMS, strict=True)]
    assert placed({"Size": sizes, "x": INDICES, "y": SYMBOLS}) == {
        "Size": "size",
        "x": "load_index",
        "y": "speed_symbol",
    }


@pytest.mark.parametrize(
    "feed",
    [
        {"b": WIDTHS, "c": ASPECTS, "d": RIMS},  # without an index that fits, they could be anything
        {"b": WIDTHS, "c": ASPECTS, "d": RIMS, "e": INDICES[::-1], "f": COUNTS},
        {"b": WIDTHS, "c": ASPECTS, "d": RIMS, "e": INDICES, "e2": INDICES},  # which of the two?
        {"b": WIDTHS[:4], "c": ASPECTS[:4], "d": RIMS[:4], "e": INDICES[:4]},
    ],
    ids=["no index", "indices of other sizes", "two that fit", "too few"],
)
def test_where_there_is_doubt_nothing_is_placed(feed: dict[str, list[str]]) -> None:
    assert placed(feed) == {}


def test_a_load_rating_over_indices_is_a_load_index() -> None:
    feed = {"Width": WIDTHS, "Aspect": ASPECTS, "Rim": RIMS, "loadRating": INDICES}
    assert placed(feed)["loadRating"] == "load_index"
    assert "loadRating" in left_out({"loadRating": INDICES})


def test_codes_are_no_season() -> None:
    feed = {"Width": WIDTHS, "Aspect": ASPECTS, "Rim": RIMS, "SeasonCode": ["0", "1", "2", "1", "0", "2", "1"] * 2}
    assert "SeasonCode" not in placed(feed)


def test_a_diameter_with_letters_of_the_size_is_the_rims() -> None:
    feed = {"Ширина": WIDTHS, "Профіль": ASPECTS, "Діаметр": [f"R{rim}" for rim in RIMS]}
    assert placed(feed)["Діаметр"] == "rim_diameter_in"


def test_every_row_of_three_columns_is_judged(tmp_path: Path) -> None:
    """Loads of the table are right, and the one that is not is found."""
    path = tmp_path / "feed.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file)
        out.writerow(["Артикул", "Ширина", "Профиль", "Диаметр", "Индекс нагрузки", "Индекс скорости", "Нагрузка"])
        for number, (width, aspect, rim, index, symbol) in enumerate(ROWS):
            load = LOADS_KG[int(index)] + (60 if number == 3 else 0)
            out.writerow([f"A{number}", width, aspect, f"R{rim}", index, symbol, f"до {load} кг"])
    findings = auditor.audit(str(path)).findings.to_pylist()
    assert [(one["record"], one["rule"], one["field"]) for one in findings] == [(4, "load-overstated", "max_load_kg")]
