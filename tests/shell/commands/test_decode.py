"""`auditor decode`: the keys and values of its JSON, and its words."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from auditor.marking import FAMILIES
from auditor.marking.explain.decoded import KEYS
from tests.shell.running import InProcess

# Loads and speeds: UN Regulation No. 54, Annex 4 and No. 30, 2.29; mph and lb are the whole numbers that tires print.
# Diameters: d + 2H with H in whole mm, from memory of UN Regulation No. 30, 6.1.2.1.
CASES: list[tuple[str, dict[str, Any]]] = [
    (
        "225/65R17 102H",
        {
            "marking": "225/65R17 102H",
            "family": "metric",
            "section_width_mm": 225,
            "aspect_ratio": 65,
            "construction": "R",
            "rim_diameter_in": 17,
            "rim_diameter_mm": 432,
            "overall_diameter_mm": 724,
            "load_index": 102,
            "load_index_dual": None,
            "load_single_kg": 850,
            "load_single_lb": 1874,
            "load_dual_kg": None,
            "load_dual_lb": None,
            "speed_symbol": "H",
            "speed_open": False,
            "speed_kmh": 210,
            "speed_mph": 130,
            "load_range": None,
            "ply_rating": None,
            "load_version": None,
            "additional_service_descriptions": [],
            "unread": [],
        },
    ),
    (
        "LT265/70R17 121/118S E",
        {
            "family": "lt-metric",
            "load_index_dual": 118,
            "load_dual_kg": 1320,
            "load_dual_lb": 2910,
            "load_range": "E",
            "ply_rating": 10,
        },
    ),
    (
        "245/40ZR19 (98Y) XL",
        {
            "construction": "ZR",
            "speed_symbol": "Y",
            "speed_open": True,
            "speed_kmh": 300,
            "speed_mph": 186,
            "load_version": "XL",
        },
    ),
    (
        "225/55ZR17",
        {"construction": "ZR", "speed_symbol": None, "speed_open": True, "speed_kmh": None, "speed_mph": None},
    ),
    ("225/55ZR17 97W", {"speed_open": False, "speed_kmh": 270}),
    (
        "31x10.50R15LT 109S C",
        {
            "family": "flotation",
            "section_width_mm": 266.7,
            "overall_diameter_mm": 787.4,
            "ply_rating": 6,
        },
    ),
    ("195/70R15C 10PR 104/102R", {"family": "commercial", "load_range": None, "ply_rating": 10}),
    (
        "220/55R390",
        {"family": "metric-rim", "rim_diameter_in": None, "rim_diameter_mm": 390, "overall_diameter_mm": None},
    ),
    ("HL245/40R19 101Y", {"load_version": "HL", "load_single_kg": 825}),
    ("11R22.5 144/142L G", {"rim_diameter_in": 22.5, "rim_diameter_mm": 572, "load_range": "G", "ply_rating": 14}),
]


@pytest.mark.parametrize(("text", "says"), CASES)
def test_json_of_one_marking(auditor: InProcess, text: str, says: dict[str, Any]) -> None:
    ended = auditor("decode", "--json", text)
    found = json.loads(ended.out)
    assert (ended.code, ended.err) == (0, "")
    assert tuple(found) == KEYS
    assert found["family"] in FAMILIES
    assert {name: found[name] for name in says} == says


def test_a_second_service_description_is_no_dual_index(auditor: InProcess) -> None:
    found = json.loads(auditor("decode", "--json", "520/85R38 155A8/152B").out)
    assert (found["load_index"], found["load_index_dual"], found["speed_symbol"]) == (155, None, "A8")
    assert found["additional_service_descriptions"] == ["152B"]


def test_several_texts_give_an_array_and_an_unreadable_one_nulls(auditor: InProcess) -> None:
    ended = auditor("decode", "--json", "225/65R17 102H", "a tire")
    first, second = json.loads(ended.out)
    assert ended.code == 1
    assert first["load_index"] == 102
    assert second["unread"] == ["a tire"]
    assert {second[name] for name in KEYS if name not in ("unread", "additional_service_descriptions", "program")} == {
        None
    }
    assert ended.err.startswith("auditor: 'a tire' could not be read as a marking: ")


def test_words_give_every_number_a_unit_and_end_with_the_caution(auditor: InProcess) -> None:
    ended = auditor("decode", "LT265/70R17 121/118S E")
    assert ended.code == 0
    assert "Up to 1,450 kg (3,197 lb) per tire in single mounting" in ended.out
    assert "overall diameter 804 mm (31.7 in)" in ended.out
    assert "Up to 180 km/h (112 mph)." in ended.out
    assert ended.out.rstrip().endswith("local law applies.")
    assert max(map(len, ended.out.splitlines())) <= 80


def test_a_page_is_written_and_an_unwritable_one_is_code_4(auditor: InProcess, tmp_path: Path) -> None:
    assert auditor("decode", "--html", str(tmp_path / "one.html"), "225/65R17 102H").code == 0
    assert "<svg" in (tmp_path / "one.html").read_text(encoding="utf-8")
    ended = auditor("decode", "--html", str(tmp_path / "none" / "one.html"), "225/65R17 102H")
    assert (ended.code, len(ended.err.splitlines())) == (4, 1)


@pytest.mark.parametrize("text", ["", " ", "\x1b[31m225", "9" * 5000, "225/65R17 102H" * 50])
def test_any_text_is_answered_without_control_characters(auditor: InProcess, text: str) -> None:
    ended = auditor("decode", text)
    assert ended.code in (0, 1)
    assert "\x1b" not in ended.out + ended.err


def test_loads_per_axle_and_by_speed_are_told(auditor: InProcess) -> None:
    truck = auditor("decode", "315/80R22.5 156/150L").out
    assert "load per axle    8,000 kg (17,637 lb) on two tires" in truck
    assert "13,400 kg (29,542 lb) on four, in dual mounting" in truck
    assert "up to  80 km/h   4,160 kg (9,171 lb), in dual mounting 3,484 kg (7,681 lb)" in truck
    fast = auditor("decode", "225/55ZR17 97W").out
    assert "at 270 km/h      620 kg (1,368 lb) per tire" in fast
    assert "on another rim   about 10 mm per inch of rim width (estimate)" in fast


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("225/65R17 102H", "  may be replaced by: 17 in rim, index 102 or higher, H or higher"),
        (
            "LT245/75R16 120/116S E",
            "  may be replaced by: LT, 16 in rim, index 120/116 or higher, S or higher, load\n      range E or higher",
        ),
        ("245/40ZR19 (98Y) XL", "  may be replaced by: 19 in rim, index 98 or higher, (Y) or higher, XL or HL"),
        ("220/55R390 88W", "  may be replaced by: 390 mm rim, index 88 or higher, W or higher"),
    ],
)
def test_what_may_replace_it(auditor: InProcess, text: str, line: str) -> None:
    assert line in auditor("decode", text).out


def test_a_size_alone_asks_nothing_of_a_replacement(auditor: InProcess) -> None:
    assert "may be replaced" not in auditor("decode", "225/65R17").out
