"""Sizes inside titles and sales texts: those that are there, none that is not."""

from __future__ import annotations

import pytest

from auditor.marking import find_markings


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Acme Trailhawk 225/65R17 102H all-season", [("225/65R17 102H", "225/65R17 102H")]),
        ("Fits 225/65R17, 235/60R18 and 245/55R19.", [("225/65R17",) * 2, ("235/60R18",) * 2, ("245/55R19",) * 2]),
        ("Set of 4 LT265/70R17 121/118S E tires", [("LT265/70R17 121/118S E",) * 2]),
        ("LT265/70R17 A great tire for trucks", [("LT265/70R17",) * 2]),
        ("P225/65R17, 102 reviews", [("P225/65R17",) * 2]),
        ("205/55R16 100 pcs", [("205/55R16",) * 2]),
        ("205/55R16 (sold in pairs)", [("205/55R16",) * 2]),
        ("11R22.5 16 ply drive tire", [("11R22.5 16 ply", "11R22.5 16PR")]),
        ("mud tire 31x10.50R15LT 109S C, new", [("31x10.50R15LT 109S C",) * 2]),
        ("225/65 R 17 102 H with snow grip", [("225/65 R 17 102 H", "225/65R17 102H")]),
        ("van 195/70R15C 104/102R 8PR", [("195/70R15C 104/102R 8PR", "195/70R15C 8PR 104/102R")]),
        ("&quot;225/65R17&quot; 102H", [("225/65R17&quot; 102H", "225/65R17 102H")]),
        ("rear MT90B16 72H, front 3.25-19", [("MT90B16 72H",) * 2, ("3.25-19",) * 2]),
        ("225/65R17 102H, Crest", [("225/65R17 102H",) * 2]),
        ("225/65R17 102H , Crest", [("225/65R17 102H",) * 2]),
        ("225/65R17 102H ,; Crest", [("225/65R17 102H",) * 2]),
        ("farm 520/85R38 155A8/152B TL", [("520/85R38 155A8/152B TL",) * 2]),
    ],
)
def test_sizes_are_found(text: str, wanted: list[tuple[str, str]]) -> None:
    assert [(text[start:end], str(marking)) for start, end, marking in find_markings(text)] == wanted


@pytest.mark.parametrize(
    "text",
    [
        "Open 24/7, tread 10/32, 55/45 split",
        "Call 800-225-6517 today, order 2025-06-17, price $7.50-16.00",
        "ISO 9001/2015-17",
        "New 2019/20 R17 edition",
        "Wheel 17x7.5, bolt circle 5x114.3",
        "Box 24x24x12 in",
        "from 10-16 days; 5.00-8.00 dollars; 100-120 psi; 1.5-2 times",
        "open 9.00-17, opening hours 8.00-18.00",
        "part 2256517, batch 225-65-17",
        "65,000 mile warranty, 1,874 lb, 130 mph",
        "",
    ],
)
def test_no_size_is_made_up(text: str) -> None:
    assert find_markings(text) == ()
