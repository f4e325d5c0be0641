"""Labels that name several things, and what stands beside markings, in both paths."""

from __future__ import annotations

import pytest

from tests.trials.both_paths import differing, one_by_one

OWN = {"marking": "205/55R16 91V", "severe_snow": "no", "mud_and_snow": "no"}
RIGHT = [
    {"description": "LI / max. load: 91 / 615 kg"},
    {"description": "Width / Aspect / Diameter: 205 / 55 / 16"},
    {"description": "M+S / 3PMSF: no / no"},
    {"description": '{"load_index": "91", "speed_symbol": "V"}'},
    {"description": "80% road, 20% gravel."},
    {"description": "Speed symbol = V on this tire only, not on others"},
    {"title": "Sarnfell 205/55R16 91V max load 615 kg #55231"},
    {"title": "Thornby 205/55R16 91V maks. yük 615 kg 2024"},
    {"service_description": "91V (615 kg, 240 km/h)"},
    {"size": "205/55R16 615 kg"},
]
WRONG = [
    ({"description": "LI / max. load: 91 / 690 kg"}, "description"),
    ({"description": "Width / Aspect / Diameter: 205 / 55 / 17"}, "description"),
    ({"description": "M+S / 3PMSF: yes / no"}, "description"),
    ({"description": '{"load_index": "94", "speed_symbol": "V"}'}, "description"),
    ({"service_description": "91V (710 kg, 240 km/h)"}, "service_description"),
    ({"service_description": "91V (615 kg, 270 km/h)"}, "service_description"),
    ({"title": "Sarnfell 205/55R16 91V max load 1656# 2024"}, "title"),
    ({"max_load_kg": "615 kg / 95"}, "max_load_kg"),
    ({"max_load_lb": "1356 lbs, speed rating Y"}, "max_load_lb"),
    ({"load_index": "91 (95V)"}, "load_index"),
]


@pytest.mark.parametrize("said", RIGHT, ids=str)
def test_what_is_right_is_left_alone(said: dict[str, str]) -> None:
    (found,) = one_by_one([OWN | said])
    assert [one for one in found if one["grade"] != "minor"] == []


@pytest.mark.parametrize(("said", "field"), WRONG, ids=str)
def test_what_is_untrue_is_held(said: dict[str, str], field: str) -> None:
    (found,) = one_by_one([OWN | said])
    assert field in {one["field"] for one in found if one["grade"] != "minor"}


def test_both_paths_agree() -> None:
    assert differing([OWN | said for said in [*RIGHT, *(said for said, _ in WRONG)]]) == []
