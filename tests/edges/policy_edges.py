"""The edges of every number of `rules/policy.toml`, by its key there.

The numbers stand here once more, on purpose: a tolerance that is changed moves its edges, and these say so.  Whoever
changes one changes both, and sees what the change lets pass.
"""

from __future__ import annotations

from tests.edges.edge import Edge, around, number

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
PERCENT_OFF_TABLE = dict.fromkeys(LOAD_OF, 0.5) | dict.fromkeys(
    ("p-metric", "lt-metric", "flotation", "special-trailer"), 2.0
)


def _beyond_roundings() -> list[Edge]:
    """A tolerance without an allowance: right on one side, `load-off-table` or worse on the other."""
    rule, off = "load-off-table", {"step": 0.05, "grade": "minor"}
    kg, lb = 4000.0, 4000.0 / KG_PER_LB
    dual_lb = 3350.0 / KG_PER_LB
    return [
        around("load.kg", TRUCK, kg + 1.2, rule, "max_load_kg", **off),
        around("load.kg", TRUCK, kg - 1.2, rule, "max_load_kg", below=True, **off),
        around("load.kg", TRUCK, 3350 + 1.2, rule, "max_load_dual_kg", **off),
        around("load.kg", LIGHT_INDEX, 101.2, "load-overstated", "max_load_kg", step=0.05, grade="critical"),
        around("load.kg", LIGHT_INDEX, 98.8, "load-understated", "max_load_kg", step=0.05, below=True, grade="major"),
        around("load.lb", TRUCK, lb + 2.5, rule, "max_load_lb", **off),
        around("load.lb", TRUCK, lb - 2.5, rule, "max_load_lb", below=True, **off),
        around("load.lb", TRUCK, dual_lb + 2.5, rule, "max_load_dual_lb", **off),
    ]


def _off_table() -> list[Edge]:
    edges = []
    for family, (marking, kg) in LOAD_OF.items():
        own = PERCENT_OFF_TABLE[family]
        keys = ["load_off_table.percent"] if own == 0.5 else [f"load_off_table.percent_in.{family}"]
        share = max(own / 100.0, 1.2 / kg)
        between = ("load-off-table", "minor") if share * kg > 1.3 else ("", "")
        for key in keys:
            for rule, grade, sign in (("load-overstated", "critical", 1.0), ("load-understated", "major", -1.0)):
                at, below = kg * (1.0 + sign * share), sign < 0.0
                more = {"below": below, "grade": grade, "instead": between}
                edges.append(around(key, {"marking": marking}, at, rule, "max_load_kg", step=0.01, **more))
                at = at / KG_PER_LB
                more["instead"] = between if share * kg / KG_PER_LB > 2.6 else ("", "")
                if share * kg / KG_PER_LB > 2.5:
                    edges.append(around(key, {"marking": marking}, at, rule, "max_load_lb", step=0.01, **more))
    return edges


def _speeds() -> list[Edge]:
    mph = 210.0 / 1.609344
    over, under = "speed-overstated", "speed-understated"
    return [
        around("speed.kmh", PASSENGER, 211.7, over, "max_speed_kmh", step=0.02, grade="critical"),
        around("speed.kmh", PASSENGER, 208.3, under, "max_speed_kmh", step=0.02, below=True, grade="major"),
        around("speed.mph", PASSENGER, mph + 1.0, over, "max_speed_mph", step=0.02, grade="critical"),
        around("speed.mph", PASSENGER, mph - 1.0, under, "max_speed_mph", step=0.02, below=True, grade="major"),
    ]


def _codes_and_rims() -> list[Edge]:
    aspect = "aspect-mismatch"
    return [
        around("exact.absolute", PASSENGER, 65.005, aspect, "aspect_ratio", step=0.001, grade="major"),
        around("exact.absolute", PASSENGER, 64.995, aspect, "aspect_ratio", step=0.001, below=True, grade="major"),
        around("rim.absolute", PASSENGER, 17.05, "rim-mismatch", "rim_diameter_in", step=0.002, grade="critical"),
        around("rim.absolute", PASSENGER, 16.95, "rim-mismatch", "rim_diameter_in", step=0.002, below=True),
    ]


def _sizes() -> list[Edge]:
    width, rule = 225.0, "width-mismatch"
    low, high = 432 + 292 * 0.97, 432 + 292 * 1.04
    slack = 0.51 + 0.05  # half a millimetre of the formula, half of the last stated digit
    off = "overall-diameter-off"
    turns = 1e6 / (3.05 * 724.0)
    turns_mile = turns * 1.609344
    minor = (off, "minor")
    edges = [
        around("width_measured.percent_above", PASSENGER, width * 1.08, rule, "section_width_mm", step=0.1),
        around("width_measured.percent_below", PASSENGER, width * 0.95, rule, "section_width_mm", step=0.1, below=True),
        around(
            "width_measured.percent_above", PASSENGER, width * 1.08 + 0.05, rule, "measured_width_mm", step=0.1
        ),
        around(
            "width_measured.percent_below",
            PASSENGER,
            width * 0.95 - 0.05,
            rule,
            "measured_width_mm",
            step=0.1,
            below=True,
        ),
        around(
            "diameter_beyond.mm", PASSENGER, high + slack + 6.0, off, "overall_diameter_mm",
            step=0.1, grade="major", instead=minor,
        ),
        around(
            "diameter_beyond.mm", PASSENGER, low - slack - 6.0, off, "overall_diameter_mm",
            step=0.1, below=True, grade="major", instead=minor,
        ),
        around("revolutions.percent", PASSENGER, turns * 1.04, "revolutions-off", "revs_per_km", step=0.05),
        around("revolutions.percent", PASSENGER, turns * 0.96, "revolutions-off", "revs_per_km", step=0.05, below=True),
        around("revolutions.percent", PASSENGER, turns_mile * 1.04, "revolutions-off", "revs_per_mile", step=0.05),
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
    width = 0.05 / KG_PER_LB + 0.05
    return [
        _units("load_units.percent", unloaded, lb * 1.005 + half, "load-units-disagree", "max_load_lb"),
        _units("load_units.percent", unloaded, lb * 0.995 - half, "load-units-disagree", "max_load_lb", below=True),
        _units(
            "pressure_units.psi",
            {"marking": "31x10.50R15LT 109S C", "max_pressure_kpa": "350"},
            350 / psi + 1.0,
            "pressure-units-disagree",
            "max_pressure_psi",
        ),
        _units(
            "pressure_units.psi",
            {"marking": "31x10.50R15LT 109S C", "max_pressure_kpa": "350"},
            350 / psi - 1.0,
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
