"""What follows from a marking: worked examples of every family, and None where nothing follows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from auditor.marking import decode
from auditor.marking.families import family_named
from auditor.trade.derive import (
    commercial_loads_by_speed,
    derive,
    load_at_speed_kg,
    load_at_top_speed_kg,
    load_per_axle_kg,
)
from auditor.trade.family import NO_FAMILY
from auditor.trade.formulas import Inputs, letters_of_size
from auditor.trade.marking_model import Marking, ServiceDescription
from auditor.trade.tables import default_tables


def service(
    index: int | None, symbol: str | None = None, dual: int | None = None, *, is_open: bool = False
) -> ServiceDescription:
    return ServiceDescription(index, dual, symbol, is_open)


PASSENGER = Marking(
    family_named("metric"),
    section_width_mm=225.0,
    aspect_ratio=65.0,
    construction="R",
    rim_diameter_in=17.0,
    service=service(102, "H"),
)
LIGHT_TRUCK = Marking(
    family_named("lt-metric"),
    section_width_mm=265.0,
    aspect_ratio=70.0,
    construction="R",
    rim_diameter_in=17.0,
    service=service(121, "S", 118),
    load_range="E",
)


def test_passenger_tire_225_65r17_102h() -> None:
    derived = derive(PASSENGER)
    assert (derived.load_single_kg, derived.load_dual_kg) == (850, None)
    assert derived.load_single_lb == pytest.approx(1873.93, abs=0.01)
    assert (derived.speed_kmh, derived.speed_floor_kmh) == (210, None)
    assert derived.speed_mph == pytest.approx(130.488, abs=0.001)
    assert (derived.section_width_mm, derived.aspect_ratio) == (225, 65)
    assert derived.section_width_in == pytest.approx(8.858, abs=0.001)
    assert (derived.rim_diameter_in, derived.rim_diameter_mm) == (17, 432)
    assert (derived.section_height_mm, derived.overall_diameter_mm) == (146, 724)
    assert derived.overall_diameter_in == pytest.approx(28.504, abs=0.001)
    assert derived.ply_rating is None
    assert not derived.special_use


def test_light_truck_tire_lt265_70r17_121_118s_e() -> None:
    derived = derive(LIGHT_TRUCK)
    assert (derived.load_single_kg, derived.load_dual_kg, derived.speed_kmh) == (1450, 1320, 180)
    assert derived.load_dual_lb == pytest.approx(2910.1, abs=0.1)
    assert derived.ply_rating == 10
    assert derived.special_use


def test_flotation_size_begins_with_its_diameter() -> None:
    derived = derive(
        Marking(
            family_named("flotation"),
            section_width_in=10.5,
            overall_diameter_in=31.0,
            construction="R",
            rim_diameter_in=15.0,
            service=service(109, "S"),
            load_range="C",
        )
    )
    assert derived.section_width_mm == 266.7
    assert derived.overall_diameter_mm == 787.4
    assert derived.overall_diameter_in == pytest.approx(31)
    assert derived.diameter_min_mm == pytest.approx(787.4 * 0.97)
    assert derived.diameter_max_mm == pytest.approx(787.4 * 1.01)
    assert (derived.load_single_kg, derived.ply_rating, derived.section_height_mm) == (1030, 6, None)


@pytest.mark.parametrize(
    ("changes", "speed_kmh", "floor_kmh"),
    [
        ({"service": service(98, "Y", is_open=True)}, 300, 300),
        ({"service": service(58, "W", is_open=True)}, 270, 270),
        ({"service": service(69, "V", is_open=True)}, 240, 240),
        ({"service": service(97, "W"), "construction": "ZR"}, 270, None),
        ({"service": service(97), "construction": "ZR"}, None, 240),
        ({"service": service(None), "size_speed_letter": "S"}, 180, None),
        ({"service": service(None), "size_speed_letter": "H"}, 210, None),
        ({"service": service(None), "size_speed_letter": "V"}, None, 210),
        ({"service": service(97)}, None, None),
        ({"service": service(97, "X")}, None, None),
    ],
    ids=["(98Y)", "(58W)", "(69V)", "ZR 97W", "bare ZR", "SR", "HR", "VR", "no symbol", "no such symbol"],
)
def test_speed(changes: dict[str, object], speed_kmh: float | None, floor_kmh: float | None) -> None:
    derived = derive(replace(PASSENGER, **changes))  # type: ignore[arg-type]
    assert derived.speed_kmh == speed_kmh
    assert derived.speed_floor_kmh == floor_kmh


def test_trailer_tire_without_symbol_has_a_speed_by_practice_only() -> None:
    bare = derive(replace(PASSENGER, size_family=family_named("special-trailer"), service=service(117)))
    marked = derive(replace(PASSENGER, size_family=family_named("special-trailer"), service=service(117, "M")))
    assert (bare.speed_kmh, bare.speed_mph, bare.speed_practice_mph) == (None, None, 65)
    assert (marked.speed_kmh, marked.speed_practice_mph) == (130, None)


def test_second_service_description_is_an_alternative() -> None:
    tire = Marking(
        family_named("agricultural"),
        section_width_mm=520.0,
        aspect_ratio=85.0,
        construction="R",
        rim_diameter_in=38.0,
        service=service(155, "A8"),
        additional=(service(152, "B"),),
    )
    derived = derive(tire)
    assert (derived.load_single_kg, derived.speed_kmh, derived.load_dual_kg) == (3875, 40, None)
    assert (derived.load_single_alt_kg, derived.load_dual_alt_kg, derived.speed_alt_kmh) == (3550, None, 50)
    assert derived.overall_diameter_mm == 965 + 2 * 442
    assert derived.diameter_min_mm == pytest.approx(965 + 2 * 442 * 0.95)


@pytest.mark.parametrize(
    "marking",
    [
        Marking(family_named("numeric"), section_width_in=7.5, construction="R", rim_diameter_in=16.0),
        Marking(family_named("truck-numeric"), section_width_in=11.0, construction="R", rim_diameter_in=22.5),
        Marking(family_named("commercial"), section_width_mm=195.0, construction="R", rim_diameter_in=15.0),
        Marking(family_named("off-road"), section_width_in=23.5, construction="R", rim_diameter_in=25.0),
        Marking(family_named("motorcycle"), rim_diameter_in=16.0, construction="B"),
        Marking(
            family_named("metric-rim"),
            section_width_mm=220.0,
            aspect_ratio=55.0,
            construction="R",
            rim_diameter_mm_marked=390.0,
        ),
    ],
    ids=["7.50R16", "11R22.5", "195R15C", "23.5R25", "MT90B16", "220/55R390"],
)
def test_no_diameter_where_the_formula_does_not_hold(marking: Marking) -> None:
    derived = derive(marking)
    assert derived.overall_diameter_mm is None
    assert derived.overall_diameter_in is None
    assert derived.section_height_mm is None
    assert derived.diameter_min_mm is None
    assert derived.diameter_special_max_mm is None
    assert derived.revs_per_km is None
    assert derived.revs_per_mile is None


def test_metric_rim_keeps_its_millimetres() -> None:
    derived = derive(Marking(family_named("metric-rim"), section_width_mm=220.0, rim_diameter_mm_marked=390.0))
    assert (derived.rim_diameter_mm, derived.rim_diameter_in) == (390, None)


def test_inch_width_in_millimetres() -> None:
    derived = derive(Marking(family_named("truck-numeric"), section_width_in=8.25, rim_diameter_in=15.0))
    assert (derived.section_width_mm, derived.section_width_in) == (209.55, 8.25)


def test_marked_ply_rating_comes_before_the_load_range() -> None:
    assert derive(replace(LIGHT_TRUCK, load_range=None, ply_rating=8)).ply_rating == 8
    assert derive(replace(LIGHT_TRUCK, load_range="Z")).ply_rating is None


def test_marking_without_service_description_says_nothing_of_load_and_speed() -> None:
    derived = derive(Marking(family_named("metric"), section_width_mm=225.0, aspect_ratio=65.0, rim_diameter_in=17.0))
    assert derived.load_single_kg is None
    assert derived.load_single_lb is None
    assert derived.speed_kmh is None
    assert derived.speed_mph is None


def test_load_index_outside_the_table_says_nothing() -> None:
    assert derive(replace(PASSENGER, service=service(280, "H"))).load_single_kg is None


@pytest.mark.parametrize("letter", ["M+S", "3PMSF", "POR", "MPT"])
def test_letters_that_call_for_the_special_limits(letter: str) -> None:
    assert derive(replace(PASSENGER, letters=("TL", letter))).special_use


def test_revolutions() -> None:
    # From memory of the European tire and rim standards, per mile: 20,774 / D in inches radial, 21,191 bias.
    radial, bias = derive(PASSENGER), derive(replace(PASSENGER, construction="D"))
    assert radial.revs_per_km == pytest.approx(1e6 / (3.05 * 724))
    assert radial.revs_per_mile == pytest.approx(20_774 / (724 / 25.4), rel=1e-4)
    assert bias.revs_per_mile == pytest.approx(21_191 / (724 / 25.4), rel=1e-4)


@pytest.mark.parametrize(
    ("symbol", "speed_kmh", "percent"),
    [("V", 210, 100), ("V", 240, 91), ("W", 240, 100), ("W", 270, 85), ("Y", 270, 100), ("Y", 300, 85)],
)
def test_load_at_speed(symbol: str, speed_kmh: float, percent: float) -> None:
    # UN Regulation No. 30, maximum load rating: V 91 % at 240, W 85 % at 270, Y 85 % at 300 km/h.
    assert load_at_speed_kg(1000, symbol, speed_kmh) == pytest.approx(10 * percent)


def test_load_at_speed_is_linear_between_steps_and_ends_at_the_symbol() -> None:
    assert load_at_speed_kg(1000, "W", 245) == pytest.approx(975)
    assert load_at_speed_kg(1000, "H", 210) == 1000
    assert load_at_speed_kg(1000, "H", 211) is None
    assert load_at_speed_kg(1000, "X", 100) is None


def test_load_at_top_speed() -> None:
    assert load_at_top_speed_kg(replace(PASSENGER, service=service(91, "V"))) == pytest.approx(615 * 0.91)
    assert load_at_top_speed_kg(PASSENGER) is None
    assert load_at_top_speed_kg(replace(PASSENGER, service=service(None, "V"))) is None


def test_commercial_loads_by_speed() -> None:
    # From memory of UN Regulation No. 54, Annex 8.
    van = replace(PASSENGER, size_family=family_named("commercial"), service=service(109, "T", 107))
    truck = replace(PASSENGER, size_family=family_named("truck-metric"), service=service(156, "L", 150))
    assert commercial_loads_by_speed(van)[0] == pytest.approx((40, 1030 * 1.25, 975 * 1.25))
    assert [row[0] for row in commercial_loads_by_speed(truck)] == [40, 50, 60, 70, 80]
    assert commercial_loads_by_speed(truck)[-1] == pytest.approx((80, 4000 * 1.04, 3350 * 1.04))
    assert commercial_loads_by_speed(PASSENGER) == ()
    assert commercial_loads_by_speed(replace(van, service=service(None, "T"))) == ()


def test_commercial_loads_stop_below_the_symbols_own_speed() -> None:
    slow = replace(PASSENGER, size_family=family_named("commercial"), service=service(109, "F"))
    assert [row[0] for row in commercial_loads_by_speed(slow)] == [40, 50, 60]


def test_load_per_axle() -> None:
    assert load_per_axle_kg(derive(LIGHT_TRUCK)) == (2900, 5280)
    assert load_per_axle_kg(derive(Marking(NO_FAMILY))) == (None, None)


@pytest.mark.parametrize(
    ("size", "letters"),
    [
        ("ST205/75R15", "ST"),
        ("ST4.80-12", "ST"),
        ("LT7.50-16", "LT"),
        ("7.50R16LT", "LT"),
        ("195/70R15C", "C"),
        ("225/65R17", None),
    ],
)
def test_letters_of_the_size_stand_before_a_figure_or_behind_one(size: str, letters: str | None) -> None:
    marking = decode(size)
    assert isinstance(marking, Marking)
    assert letters_of_size(Inputs(marking, default_tables())) == letters
