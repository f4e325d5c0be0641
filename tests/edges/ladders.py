"""Which values climb in which listings: for every rule that judges a value, a tire of each kind it tells apart."""

from __future__ import annotations

from dataclasses import dataclass

from tests.edges.ladder import Ladder, near, rising, span

KG_PER_LB, KMH_PER_MPH, MM_PER_INCH = 0.45359237, 1.609344, 25.4


@dataclass(frozen=True, slots=True)
class Tire:
    """A marking, and the values around which its ladders are finest."""

    marking: str
    load_kg: float
    dual_kg: float
    speed_kmh: float
    width_mm: float
    aspect: float
    rim_in: float
    diameter_mm: float


TIRES = (
    Tire("225/65R17 102H", 850, 0, 210, 225, 65, 17, 724),
    Tire("P205/75R15 97T", 730, 0, 190, 205, 75, 15, 689),
    Tire("LT265/70R17 121/118S E", 1450, 1320, 180, 265, 70, 17, 804),
    Tire("31x10.50R15LT 109S C", 1030, 0, 180, 266.7, 0, 15, 787.4),
    Tire("215/65R16C 109/107T", 1030, 975, 190, 215, 65, 16, 686),
    Tire("ST225/75R15 117/112M E", 1285, 1120, 130, 225, 75, 15, 719),
    Tire("T145/70D17 106M", 950, 0, 130, 145, 70, 17, 636),
    Tire("315/80R22.5 156/150L", 4000, 3350, 120, 315, 80, 22.5, 1076),
    Tire("11R22.5 144/142L G", 2800, 2650, 120, 279.4, 0, 22.5, 0),
    Tire("7.50-16 LT 112/107N", 1120, 975, 140, 190.5, 0, 16, 0),
    Tire("120/70ZR17 M/C (58W)", 236, 0, 270, 120, 70, 17, 600),
    Tire("520/85R38 155A8/152B", 3875, 0, 40, 520, 85, 38, 1849),
    Tire("26.5R25 193B", 11500, 0, 50, 673.1, 0, 25, 0),
    Tire("220/55R390 88W", 560, 0, 270, 220, 55, 0, 0),
)
# What a wrong load may be made of, as multiples of the right one: other units, pairs, slipped marks.
_LOAD_SHARES = (0.1, 0.4, 0.45, 0.4536, 0.46, 0.5, 0.9, 2.0, 2.2, 2.2046, 2.25, 2.3, 2.5, 4.0, 10.0, 100.0)


def loads() -> list[Ladder]:
    ladders = []
    for tire in TIRES:
        for field, kg in (("max_load_kg", tire.load_kg), ("max_load_dual_kg", tire.dual_kg)):
            if not kg:
                continue
            for unit, right in (("kg", kg), ("lb", kg / KG_PER_LB)):
                rungs = rising(near(right, 0.03, 60))
                name = field.replace("kg", unit)
                ladders.append(Ladder(f"{name} of {tire.marking}", {"marking": tire.marking, name: "{x}"}, rungs))
    for place in (0, 2, 7):
        tire = TIRES[place]
        for unit, right in (("kg", tire.load_kg), ("lb", tire.load_kg / KG_PER_LB)):
            listing = {"marking": tire.marking, f"max_load_{unit}": "{x}"}
            parts = [
                span(round(right * share * 0.965), round(right * share * 1.035), max(round(right * share / 400), 1))
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


def sizes() -> list[Ladder]:
    ladders = []
    for tire in TIRES:
        listing = {"marking": tire.marking}
        width_in = tire.width_mm / MM_PER_INCH
        rows = [
            ("section_width_mm", rising(near(tire.width_mm, 0.12, 60), span(95, 405, 5))),
            ("section_width_in", rising(near(width_in, 0.12, 60), span(3, 20, 0.5))),
            ("measured_width_mm", rising(near(tire.width_mm, 0.12, 60))),
            ("measured_width_in", rising(near(width_in, 0.12, 60))),
            ("measuring_rim_in", rising(near(width_in, 0.5, 100))),
        ]
        if tire.diameter_mm:
            steps = rising(near(tire.diameter_mm, 0.09, 180))
            rows += [("overall_diameter_mm", steps)]
            rows += [("overall_diameter_in", rising(near(tire.diameter_mm / MM_PER_INCH, 0.09, 90)))]
            turns = 1e6 / (3.05 * tire.diameter_mm)
            rows += [("revs_per_km", rising(near(turns, 0.08, 80)))]
            rows += [("revs_per_mile", rising(near(turns * KMH_PER_MPH, 0.08, 40), span(300, 900, 20)))]
        ladders += [Ladder(f"{field} of {tire.marking}", {**listing, field: "{x}"}, rungs) for field, rungs in rows]
        ladders.append(
            Ladder(
                f"rim_diameter_in of {tire.marking}", {**listing, "rim_diameter_in": "{x}"}, rising(span(4, 50, 0.5))
            )
        )
        ladders.append(
            Ladder(f"aspect_ratio of {tire.marking}", {**listing, "aspect_ratio": "{x}"}, rising(span(5, 130, 1)))
        )
        ladders.append(Ladder(f"construction of {tire.marking}", {**listing, "construction": "{x}"}, tuple("RBDZ")))
    rungs = rising(span(16.5, 17.5, 0.01), span(100, 700, 1), span(150, 190, 0.5))
    ladders.append(Ladder("a rim in hundredths or mm", {"marking": "225/65R17 102H", "rim_diameter_in": "{x}"}, rungs))
    rough = (
        ("225/65R17 102H", "Larkmoor Crest A/T 225/65R17"),
        ("225/65R17 102H M+S", ""),
        ("225/65-17 102H", ""),
        ("LT265/70R17 121/118S E", "Larkmoor Crest M/T"),
        ("LT265/70-17 121/118S E", ""),
        ("315/80R22.5 156/150L M+S", ""),
        ("315/80-22.5 156/150L", ""),
        ("120/70-17 M/C 58W", ""),
        ("120/70R17 M/C 58W M+S", ""),
        ("215/65R16C 109/107T 3PMSF", ""),
    )
    for marking, title in rough:
        right = next((tire.diameter_mm for tire in TIRES if tire.marking[:6] == marking[:6]), 600)
        listing = {"marking": marking, "title": title, "overall_diameter_mm": "{x}"}
        ladders.append(Ladder(f"overall_diameter_mm of {marking} {title}", listing, rising(near(right, 0.12, 240))))
    return ladders


def rim_widths() -> list[Ladder]:
    ladders = []
    marking = {"marking": "225/65R17 102H"}
    fixed = {"rim_width_min_in": "6", "rim_width_max_in": "8", "measuring_rim_in": "6.5"}
    for field in fixed:
        ladders.append(
            Ladder(f"{field} beside the others", {**marking, **fixed, field: "{x}"}, rising(span(4, 11, 0.1)))
        )
        beside = {name: value for name, value in fixed.items() if name != field}
        for other in beside:
            left = {name: value for name, value in beside.items() if name != other}
            listing = {**marking, **left, field: "{x}"}
            ladders.append(Ladder(f"{field} without {other}", listing, rising(span(4, 11, 0.25))))
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
        (unloaded, "tread_depth_32nds", "10", "tread_depth_mm", rising(span(0.5, 45, 0.1))),
        (unloaded, "tire_weight_kg", "12.5", "tire_weight_lb", rising(span(20, 35, 0.1), span(1, 1000, 10))),
        (unloaded, "tire_weight_lb", "27.5", "tire_weight_kg", rising(span(10, 15, 0.05), span(0.5, 450, 3.5))),
        (unloaded, "measured_width_mm", "228", "measured_width_in", rising(span(8.5, 9.5, 0.02))),
        (unloaded, "overall_diameter_mm", "724", "overall_diameter_in", rising(span(27, 30, 0.02))),
    )
    for marking, field, fixed, other, rungs in pairs:
        listing = {"marking": marking, field: fixed, other: "{x}"}
        ladders.append(Ladder(f"{other} beside {field} {fixed} of {marking}", listing, rungs))
    return ladders


def codes() -> list[Ladder]:
    ladders = []
    letters = tuple("ABCDEFGHIJKLMN")
    for tire in TIRES:
        listing = {"marking": tire.marking}
        ladders.append(
            Ladder(f"ply_rating of {tire.marking}", {**listing, "ply_rating": "{x}"}, rising(span(2, 26, 1)))
        )
        ladders.append(Ladder(f"load_range of {tire.marking}", {**listing, "load_range": "{x}"}, letters))
        versions = ("LL", "SL", "XL", "HL", "RF")
        ladders.append(Ladder(f"load_version of {tire.marking}", {**listing, "load_version": "{x}"}, versions))
        grades = {**listing, "treadwear": "400", "traction": "A", "temperature": "{x}"}
        ladders.append(Ladder(f"temperature of {tire.marking}", grades, tuple("ABCDE")))
        ladders.append(
            Ladder(f"tire_class of {tire.marking}", {**listing, "tire_class": "{x}"}, ("C1", "C2", "C3", "C4"))
        )
        around = rising(span(0, 300, 1))
        for field in ("load_index", "load_index_dual"):
            if tire in TIRES[:4] or tire.dual_kg:
                ladders.append(Ladder(f"{field} of {tire.marking}", {**listing, field: "{x}"}, around))
    both = {"marking": "LT265/70R17", "load_range": "E", "ply_rating": "{x}", "title": "Crest LT265/70R17 8-ply"}
    ladders.append(Ladder("ply_rating beside a load range", both, rising(span(2, 26, 1))))
    fives = {"marking": "225/65R{x} 102H", "treadwear": "400"}
    ladders.append(Ladder("grades by rim", fives, rising(span(10, 16, 1))))
    ladders.append(Ladder("treadwear", {"marking": "225/65R17 102H", "treadwear": "{x}"}, rising(span(5, 900, 5))))
    for version in ("SL", "XL", "RF", ""):
        for letters_after in ("", " XL", " HL", " RF"):
            listing = {"marking": f"225/65R17 10{{x}}H{letters_after}", "load_version": version}
            ladders.append(Ladder(f"version {version!r} after{letters_after!r}", listing, ("2", "6")))
    for index in ("121", "122"):
        for stated in ("C1", "C2", "C3"):
            listing = {"marking": f"225/75R16C {index}/120{{x}}", "tire_class": stated}
            ladders.append(Ladder(f"class {stated} of index {index} by symbol", listing, tuple("JKLMNPQR")))
    unsettled = {"marking": "225/65R17", "max_load_kg": "1000", "max_load_dual_kg": "{x}"}
    ladders.append(Ladder("dual kg beside single kg", unsettled, rising(span(990, 1010, 0.1))))
    unsettled = {"marking": "225/65R17", "max_load_lb": "2200", "max_load_dual_lb": "{x}"}
    ladders.append(Ladder("dual lb beside single lb", unsettled, rising(span(2190, 2210, 0.1))))
    ladders.append(
        Ladder("dual index of the marking", {"marking": "LT265/70R17 121/{x}S E"}, rising(span(110, 130, 1)))
    )
    pair = {"marking": "LT265/70R17", "load_index": "121", "load_index_dual": "{x}", "speed_symbol": "S"}
    ladders.append(Ladder("dual index of the fields", pair, rising(span(110, 130, 1))))
    ladders.append(
        Ladder("index of the marking", {"marking": "225/65R17 {x}H", "max_load_kg": "850"}, rising(span(0, 300, 1)))
    )
    return ladders


def labels() -> list[Ladder]:
    ladders = []
    noisy = ("225/65R17 102H", "225/65R17 106H XL", "215/65R16C 109/107T", "315/80R22.5 156/150L", "11R22.5 144/142L G")
    for marking in noisy:
        for letter in "ABC":
            for snow in (
                {},
                {"severe_snow": "yes"},
                {"severe_snow": "no"},
                {"season": "summer"},
                {"load_version": "SL"},
            ):
                listing = {"marking": marking, "noise_class": letter, "noise_db": "{x}", **snow}
                told = " ".join(f"{name} {value}" for name, value in snow.items())
                ladders.append(Ladder(f"noise_db of {marking} {letter} {told}", listing, rising(span(64, 78, 1))))
    for decibels in range(66, 76):
        listing = {
            "marking": "{x}/55R17 91H",
            "noise_class": "B",
            "noise_db": str(decibels),
            "load_version": "SL",
            "severe_snow": "no",
        }
        ladders.append(Ladder(f"noise class B of {decibels} dB by width", listing, rising(span(135, 335, 5))))
    for stated in ("C1", "C2", "C3"):
        listing = {"marking": "225/65R17 102H", "tire_class": stated, "noise_class": "B", "noise_db": "{x}"}
        ladders.append(Ladder(f"noise_db of a stated {stated}", listing, rising(span(66, 78, 1))))
    for field in ("fuel_class", "wet_grip_class", "noise_class", "traction", "temperature"):
        ladders.append(Ladder(field, {"marking": "225/65R17 102H", field: "{x}"}, (*"ABCDEFGH", "AA")))
    for season in ("summer", "all-season", "winter"):
        for marking in ("225/65R17 102H", "225/65R17 102H M+S", "225/65R17 102H 3PMSF"):
            for field in ("severe_snow", "mud_and_snow"):
                listing = {"marking": marking, "season": season, field: "{x}"}
                ladders.append(Ladder(f"{field} of {season} {marking}", listing, ("yes", "no", "")))
    return ladders


def votes() -> list[Ladder]:
    """A marking against two other statements: one of them stands, the other climbs past it and past the marking."""
    marking = "225/65R17 102H"
    heavier = {"marking": marking, "load_index": "106"}  # 950 kg against 850
    dual = {"marking": "LT265/70R17 121/118S E", "load_index_dual": "115"}  # 1,215 kg against 1,320
    faster = {"marking": marking, "speed_symbol": "V"}  # 240 km/h against 210
    rows = (
        ("load_index and kg", {**heavier, "max_load_kg": "{x}"}, rising(span(846, 856, 0.1), span(935, 965, 0.1))),
        ("load_index and lb", {**heavier, "max_load_lb": "{x}"}, rising(span(1865, 1885, 0.5), span(2070, 2120, 0.5))),
        ("load_index and a title", {**heavier, "title": "Crest, max load {x} kg"}, rising(span(840, 960, 1))),
        (
            "load_index of a truck and kg",
            {"marking": "315/80R22.5 156/150L", "load_index": "154", "max_load_kg": "{x}"},
            rising(span(3700, 3800, 1), span(3950, 4050, 1)),
        ),
        (
            "load_index_dual and kg",
            {**dual, "max_load_dual_kg": "{x}"},
            rising(span(1180, 1250, 0.5), span(1280, 1350, 1)),
        ),
        (
            "kg and lb",
            {"marking": marking, "max_load_kg": "950", "max_load_lb": "{x}", "load_index": "106"},
            rising(span(1860, 2120, 2)),
        ),
        ("speed_symbol and km/h", {**faster, "max_speed_kmh": "{x}"}, rising(span(205, 245, 0.1))),
        ("speed_symbol and mph", {**faster, "max_speed_mph": "{x}"}, rising(span(128, 152, 0.1))),
        (
            "speed_symbol and an open marking",
            {"marking": "245/40ZR19 (98Y) XL", "speed_symbol": "W", "max_speed_kmh": "{x}"},
            rising(span(265, 305, 0.1)),
        ),
        (
            "a ZR and a speed",
            {"marking": "245/40ZR19", "speed_symbol": "V", "max_speed_kmh": "{x}"},
            rising(span(230, 250, 0.1)),
        ),
        (
            "title and width",
            {"marking": marking, "title": "Crest 235/65R17", "section_width_mm": "{x}"},
            rising(span(222, 238, 0.05)),
        ),
        (
            "title and width in inches",
            {"marking": marking, "title": "Crest 235/65R17", "section_width_in": "{x}"},
            rising(span(8.8, 9.35, 0.01)),
        ),
        (
            "title and aspect",
            {"marking": marking, "title": "Crest 225/60R17", "aspect_ratio": "{x}"},
            rising(span(59.9, 60.1, 0.01), span(64.9, 65.1, 0.01), span(50, 80, 1)),
        ),
        (
            "title and rim",
            {"marking": marking, "title": "Crest 225/65R18", "rim_diameter_in": "{x}"},
            rising(span(16.8, 18.2, 0.01)),
        ),
        (
            "size and width",
            {"marking": marking, "size": "235/65R17", "section_width_mm": "{x}"},
            rising(span(222, 238, 0.1)),
        ),
        (
            "load range and title",
            {"marking": "LT265/70R17 121/118S E", "title": "Crest LT265/70R17 LRD", "load_range": "{x}"},
            tuple("BCDEFG"),
        ),
        (
            "ply rating and title",
            {"marking": "LT265/70R17 121/118S E", "title": "Crest LT265/70R17 LRD", "ply_rating": "{x}"},
            rising(span(4, 14, 1)),
        ),
        (
            "second description and kg",
            {"marking": "225/70R15C 112/110R (115N)", "load_index": "115", "max_load_kg": "{x}"},
            rising(span(1100, 1230, 1)),
        ),
        (
            "second description, index 116",
            {"marking": "225/70R15C 112/110R (115N)", "load_index": "116", "max_load_kg": "{x}"},
            rising(span(1100, 1270, 1)),
        ),
    )
    return [Ladder(name, listing, rungs, shows="evidence") for name, listing, rungs in rows]


def governs() -> list[Ladder]:
    """Which text governs: each of them climbs while the others stand, and a wrong load tells whose index was taken."""
    indices = rising(span(98, 106, 1))
    wrong = {"max_load_kg": "31"}
    forms = (
        {"marking": "225/65R17 {x}H"}, {"size": "225/65R17 {x}H"}, {"title": "Crest 225/65R17 {x}H"},
        {"description": "A tire in 225/65R17 {x}H."}, {"marking": "225/65R17", "service_description": "{x}H"},
        {"size": "225/65R17", "service_description": "{x}H"}, {"size": "225/65R17", "load_index": "{x}", "speed_symbol": "H"},
        {"title": "Crest 225/65R17", "service_description": "{x}H"}, {"marking": "tba", "size": "225/65R17 {x}H"},
        {"marking": "?? 17", "size": "225/65R17 {x}H"}, {"marking": "225/65R17 102H", "size": "225/65R17 {x}H"},
        {"marking": "225/65R17 102H", "service_description": "{x}H"}, {"marking": "225/65R17 102H", "title": "Crest 225/65R17 {x}H"},
        {"marking": "225/65R17 {x}", "speed_symbol": "H"}, {"marking": "225/65R17", "service_description": "{x}", "speed_symbol": "H"},
        {"size": "225/65R17", "service_description": "102H", "load_index": "{x}"},
        {"size": "225/65R17", "service_description": "??", "load_index": "{x}"}, {"title": "Crest 225/65R17", "load_index": "{x}"},
        {"marking": "", "size": "225/65R17", "title": "Crest 225/65R17 {x}H"}, {"title": "Crest", "description": "225/65R17 {x}H"},
        {"title": "225/65R17 102H", "description": "225/65R17 {x}H"}, {"size": "LT245/75R16", "load_index": "120", "load_index_dual": "{x}"},
        {"section_width_mm": "225", "aspect_ratio": "65", "rim_diameter_in": "17", "load_index": "{x}"},
        {"size": "225/65R17", "load_index": "{x}", "marking": "225/65R17 104H"},
    )  # fmt: skip
    ladders = []
    for form in forms:
        for more in (wrong, {"max_load_kg": "850", "max_speed_kmh": "300"}):
            name = ", ".join(f"{field} {text}" for field, text in (*form.items(), *more.items()))
            ladders.append(Ladder(name, {**form, **more}, indices, "evidence"))
    symbols = tuple("QRSTUHVWYZ")
    for form in ({"size": "225/65R17 102", "speed_symbol": "{x}"}, {"size": "225/65R17", "service_description": "102{x}"},
                 {"marking": "225/65R17 102{x}"}, {"marking": "225/65R17 102H", "speed_symbol": "{x}"}):  # fmt: skip
        name = ", ".join(f"{field} {text}" for field, text in form.items())
        ladders.append(Ladder(name, {**form, "max_speed_kmh": "400", "load_index": "102"}, symbols, "evidence"))
    hours = rising(*(span(first, first + 22, 1) for first in (1, 1.15, 1.2, 1.25, 1.3, 1.45, 1.5)))
    for form in (
        "Open {x}-17 daily",
        "Open {x}-18 daily",
        "Tire {x}-24",
        "Tire {x}-25",
        "Tire {x}R17",
        "Tire {x}-16.5",
        "Tire {x}-16LT",
    ):
        ladders.append(Ladder(form, {"marking": "225/65R17 102H", "title": form}, hours))
    for form in ("Tire {x}x10.50R15LT", "Tire {x}x9-15", "Tire 31x{x}R15", "Tire 28x{x}-15"):
        ladders.append(Ladder(form, {"marking": "225/65R17 102H", "title": form}, rising(span(5, 45, 0.5))))
    for form in (
        "Tire {x}R15",
        "Tire {x}-15",
        "Tire F{x}-15",
        "Tire {x} 65 17",
        "Tire 225/65R17 {x} pieces",
        "Tire 225/65R17 102H {x} EUR",
    ):
        ladders.append(Ladder(form, {"marking": "225/65R17 102H", "title": form}, rising(span(10, 300, 5))))
    parts = (
        ("section_width_mm", span(223, 227, 0.05)),
        ("aspect_ratio", span(64.9, 65.1, 0.005)),
        ("rim_diameter_in", span(16.9, 17.1, 0.005)),
    )
    for field, rungs in parts:
        split = {"section_width_mm": "225", "aspect_ratio": "65", "rim_diameter_in": "17", field: "{x}"}
        ladders.append(
            Ladder(f"split sizes, {field}", {**split, "title": "Crest 225/65R17 102H", **wrong}, rising(rungs))
        )
    return ladders


# Values that no tire has: a finding on each of them says what follows from the marking instead.
_NO_TIRE = {
    "max_load_kg": "31",
    "max_load_dual_kg": "33",
    "load_index": "0",
    "max_speed_kmh": "7",
    "section_width_mm": "50",
    "aspect_ratio": "1",
    "rim_diameter_in": "70",
    "construction": "B",
    "overall_diameter_mm": "160",
    "revs_per_km": "51",
    "load_range": "N",
    "ply_rating": "26",
    "load_version": "LL",
    "tire_class": "C3",
    "treadwear": "400",
}


def markings() -> list[Ladder]:
    """Each number of a marking climbs through what its family can hold, and out of it."""
    widths, aspects = (
        rising(span(5, 995, 10), span(100, 130, 5), span(3, 20, 1)),
        rising(span(10, 110, 5), span(82, 92, 10)),
    )
    rims = rising(span(3, 60, 1), span(10.5, 26.5, 1))
    inches = rising(span(1, 40, 0.5), span(3.25, 14.25, 0.25))
    millimeters = rising(span(300, 560, 5))
    indices = rising(span(0, 300, 5), span(275, 285, 1))
    forms = (
        ("{x}/65R17 102H", widths), ("225/{x}R17 102H", aspects), ("225/65R{x} 102H", rims), ("225/65R17 {x}H", indices),
        ("P{x}/75R15 97T", widths), ("P205/{x}R15 97T", aspects), ("P205/75R{x} 97T", rims),
        ("LT{x}/75R16 120/116S E", widths), ("LT245/{x}R16 120/116S E", aspects), ("LT245/75R{x} 120/116S E", rims),
        ("LT245/75R16 120/{x}S E", indices), ("245/75R{x}LT 120/116S", rims),
        ("ST{x}/75R15 117/112M E", widths), ("ST225/{x}R15 117/112M E", aspects), ("ST225/75R{x} 117/112M E", rims),
        ("ST225/75R{x} E", rims), ("ST225/75D{x} E", rims),
        ("T{x}/70D17 106M", widths), ("T145/{x}D17 106M", aspects), ("T145/70D{x} 106M", rims),
        ("{x}/65R16C 109/107T", widths), ("215/{x}R16C 109/107T", aspects), ("215/65R{x}C 109/107T", rims),
        ("{x}R15C 106/104R", widths), ("195R{x}C 106/104R", rims),
        ("{x}/80R22.5 156/150L", widths), ("315/{x}R22.5 156/150L", aspects), ("315/80R{x} 156/150L", rims),
        ("315/80R22.5 {x}/150L", indices), ("{x}R22.5 144/142L G", inches), ("11R{x} 144/142L G", rims),
        ("{x}-16 LT 112/107N", inches), ("7.50-{x} LT 112/107N", rims), ("7.50R{x} 112/107N", rims),
        ("{x}R13 78T", widths), ("155R{x} 78T", rims), ("{x}-8 C", inches), ("4.80-{x} B", rims),
        ("{x}x10.50R15LT 109S C", inches), ("31x{x}R15LT 109S C", inches), ("31x10.50R{x}LT 109S C", rims),
        ("{x}/70ZR17 M/C (58W)", widths), ("120/{x}ZR17 M/C (58W)", aspects), ("120/70ZR{x} M/C (58W)", rims),
        ("{x}/90-16 M/C 67H", widths), ("130/{x}-16 67H", aspects), ("130/90-{x} 67H", rims), ("130/90B{x} 67H", rims),
        ("{x}-18 M/C 62P", inches), ("3.50-{x} M/C 62P", rims),
        ("{x}/85R38 155A8", widths), ("520/{x}R38 155A8/152B", aspects), ("520/85R{x} 155A8", rims),
        ("VF{x}/80R46 177D", widths), ("IF710/{x}R42 178D", aspects), ("{x}R38 155A8", inches), ("18.4R{x} 155A8", rims),
        ("18.4-{x} 155A8", rims), ("{x}-16 6PR", inches),
        ("{x}R25 193B", inches), ("26.5R{x} 193B", rims), ("{x}/65R25 193B", widths), ("{x}/65R33 193B", inches),
        ("{x}/80-18 138A8", inches), ("12.5/{x}-18 138A8", aspects), ("12.5/80-{x} 138A8", rims), ("{x}-12 133A5", inches),
        ("23x{x}-12 133A5", inches), ("{x}x9-10 133A5", inches), ("23x9-{x} 133A5", rims), ("{x}/55-12 133A5", widths),
        ("{x}/55R390 88W", widths), ("220/{x}R390 88W", aspects), ("220/55R{x} 88W", millimeters),
        ("205-{x}R440A 102H", rising(span(500, 800, 10))), ("{x}-640R440A 102H", widths),
        ("225/65R17 102H {x}PR", rising(span(1, 30, 1))), ("LT245/75R16 120/116S {x}PR", rising(span(1, 30, 1))),
        ("225/70R15C {x}/110R (115N)", indices), ("225/70R15C 112/110R ({x}N)", indices), ("520/85R38 155A8/{x}B", indices),
    )  # fmt: skip
    letters = (*"ABCDEFGHIJKLMNOPQRSTUVWXYZ", *(f"A{number}" for number in range(1, 9)))
    after = (
        "225/65R17 102{x}", "LT245/75R16 120/116S {x}", "315/80R22.5 156/150{x}", "520/85R38 155{x}", "225/65{x}17 102H",
        "245/40ZR19 (98{x})", "205/60{x}R15", "ST225/75R15 {x}", "11R22.5 144/142L {x}", "{x}225/65R17 102H",
    )  # fmt: skip
    marks = (
        "XL",
        "RF",
        "HL",
        "SL",
        "LL",
        "EL",
        "REINFORCED",
        "EXTRA LOAD",
        "M+S",
        "3PMSF",
        "POR",
        "MPT",
        "TL",
        "TT",
        "ROF",
    )
    ladders = [Ladder(form, {"marking": form, **_NO_TIRE}, rungs, "derived") for form, rungs in forms]
    ladders += [Ladder(f"{form} by letter", {"marking": form, **_NO_TIRE}, letters, "derived") for form in after]
    for form in ("225/65R17 102H {x}", "225/65-17 102H {x}", "LT245/75R16 120/116S {x}", "215/65R16C 109/107T {x}"):
        ladders.append(Ladder(f"{form} by mark", {"marking": form, **_NO_TIRE}, marks, "derived"))
    return ladders


ROOMS = {
    "markings": markings,
    "loads": loads,
    "speeds": speeds,
    "sizes": sizes,
    "rim_widths": rim_widths,
    "pressures": pressures,
    "units": units,
    "codes": codes,
    "labels": labels,
    "votes": votes,
    "governs": governs,
}
