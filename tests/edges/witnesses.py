"""Listings that tell one number of a cause or of a rule over two units from another, where no ladder comes near it.

By the cause or rule that they are beside, and made from its numbers.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tests.edges import usual_witnesses
from tests.edges.edge import filled, number
from tests.edges.paths import Listing
from tests.edges.rule_book import data, rule
from tests.edges.tires import KG_PER_LB, MM_PER_INCH

PASSENGER = {"marking": "225/65R17 102H"}  # 850 kg, 210 km/h, 724 mm
LIGHT_TRUCK = {"marking": "LT265/70R17 121/118S E"}  # 1,450 / 1,320 kg, 80 psi
LIGHT_PAIR = {"size": "LT195/75R14", "load_index": "33", "load_index_dual": "31", "speed_symbol": "S"}  # 115 / 109 kg
LIGHTEST = {"marking": "120/90-17 M/C 15P"}  # 69 kg
TURNS = 1e6 / (3.05 * 724.0)
_UNIT_RULES = {
    "load": ("load-units-disagree",),
    "speed": ("speed-units-disagree",),
    "pressure": ("pressure-units-disagree",),
    "quantities": ("depth-units-disagree", "weight-units-disagree"),
}
# Beside one unit the other: a value that tires have, and one that is odd by itself.
_PARTNERS = {
    "max_load_kg": ("850", "861"),
    "max_load_lb": ("9921", "9800", "55116"),
    "max_speed_kmh": ("210", "215"),
    "max_speed_mph": ("130", "140"),
    "max_pressure_kpa": ("280", "281.5", "282.5", "287"),
    "max_pressure_psi": ("60", "60.4", "60.6", "57"),
    "max_pressure_bar": ("2.8", "0.5"),
    "tread_depth_mm": ("8", "45", "60"),
    "tread_depth_32nds": ("20", "80"),
    "tire_weight_kg": ("50", "600"),
    "tire_weight_lb": ("100", "2000"),
}


# Where a marking, or what stands beside it, is just plausible or just not.
_DOUBTS: Mapping[str, tuple[Listing, ...]] = {
    "marking-implausible": (
        *({"marking": text} for text in (
            "LT265/70R17 121S", "135/80R13 70T", "205/55R16 91V 8PR", "31x10.50R15LT 109/101S", "215/65R16C 109/101T",
            "ST225/75R15 117/109M E", "315/80R22.5 156/145L", "11R22.5 146/135L", "LT325/60R20 121/118S E",
            "21/60R17 96L", "ST225/75R15 117/112M E", "315/80R22.5 156/150L", "11R22.5 144/142L", "8R19.5 124/122L",
        )),
        *({"marking": text, "max_load_kg": "1450"} for text in ("LT265/70R17 108/118S E", "LT265/70R17 106/118S E")),
        {"marking": "225/65R17 107H", "max_load_kg": "775", "max_load_lb": "1709"},
        {"marking": "215/65R16C 113T", "max_load_kg": "860", "max_load_lb": "1896"},
    ),
    "prefix-missing": (
        *({"marking": text, "load_range": "E"} for text in ("285/70R17 121/118S", "245/85R16 117/114S")),
        *({"marking": "225/70R16 103S", "ply_rating": "8", "max_pressure_kpa": kpa} for kpa in ("350", "450")),
        {"marking": "275/65R18 123T", "ply_rating": "10"},
        {"marking": "245/75R16 120/113S E"},
        {"marking": "245/75R16 120/116S E"},
        {"marking": "275/65R18 123Q"},
        {"marking": "275/65R18 123Q", "max_pressure_kpa": "350"},
    ),
    "load-implausible": ({"size": "LT245/75R16", "max_load_dual_kg": "650"},),
    "rim-in-millimeters": ({"marking": "220/55R390 88W", "rim_diameter_in": "387"},),
    "text-contradicted": tuple(
        {**PASSENGER, **stated, "description": f"{plies}-ply rating."}
        for plies in (4, 6, 8) for stated in ({}, {"ply_rating": "4"}, {"load_range": "D"})
    ),
    "slow-for-the-road": ({"marking": "225/65R17 102Q"},),
}  # fmt: skip


def beside(name: str) -> Iterator[Listing]:
    """The listings for one cause or rule."""
    yield from _DOUBTS.get(name, ())
    for cause in data("causes")["cause"]:
        if cause["name"] == name:
            yield from (filled(listing, number(value)) for listing, value in _of_cause(name, cause))
    for subject, names in _UNIT_RULES.items():
        if name in names:
            yield from _of_units(subject, name)
    if name == "load-units-disagree":  # a heavy load beside one that the table holds
        share = rule("load", name)["limits"]["load_share"]
        for part in (0.8, 0.95, 1.05, 1.2):
            yield {
                "marking": "315/80R22.5",
                "max_load_lb": "9921",
                "max_load_kg": number(4000.0 * (1.0 + part * share)),
            }
    if name == "noise-class-mismatch":
        yield {"marking": "225/75R16C 121/120N", "noise_db": "72", "noise_class": "A"}
    yield from usual_witnesses.beside(name)


def _of_units(subject: str, name: str) -> Iterator[Listing]:
    table = rule(subject, name)
    usual = table["limits"]["usual"]
    for pair in table["pairs"]:
        for field, other in ((pair["stated"], pair["other"]), (pair["other"], pair["stated"])):
            values = [number(end * part) for end in usual.get(field, ()) for part in (0.85, 1.15)]
            for value in (*values, *_PARTNERS.get(field, ())):
                for partner in _PARTNERS.get(other, ()):
                    yield {
                        "marking": "31x10.50R15LT" if "pressure" in field else "225/65R17",
                        field: value,
                        other: partner,
                    }


def _of_cause(name: str, cause: Mapping[str, Any]) -> Iterator[tuple[Listing, float]]:
    """A listing and a value for its `{x}`, about as far from what the cause makes as its numbers allow."""
    near = (0.85, 1.15)
    for field, listing, made, slack in _made_by(name, cause):
        for part in near:
            for sign in (-1.0, 1.0):
                value = made + sign * part * slack
                yield {**listing, field: "{x}"}, round(value, 2) if value > 20.0 else value
    if name == "column-shifted":
        for share in cause["heights_by_width"]:
            for part in near:
                yield {"marking": "12R22.5", "section_width_mm": "{x}"}, round(572.0 + 2.0 * 304.8 * share * part)
    if name == "copied-from-another-size":
        for field, ends in cause["range"].items():
            for end in ends:
                for part in near:
                    yield {**PASSENGER, field: "{x}"}, round(end * part)
        yield {**PASSENGER, "rim_diameter_in": "{x}"}, 16.0 + 0.85 * cause["rim_tolerance"]
        yield {**PASSENGER, "rim_diameter_in": "{x}"}, 16.0 + 1.15 * cause["rim_tolerance"]


def _made_by(name: str, cause: Mapping[str, Any]) -> Iterator[tuple[str, Listing, float, float]]:
    """Field, listing, what the cause makes of the right value, and how far a value may lie from it."""
    width_in, diameter_in = 225.0 / MM_PER_INCH, 724.0 / MM_PER_INCH
    if name == "unit-swapped":
        yield "revs_per_km", PASSENGER, TURNS * 1.609344, TURNS * 1.609344 * cause["share_in"]["km"]
        yield "revs_per_mile", PASSENGER, TURNS, TURNS * cause["share_in"]["mile"]
        yield "section_width_mm", PASSENGER, width_in, cause["least_in"]["in"]
        yield "max_pressure_kpa", {**LIGHT_TRUCK, "max_pressure_psi": "80"}, 5.5, cause["least_in"]["bar"]
    elif name == "single-dual-swapped":
        yield "max_load_dual_kg", LIGHT_PAIR, 115.0, cause["least"]
        yield "max_load_kg", LIGHT_PAIR, 109.0, cause["least"]
    elif name == "decimal-slip":
        shares = cause["share_in"]
        yield "overall_diameter_mm", PASSENGER, 72.4, 72.4 * shares["overall_diameter_mm"]
        yield "overall_diameter_in", PASSENGER, diameter_in / 10.0, diameter_in / 10.0 * shares["overall_diameter_in"]
        yield "max_load_dual_kg", LIGHT_TRUCK, 13200.0, 13200.0 * shares["max_load_dual_kg"]
        dual_lb = 13200.0 / KG_PER_LB
        yield "max_load_dual_lb", LIGHT_TRUCK, dual_lb, dual_lb * shares["max_load_dual_lb"]
        for factor in cause["factors"]:
            yield "max_load_kg", PASSENGER, 850.0 * factor, 0.0
            yield "max_load_lb", {"marking": "315/80R22.5 156/150L"}, 4000.0 / KG_PER_LB * factor, 0.0
    elif name == "per-pair":
        yield "max_load_kg", LIGHTEST, 138.0, cause["least"]
    elif name == "converted-badly":
        shares = cause["share_twice_in"]
        twice = diameter_in * MM_PER_INCH**2
        yield "overall_diameter_in", PASSENGER, twice, twice * cause["share_twice"]
        for field, listing, kg in (
            ("max_load_lb", PASSENGER, 850.0),
            ("max_load_dual_lb", LIGHT_TRUCK, 1320.0),
        ):
            yield field, listing, kg * KG_PER_LB, kg * KG_PER_LB * shares[field]
        twice_lb = 1320.0 / KG_PER_LB**2
        yield "max_load_dual_kg", LIGHT_TRUCK, twice_lb, twice_lb * shares["max_load_dual_kg"]
