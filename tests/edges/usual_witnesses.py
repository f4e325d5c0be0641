"""Listings that tell one number of a rule over what tires usually are from another: of each family, near each end.

By the rule that they are beside, and made from its numbers.
"""

from __future__ import annotations

from collections.abc import Iterator

from tests.edges.edge import number
from tests.edges.paths import Listing
from tests.edges.rule_book import limits, rule

# A tire of each size family, and the load of its index.
OF_FAMILY = {
    "metric": ("225/65R17 102H", 850.0),
    "p-metric": ("P205/75R15 97T", 730.0),
    "metric-rim": ("220/55R390 88W", 560.0),
    "temporary-spare": ("T145/70R17 106M", 950.0),
    "lt-metric": ("LT265/70R17 121/118S E", 1450.0),
    "flotation": ("31x10.50R15LT 109S C", 1030.0),
    "commercial": ("225/75R16C 121/120N", 1450.0),
    "special-trailer": ("ST225/75R15 117/112M E", 1285.0),
    "truck-metric": ("315/80R22.5 156/150L", 4000.0),
    "truck-numeric": ("11R22.5 144/142L G", 2800.0),
    "numeric": ("7.50R16LT 122/120L E", 1500.0),
    "motorcycle": ("3.25-19 54P", 212.0),
    "agricultural": ("18.4-38", 0.0),
    "off-road": ("26.5R25 193B", 11500.0),
    "industrial": ("6.50-10", 0.0),
}
_NEAR = (0.85, 1.15)
_KPA_PER_PSI = 6.894757293168361


def beside(name: str) -> Iterator[Listing]:
    """The listings for one rule."""
    made = _BY_RULE.get(name)
    if made is not None:
        yield from made()


def _depths() -> Iterator[Listing]:
    for family, ends in limits("quantities", "tread-depth-implausible")["usual"].items():
        for end in ends:
            for part in _NEAR:
                yield {"marking": OF_FAMILY[family][0], "tread_depth_mm": number(end * part)}


def _weights() -> Iterator[Listing]:
    for family, ends in limits("quantities", "weight-implausible")["usual"].items():
        marking, kg = OF_FAMILY[family]
        for end in ends:
            for part in _NEAR:
                yield {"marking": marking, "tire_weight_kg": number(round(kg * end * part, 2))}


def _dual_loads() -> Iterator[Listing]:
    for part in _NEAR:
        dual = 1500.0 * limits("quantities", "dual-load-unlike-single")["lowest_share"] * part
        yield {"marking": "7.50-16", "max_load_kg": "1500", "max_load_dual_kg": number(dual)}


def _revolutions() -> Iterator[Listing]:
    numbers = limits("size", "revolutions-unlike-diameter")
    for part in _NEAR:
        diameter = number(572.0 + numbers["least_over_rim_mm"] * part)
        yield {"marking": "12R22.5 152/149L", "overall_diameter_mm": diameter, "revs_per_km": "302"}
    usual = 1e6 / (800.0 * numbers["circumference"])
    for part in _NEAR:
        turns = usual * (1.0 + numbers["share"] * part)
        yield {"marking": "7.50R16LT 122/120L E", "overall_diameter_mm": "800", "revs_per_km": number(round(turns, 2))}


def _noise() -> Iterator[Listing]:
    table = rule("eu_label", "noise-level-implausible")
    for end in (table["least"], table["most"]):
        yield {"marking": "205/55R16 91V", "noise_db": number(end)}


def _pressures_of_trucks() -> Iterator[Listing]:
    """Pressures of tires of which no table says what they are marked with: only the ends of what is usual tell."""
    usual = limits("pressure", "pressure-units-disagree")["usual"]
    near = {field: [number(end * part) for end in ends for part in _NEAR] for field, ends in usual.items()}
    partners = {"max_pressure_kpa": ("500", "50"), "max_pressure_psi": ("60", "5"), "max_pressure_bar": ("5", "0.5")}
    for field, values in near.items():
        for other in sorted(partners.keys() - {field}):
            for value in values:
                for partner in partners[other]:
                    yield {"marking": "11R22.5", field: value, other: partner}


def _pressures_near_marked() -> Iterator[Listing]:
    """Of a light-truck tire: pressures a little off those it is marked with, beside others that are so too."""
    within = limits("pressure", "pressure-units-disagree")["marked_within"]
    for psi_part in (*_NEAR, 3.0):
        for bar_part in (*_NEAR, 3.0):
            yield {
                "marking": "31x10.50R15LT",
                "max_pressure_psi": number(65.0 + within["psi"] * psi_part),
                "max_pressure_bar": number(3.5 + within["bar"] * bar_part),
            }


def _pressures_not_permitted() -> Iterator[Listing]:
    """Between those that are marked in kPa and in psi."""
    numbers = limits("pressure", "pressure-not-permitted")
    for marked, factor, slack in (
        ((*numbers["usual_kpa"], 420), 0.01, numbers["from_kpa"]["bar"]),
        ((*numbers["usual_psi"], 60), _KPA_PER_PSI / 100.0, numbers["from_psi"]["bar"]),
    ):
        for pressure in marked:
            for way in (-1.15, -0.85, 0.85, 1.15):
                for marking in ("225/65R17 102H", "T145/70R17 106M"):
                    yield {"marking": marking, "max_pressure_bar": number(pressure * factor + way * slack)}


def _pressures_of_load_ranges() -> Iterator[Listing]:
    numbers = limits("pressure", "pressure-unlike-load-range")
    usual = numbers["lt_psi"]["E"] * _KPA_PER_PSI / 100.0
    for part in _NEAR:
        yield {"marking": "LT265/70R17 121/118S E", "max_pressure_bar": number(usual + numbers["bar"] * part)}


def _impossible_pressures() -> Iterator[Listing]:
    numbers = limits("pressure", "pressure-impossible")
    for field, ranges in (("max_pressure_kpa", numbers["possible_kpa"]), ("max_pressure_bar", numbers["usual_kpa"])):
        for family, ends in ranges.items():  # what is usual in kPa is told in a column of bar
            for end in ends:
                for part in _NEAR:
                    yield {"marking": OF_FAMILY[family][0], field: number(end * part)}


def _diameters_within_rims() -> Iterator[Listing]:
    numbers, marking, rim_mm, width_mm = limits("size", "diameter-within-rim"), "12R22.5 152/149L", 572.0, 304.8
    for part in _NEAR:
        yield {"marking": marking, "overall_diameter_mm": number(rim_mm + numbers["least_over_rim_mm"] * part)}
        for share in numbers["heights_by_width"]:
            inches = (rim_mm + 2.0 * width_mm * share * part) / 25.4
            yield {"marking": marking, "overall_diameter_mm": number(round(inches, 2))}


_BY_RULE = {
    "pressure-impossible": _impossible_pressures,
    "diameter-within-rim": _diameters_within_rims,
    "tread-depth-implausible": _depths,
    "weight-implausible": _weights,
    "dual-load-unlike-single": _dual_loads,
    "revolutions-unlike-diameter": _revolutions,
    "noise-level-implausible": _noise,
    "pressure-units-disagree": lambda: (*_pressures_of_trucks(), *_pressures_near_marked()),
    "pressure-not-permitted": _pressures_not_permitted,
    "pressure-unlike-load-range": _pressures_of_load_ranges,
}
