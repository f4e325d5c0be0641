"""Cells of loads and speeds that cannot be read count as right where the marking gives their every figure."""

from __future__ import annotations

import pytest

from tests.trials.both_paths import differing, one_by_one

EXPLAINED = [
    ("385/55R22.5 160K (158L)", "max_load_kg", "4'500 kg (K) bzw. 4'250 kg (L)"),
    ("195/55R16 91V XL", "max_load_kg", "six cent quinze kilos (615 kg)"),
    ("165/70R14 81T", "max_load_kg", "462,5 kg (gerundet 462)"),
    ("17.5R25 182A2/167B", "max_load_kg", "5,450 (50 km/h)"),
    ("400/70R20 149A8/149B", "max_speed_kmh", "40 / 50"),
    ("165/70R14 85T XL", "max_load_kg", "515 kg na oponę (komplet 2 060 kg)"),
    ("215/75R17.5 135/133J", "max_load_kg", "2180.0|2060.0"),
]
NOT_EXPLAINED = [
    ("165/70R14 81T", "max_load_kg", "462 kg (gerundet 480)", "value-unreadable"),
    ("205/55R16 91V", "max_load_kg", "690 kg gerundet", "load-overstated"),
    ("205/55R16 91V", "max_load_kg", "2460 kg komplet", "load-overstated"),  # four times, and no figure of one tire
    ("205/55R16 91V", "max_load_kg", "615 kg per pair", "value-unreadable"),
    ("205/55R16 91V", "max_load_kg", "615 kg gerundet, 270 km/h gerundet", "speed-overstated"),
    ("205/55R16 91V", "max_speed_kmh", "210 / 240", "value-unreadable"),
]


@pytest.mark.parametrize(("marking", "field", "text"), EXPLAINED)
def test_every_figure_is_the_markings(marking: str, field: str, text: str) -> None:
    (found,) = one_by_one([{"marking": marking, field: text}])
    assert found == []


@pytest.mark.parametrize(("marking", "field", "text", "rule"), NOT_EXPLAINED)
def test_a_figure_is_another(marking: str, field: str, text: str, rule: str) -> None:
    (found,) = one_by_one([{"marking": marking, field: text}])
    assert [one["rule"] for one in found] == [rule]


def test_both_back_ends_agree() -> None:
    assert (
        differing([{"marking": marking, field: text} for marking, field, text, *_ in (*EXPLAINED, *NOT_EXPLAINED)])
        == []
    )


@pytest.mark.parametrize(
    "text",
    [
        "1.150 kg singolo - 1.090 kg gemellato",
        "1150 single 1090 dual",
        "1150 kg (single), 1090 kg (dual)",
        "single 1150 dual 1090",
        "single: 1150 - dual: 1090",
    ],
)
def test_single_and_dual_stand_before_or_behind_their_loads(text: str) -> None:
    right, wrong = one_by_one(
        [{"marking": "205/75R16C 113/111R", "max_load_kg": one} for one in (text, text.replace("090", "150"))]
    )
    assert right == []
    assert [one["rule"] for one in wrong] == ["load-overstated"]
