"""Ladders of loads, speeds and pressures, and of two units beside each other."""

from __future__ import annotations

from tests.edges.ladder import Ladder, near, rising, span
from tests.edges.tires import KG_PER_LB, KMH_PER_MPH, TIRES

# What a wrong load may be made of, as multiples of the right one: other units, pairs, slipped marks.
_LOAD_SHARES = (0.1, 0.4, 0.45, 0.4536, 0.46, 0.5, 0.9, 2.0, 2.2, 2.2046, 2.25, 2.3, 2.5, 4.0, 10.0, 100.0)


def loads() -> list[Ladder]:
    ladders = []
    for tire in TIRES:
        for field, kg in (("max_load_kg", tire.load_kg), ("max_load_dual_kg", tire.dual_kg)):
            if not kg:
                continue
            for unit, right in (("kg", kg), ("lb", kg / KG_PER_LB)):
                rungs = rising(near(right, 0.03, 40))
                name = field.replace("kg", unit)
                ladders.append(Ladder(f"{name} of {tire.marking}", {"marking": tire.marking, name: "{x}"}, rungs))
    for place in (0, 2, 7):
        tire = TIRES[place]
        for unit, right in (("kg", tire.load_kg), ("lb", tire.load_kg / KG_PER_LB)):
            listing = {"marking": tire.marking, f"max_load_{unit}": "{x}"}
            parts = [
                span(round(right * share * 0.965), round(right * share * 1.035), max(round(right * share / 250), 1))
                for share in _LOAD_SHARES
            ]
            rungs = rising(*parts, span(40, 200, 1), span(round(right * 0.94), round(right * 1.06), 1))
            ladders.append(Ladder(f"causes of max_load_{unit} of {tire.marking}", listing, rungs))
    tire = TIRES[2]
    rungs = rising(span(1100, 1600, 2), span(2500, 2700, 2))
    ladders.append(Ladder("causes of max_load_dual_kg", {"marking": tire.marking, "max_load_dual_kg": "{x}"}, rungs))
    text = {"marking": TIRES[0].marking, "title": "Larkmoor Crest tire, max load {x} kg"}
    ladders.append(Ladder("a load in a title", text, rising(near(850, 0.02, 40), span(300, 1000, 50))))
    return ladders


def speeds() -> list[Ladder]:
    ladders = []
    markings = [
        "225/65R17 102H",
        "245/40ZR19 (98Y) XL",
        "245/40ZR19",
        "205/60VR15",
        "T145/70D17 106M",
        "315/80R22.5 156/150L",
        "520/85R38 155A8/152B",
        "225/70R15C 112/110R (115N)",
        "ST225/75R15 E",
        "120/70ZR17 M/C (58W)",
    ]
    for marking in markings:
        for field, top in (("max_speed_kmh", 420), ("max_speed_mph", 260)):
            ladders.append(Ladder(f"{field} of {marking}", {"marking": marking, field: "{x}"}, rising(span(1, top, 1))))
    for field, right in (("max_speed_kmh", 210), ("max_speed_mph", 210 / KMH_PER_MPH), ("max_speed_kmh", 300)):
        marking = "225/65R17 102H" if right < 300 else "245/40ZR19 (98Y) XL"
        rungs = rising(span(right - 4, right + 4, 0.1))
        ladders.append(Ladder(f"{field} of {marking} in tenths", {"marking": marking, field: "{x}"}, rungs))
    for field, low, high in (("max_speed_kmh", 77, 81), ("max_speed_mph", 46, 52)):
        listing = {"marking": "T145/70D17 106M", field: "{x}"}
        ladders.append(Ladder(f"{field} of a spare in tenths", listing, rising(span(low, high, 0.1))))
    slipped = rising(span(19, 23, 0.1), span(2050, 2150, 2), span(125, 135, 0.2), span(330, 345, 0.2))
    ladders.append(Ladder("causes of max_speed_kmh", {"marking": "225/65R17 102H", "max_speed_kmh": "{x}"}, slipped))
    symbols = [f"A{number}" for number in range(1, 9)] + list("BCDEFGHIJKLMNOPQRSTUVWXYZ") + ["(Y)", "(W)", "ZR"]
    for marking in ("225/65R17 102H", "245/40ZR19 (98Y) XL", "315/80R22.5 156/150L", "225/65R17"):
        listing = {"marking": marking, "speed_symbol": "{x}", "max_speed_kmh": "210"}
        ladders.append(Ladder(f"speed_symbol of {marking}", listing, tuple(symbols)))
    for construction in ("R", "ZR"):
        marking = f"245/40{construction}19 98{{x}}"
        ladders.append(Ladder(f"symbol after {construction}", {"marking": marking}, tuple("QRSTUHVWY")))
    return ladders


def pressures() -> list[Ladder]:
    ladders = []
    light = [f"LT265/70R17 121/118S {letter}" for letter in "BCDEFG"]
    light += ["LT295/70R17 121/118S E", "LT305/70R17 121/118S E"]
    trailer = [f"ST225/75R15 117/112M {letter}" for letter in "ABCDEF"]
    for marking in ("225/65R17 102H", "P205/75R15 97T", "T145/70D17 106M", "315/80R22.5 156/150L", *light, *trailer):
        steps = 0.25 if marking[0] in "2PT" else 0.5
        listing = {"marking": marking}
        rungs = rising(span(15, 130, steps))
        ladders.append(Ladder(f"max_pressure_psi of {marking}", {**listing, "max_pressure_psi": "{x}"}, rungs))
        rungs = rising(span(100, 900, 1))
        ladders.append(Ladder(f"max_pressure_kpa of {marking}", {**listing, "max_pressure_kpa": "{x}"}, rungs))
    rungs = rising(span(0.1, 1, 0.1), span(1, 20, 0.5), span(20, 200, 5), span(200, 4000, 100))
    for marking in ("225/65R16C 112/110R", "11R22.5 144/142L G", "18.4-38", "AT25x8-12", "7.50-16", "3.25-19 54P"):
        for unit in ("kpa", "psi", "bar"):
            listing = {"marking": marking, f"max_pressure_{unit}": "{x}"}
            ladders.append(Ladder(f"max_pressure_{unit} of {marking} in any unit", listing, rungs))
    return ladders


def units() -> list[Ladder]:
    """Two units of one quantity beside each other, where the marking does not settle which is right."""
    ladders = []
    unloaded, flotation = "225/65R17", "31x10.50R15LT 109S C"
    pairs = (
        (
            unloaded,
            "max_load_kg",
            "850",
            "max_load_lb",
            rising(near(1873.93, 0.02, 80), span(800, 900, 1), span(100, 9000, 100)),
        ),
        (unloaded, "max_load_lb", "1874", "max_load_kg", rising(near(850, 0.02, 80), span(10, 5000, 55))),
        (unloaded, "max_load_kg", "851.3", "max_load_lb", rising(near(1874, 0.02, 20), span(1000, 3000, 7))),
        (unloaded, "max_load_dual_kg", "850", "max_load_dual_lb", rising(near(1873.93, 0.02, 40))),
        (unloaded, "max_speed_kmh", "210", "max_speed_mph", rising(span(120, 140, 0.1), span(1, 260, 1))),
        (unloaded, "max_speed_mph", "130", "max_speed_kmh", rising(span(200, 220, 0.1), span(1, 420, 2))),
        (flotation, "max_pressure_kpa", "350", "max_pressure_psi", rising(span(45, 55, 0.1), span(5, 170, 1))),
        (flotation, "max_pressure_psi", "50", "max_pressure_kpa", rising(span(320, 370, 1), span(50, 1200, 10))),
        (flotation, "max_pressure_bar", "3.5", "max_pressure_psi", rising(span(45, 55, 0.1), span(5, 170, 5))),
        (flotation, "max_pressure_kpa", "350", "max_pressure_bar", rising(span(3, 4, 0.02), span(0.5, 12, 0.1))),
        (unloaded, "tread_depth_mm", "8", "tread_depth_32nds", rising(span(1, 55, 0.5))),
        (
            unloaded,
            "tread_depth_32nds",
            "10",
            "tread_depth_mm",
            rising(span(0.5, 45, 0.5), span(7.5, 8.5, 0.1), span(0.5, 2, 0.1), span(39.5, 40.5, 0.1)),
        ),
        (unloaded, "tire_weight_kg", "12.5", "tire_weight_lb", rising(span(20, 35, 0.1), span(1, 1000, 10))),
        (unloaded, "tire_weight_lb", "27.5", "tire_weight_kg", rising(span(10, 15, 0.05), span(0.5, 450, 3.5))),
        (unloaded, "measured_width_mm", "228", "measured_width_in", rising(span(8.5, 9.5, 0.02))),
        (unloaded, "overall_diameter_mm", "724", "overall_diameter_in", rising(span(27, 30, 0.02))),
    )
    for marking, field, fixed, other, rungs in pairs:
        listing = {"marking": marking, field: fixed, other: "{x}"}
        ladders.append(Ladder(f"{other} beside {field} {fixed} of {marking}", listing, rungs))
    return ladders
