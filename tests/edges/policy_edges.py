"""The edges of every number of `rules/policy.toml`, by its key there.

They are made from the policy: a tolerance that is changed moves its edges.  What it is now is held by the ladders,
where whoever changes one sees what the change lets pass.
"""

from __future__ import annotations

from tests.edges.edge import Edge, around, number
from tests.edges.rule_book import TOLERANCE

KG_PER_LB = 0.45359237

PASSENGER = {"marking": "225/65R17 102H"}  # 850 kg, 210 km/h, 225 mm, 724 mm
TRUCK = {"marking": "315/80R22.5 156/150L"}  # 4,000 / 3,350 kg, 120 km/h
LIGHT_INDEX = {"marking": "120/90-17 M/C 28P"}  # 100 kg: half a percent is less than a kilogram

# One tire of every family that states a load, with the kg of its index.
LOAD_OF = {
    "metric": ("225/65R17 102H", 850.0),
    "p-metric": ("P205/75R15 97T", 730.0),
    "lt-metric": ("LT265/70R17 121/118S E", 1450.0),
    "flotation": ("31x10.50R15LT 109S C", 1030.0),
    "commercial": ("215/65R16C 109/107T", 1030.0),
    "special-trailer": ("ST225/75R15 117/112M E", 1285.0),
    "temporary-spare": ("T145/70R17 106M", 950.0),
    "truck-metric": ("315/80R22.5 156/150L", 4000.0),
    "truck-numeric": ("11R22.5 144/142L G", 2800.0),
    "numeric": ("155R13 78T", 425.0),
    "motorcycle": ("180/55ZR17 M/C 73W", 365.0),
    "agricultural": ("520/85R38 155A8", 3875.0),
    "off-road": ("26.5R25 193B", 11500.0),
    "industrial": ("12.5/80-18 138A8", 2360.0),
    "metric-rim": ("220/55R390 88W", 560.0),
}
KG, LB = TOLERANCE["load"]["kg"], TOLERANCE["load"]["lb"]
KMH, MPH = TOLERANCE["speed"]["kmh"], TOLERANCE["speed"]["mph"]
OFF_TABLE = TOLERANCE["load_off_table"]
EXACT, RIM = TOLERANCE["exact"]["absolute"], TOLERANCE["rim"]["absolute"]
WIDTH, ROUNDING, BEYOND = TOLERANCE["width"], TOLERANCE["diameter_rounding"]["mm"], TOLERANCE["diameter_beyond"]["mm"]
BELOW, ABOVE = (
    1.0 + sign * TOLERANCE["width_measured"][f"percent_{end}"] / 100.0 for sign, end in ((-1, "below"), (1, "above"))
)
UNITS, PSI = TOLERANCE["load_units"]["percent"] / 100.0, TOLERANCE["pressure_units"]["psi"]
TURNS = TOLERANCE["revolutions"]["percent"] / 100.0


def load_amount(unit: str, family: str) -> float:
    """What a load may be off by, in kg or lb, before the share of the value counts."""
    load = TOLERANCE["load"]
    return float(load[f"{unit}_in"].get(family, load[unit]))


def _beyond_roundings() -> list[Edge]:
    """A tolerance without an allowance: right on one side, `load-off-table` or worse on the other."""
    rule, off = "load-off-table", {"step": 0.05, "grade": "minor"}
    edges = [
        around("load.kg", PASSENGER, 850.0 + KG, rule, "max_load_kg", **off),
        around("load.kg", PASSENGER, 850.0 - KG, rule, "max_load_kg", below=True, **off),
        around("load.lb", PASSENGER, 850.0 / KG_PER_LB + LB, rule, "max_load_lb", **off),
        around("load.lb", PASSENGER, 850.0 / KG_PER_LB - LB, rule, "max_load_lb", below=True, **off),
        around("load.kg", LIGHT_INDEX, 100.0 + KG, "load-overstated", "max_load_kg", step=0.05, grade="critical"),
        around(
            "load.kg", LIGHT_INDEX, 100.0 - KG, "load-understated", "max_load_kg", step=0.05, below=True, grade="major"
        ),
    ]
    for unit, factor in (("kg", 1.0), ("lb", KG_PER_LB)):
        for family, amount in TOLERANCE["load"][f"{unit}_in"].items():
            marking, kg = LOAD_OF[family]
            for sign in (1.0, -1.0):
                at, more = kg / factor + sign * amount, {**off, "below": sign < 0.0}
                key, field = f"load.{unit}_in.{family}", f"max_load_{unit}"
                edges.append(around(key, {"marking": marking}, at, rule, field, **more))
    without_p = {"marking": "195/75R14 92S"}  # 630 kg
    share = OFF_TABLE["percent_without_p"] / 100.0
    key, between = "load_off_table.percent_without_p", ("load-off-table", "minor")
    edges.append(
        around(key, without_p, 630.0 * (1.0 + share), "load-overstated", "max_load_kg", step=0.05, instead=between)
    )
    return edges


def _off_table() -> list[Edge]:
    edges = []
    for family, (marking, kg) in LOAD_OF.items():
        known = family in OFF_TABLE["percent_in"]
        own = OFF_TABLE["percent_in"][family] if known else OFF_TABLE["percent"]
        in_kg, in_lb = load_amount("kg", family), load_amount("lb", family)
        share = max(own / 100.0, in_kg / kg)
        between = ("load-off-table", "minor") if share * kg > in_kg + 0.1 else ("", "")
        for key in (f"load_off_table.percent_in.{family}" if known else "load_off_table.percent",):
            for rule, grade, sign in (("load-overstated", "critical", 1.0), ("load-understated", "major", -1.0)):
                at, below = kg * (1.0 + sign * share), sign < 0.0
                more = {"below": below, "grade": grade, "instead": between}
                edges.append(around(key, {"marking": marking}, at, rule, "max_load_kg", step=0.01, **more))
                at = at / KG_PER_LB
                more["instead"] = between if share * kg / KG_PER_LB > in_lb + 0.1 else ("", "")
                if share * kg / KG_PER_LB > in_lb:
                    edges.append(around(key, {"marking": marking}, at, rule, "max_load_lb", step=0.01, **more))
    return edges


def lowest_kmh(kmh: float) -> float:
    """Down to where a speed in km/h is not understated: charts converted back, or a mile taken for 1.6 km."""
    off = TOLERANCE["speed_off_table"]
    converted = round(kmh / 1.609344) * off["mile_km"]
    joins = converted + off["kmh"] >= kmh - KMH
    return min(kmh - KMH, converted - off["kmh"]) if joins else kmh - KMH


def highest_mph(kmh: float) -> float:
    """Up to where a speed in mph is not overstated."""
    off, mph = TOLERANCE["speed_off_table"], kmh / 1.609344
    near = max(mph, round(mph)) + MPH
    converted = kmh / off["mile_km"]
    return max(near, converted + off["mph"]) if converted - off["mph"] <= near else near


def _speeds() -> list[Edge]:
    over, under, off = "speed-overstated", "speed-understated", "speed-off-table"
    near, minor = {"step": 0.02}, (off, "minor")
    edges = [
        around("speed.kmh", PASSENGER, 210.0 + KMH, over, "max_speed_kmh", grade="critical", **near),
        around("speed.kmh", PASSENGER, 210.0 - KMH, off, "max_speed_kmh", below=True, grade="minor", **near),
        around("speed.mph", PASSENGER, 210.0 / 1.609344 + MPH, off, "max_speed_mph", grade="minor", **near),
        around("speed.mph", PASSENGER, 130.0 - MPH, under, "max_speed_mph", below=True, grade="major", **near),
    ]
    for key in ("speed_off_table.mile_km", "speed_off_table.kmh"):
        at = lowest_kmh(210.0)
        edges.append(around(key, PASSENGER, at, under, "max_speed_kmh", below=True, instead=minor, **near))
    for key in ("speed_off_table.mile_km", "speed_off_table.mph"):
        edges.append(around(key, PASSENGER, highest_mph(210.0), over, "max_speed_mph", instead=minor, **near))
    return edges


def _codes_and_rims() -> list[Edge]:
    aspect = "aspect-mismatch"
    return [
        around("exact.absolute", PASSENGER, 65.0 + EXACT, aspect, "aspect_ratio", step=0.001, grade="major"),
        around(
            "exact.absolute", PASSENGER, 65.0 - EXACT, aspect, "aspect_ratio", step=0.001, below=True, grade="major"
        ),
        around("rim.absolute", PASSENGER, 17.0 + RIM, "rim-mismatch", "rim_diameter_in", step=0.002, grade="critical"),
        around("rim.absolute", PASSENGER, 17.0 - RIM, "rim-mismatch", "rim_diameter_in", step=0.002, below=True),
    ]


def _sizes() -> list[Edge]:
    width, rule = 225.0, "width-mismatch"
    low, high = 432 + 292 * 0.97, 432 + 292 * 1.04
    slack = ROUNDING + 0.05  # what the formula rounds, half of the last stated digit
    off = "overall-diameter-off"
    turns = 1e6 / (3.05 * 724.0)
    turns_mile = turns * 1.609344
    minor = (off, "minor")
    edges = [
        around("diameter_rounding.mm", PASSENGER, high + slack, off, "overall_diameter_mm", step=0.1, grade="minor"),
        around("diameter_rounding.mm", PASSENGER, low - slack, off, "overall_diameter_mm", step=0.1, below=True),
        around("width_measured.percent_above", PASSENGER, width * ABOVE, rule, "section_width_mm", step=0.1),
        around("width_measured.percent_below", PASSENGER, width * BELOW, rule, "section_width_mm", step=0.1,
               below=True),
        around(
            "width_measured.percent_above", PASSENGER, width * ABOVE + 0.05, rule, "measured_width_mm", step=0.1
        ),
        around(
            "width_measured.percent_below",
            PASSENGER,
            width * BELOW - 0.05,
            rule,
            "measured_width_mm",
            step=0.1,
            below=True,
        ),
        around(
            "diameter_beyond.mm", PASSENGER, high + slack + BEYOND, off, "overall_diameter_mm",
            step=0.1, grade="major", instead=minor,
        ),
        around(
            "diameter_beyond.mm", PASSENGER, low - slack - BEYOND, off, "overall_diameter_mm",
            step=0.1, below=True, grade="major", instead=minor,
        ),
        around("revolutions.percent", PASSENGER, turns * (1.0 + TURNS), "revolutions-off", "revs_per_km", step=0.05),
        around("revolutions.percent", PASSENGER, turns * (1.0 - TURNS), "revolutions-off", "revs_per_km", step=0.05,
               below=True),
        around("revolutions.percent", PASSENGER, turns_mile * (1.0 + TURNS), "revolutions-off", "revs_per_mile",
               step=0.05),
    ]  # fmt: skip
    return edges


def _two_units() -> list[Edge]:
    """Where the marking settles nothing, or never could: two units of one quantity held against each other."""
    unloaded = {"marking": "225/65R17", "max_load_kg": "2000"}
    lb = 2000.0 / KG_PER_LB
    half = 0.05  # of the last stated digit of the second value
    psi = 6.894757293168361
    weight = {"marking": "225/65R17 102H", "tire_weight_kg": "12.5"}
    in_lb = 12.5 / KG_PER_LB
    width = 2.0 * TOLERANCE["last_digit"]["digits"] * (0.05 / KG_PER_LB + 0.05)
    return [
        _units("load_units.percent", unloaded, lb * (1.0 + UNITS) + half, "load-units-disagree", "max_load_lb"),
        _units(
            "load_units.percent", unloaded, lb * (1.0 - UNITS) - half, "load-units-disagree", "max_load_lb", below=True
        ),
        _units(
            "pressure_units.psi",
            {"marking": "31x10.50R15LT 109S C", "max_pressure_kpa": "350"},
            350 / psi + PSI,
            "pressure-units-disagree",
            "max_pressure_psi",
        ),
        _units(
            "pressure_units.psi",
            {"marking": "31x10.50R15LT 109S C", "max_pressure_kpa": "350"},
            350 / psi - PSI,
            "pressure-units-disagree",
            "max_pressure_psi",
            below=True,
        ),
        _units("last_digit.digits", weight, in_lb + width, "weight-units-disagree", "tire_weight_lb"),
        _units("last_digit.digits", weight, in_lb - width, "weight-units-disagree", "tire_weight_lb", below=True),
    ]


def _units(key: str, listing: dict[str, str], at: float, rule: str, field: str, *, below: bool = False) -> Edge:
    """The nearest values with one decimal on the two sides; either of the two fields may be the odd one."""
    tenth = int(at * 10.0) / 10.0
    inside, outside = (tenth + 0.1, tenth) if below else (tenth, tenth + 0.1)
    return Edge(key, {**listing, field: "{x}"}, number(inside), number(outside), rule, ANY_FIELD)


ANY_FIELD = "*"

EDGES: tuple[Edge, ...] = (
    *_beyond_roundings(),
    *_off_table(),
    *_speeds(),
    *_codes_and_rims(),
    *_sizes(),
    *_two_units(),
)
