"""The edges of the numbers that judge outside of the policy: limits of checks, of votes and of families.

Named `rule.number`.  They are made from the rule book; the numbers of the size families, which stand in the program,
stand here once more.
"""

from __future__ import annotations

from tests.edges.edge import Edge, around, number
from tests.edges.rule_book import TOLERANCE, limits, rule

Listing = dict[str, str]
PASSENGER = {"marking": "225/65R17 102H"}  # 850 kg, 210 km/h
SPARE = {"marking": "T145/70D17 106M"}  # 130 km/h
TRAILER = {"marking": "ST225/75R15 117/112M E"}
UNLOADED = {"marking": "225/65R17"}
LETTERS = "ABCDEFGH"
KG, LB, KMH = TOLERANCE["load"]["kg"], TOLERANCE["load"]["lb"], TOLERANCE["speed"]["kmh"]
EXACT, RIM = TOLERANCE["exact"]["absolute"], TOLERANCE["rim"]["absolute"]
WIDTH, WIDTH_IN = TOLERANCE["width"]["mm"], TOLERANCE["width"]["in"]


def _switch(key: str, listing: Listing, inside: str, outside: str, rule: str, field: str, grade: str = "") -> Edge:
    """Two texts side by side, of which the second is found."""
    return Edge(key, listing, inside, outside, rule, field, grade)


def _loads_and_speeds() -> list[Edge]:
    under, above, index = "speed-understated", "dual-load-above-single", "load_index_dual"
    least = rule("speed", "speed-understated")["exempt"][0]["at_least"]
    dual_kg, dual_lb = {**UNLOADED, "max_load_kg": "1000"}, {**UNLOADED, "max_load_lb": "2200"}
    return [
        around("spare.lowest_kmh", SPARE, least["kmh"], under, "max_speed_kmh", step=0.01, below=True),
        around("spare.lowest_mph", SPARE, least["mph"], under, "max_speed_mph", step=0.01, below=True),
        around("dual-load-above-single.kg", dual_kg, 1000.0 + KG, above, "max_load_dual_kg", step=0.01),
        around("dual-load-above-single.lb", dual_lb, 2200.0 + LB, above, "max_load_dual_lb", step=0.01),
        _switch(
            "dual-load-above-single.index", {"marking": "LT265/70R17 121/{x}S E"}, "121", "122", above, "marking"
        ),
        _switch(
            "dual-load-above-single.index",
            {"size": "LT265/70R17", "load_index": "121", "load_index_dual": "{x}"},
            "121",
            "122",
            above,
            index,
        ),
        _switch("load-index-unknown.last", {**UNLOADED, "load_index": "{x}"}, "279", "280", "load-index-unknown",
                "load_index"),
        _switch("zr-symbol-conflict.kmh", {"marking": "245/40ZR19 98{x}"}, "W", "V", "zr-symbol-conflict", "marking"),
        _switch("load-version.whole-marking", {"marking": "{x}", "load_version": "XL"}, "LT225/75R16 102R",
                "P225/75R16 102R", "load-version-contradicted", "load_version"),
        _switch("speed-overstated.floor", {"marking": "245/40ZR19 {x}", "max_speed_kmh": "310"}, "(98Y)", "98Y",
                "speed-overstated", "max_speed_kmh", "critical"),
    ]  # fmt: skip


def _strength() -> list[Edge]:
    ply = {**PASSENGER, "load_range": "B", "ply_rating": "{x}"}
    return [
        _switch("ply-rating.old-language", ply, "6", "8", "ply-rating-mismatch", "ply_rating"),
        _switch("ply-rating.old-language", {**ply, "load_range": "D"}, "4", "10", "ply-rating-mismatch", "ply_rating"),
        _switch("load-range.of-commercial", {"marking": "215/65R16C 109/107T 8PR", "load_range": "{x}"}, "C", "B",
                "load-range-contradicted", "load_range"),
    ]  # fmt: skip


def _sizes() -> list[Edge]:
    off, rim = "overall-diameter-off", "rim-width-out-of-range"
    width_in, rims = 225.0 / 25.4, limits("size", "rim-width-out-of-range")
    low, high = rims["lowest_share"] - rims["rounding"], rims["highest_share"] + rims["rounding"]
    edges = [
        around("rim-width.least-share", PASSENGER, width_in * low, rim, "measuring_rim_in", step=0.01, below=True),
        around("rim-width.largest-share", PASSENGER, width_in * high, rim, "measuring_rim_in", step=0.01),
        _switch("rim-width.order", {**PASSENGER, "rim_width_min_in": "6", "measuring_rim_in": "{x}"}, "6", "5.9", rim,
                "measuring_rim_in"),
        _switch("rim-width.order", {**PASSENGER, "rim_width_max_in": "8", "measuring_rim_in": "{x}"}, "8", "8.1", rim,
                "measuring_rim_in"),
    ]  # fmt: skip
    envelopes = (  # marking, title, rim mm, twice the height, smallest and largest share of it, extra
        ("225/65R17 102H", "", 432, 292, 0.97, 1.04, 1.0),
        ("225/65-17 102H", "", 432, 292, 0.97, 1.08, 1.0),
        ("225/65R17 102H M+S", "", 432, 292, 0.97, 1.04, 1.01),
        ("225/65R17 102H", "Larkmoor Crest A/T", 432, 292, 0.97, 1.04, 1.01),
        ("215/65R16C 109/107T", "", 406, 280, 0.97, 1.04, 1.0),
        ("215/65R16C 109/107T M+S", "", 406, 280, 0.97, 1.06, 1.0),
        ("LT265/70R17 121/118S E", "", 432, 372, 0.97, 1.06, 1.0),
        ("LT265/70-17 121/118S E", "", 432, 372, 0.97, 1.09, 1.0),
        ("315/80R22.5 156/150L", "", 572, 504, 0.97, 1.04, 1.0),
        ("120/70ZR17 M/C (58W)", "", 432, 168, 0.97, 1.08, 1.0),
        ("120/70ZR17 M/C (58W) M+S", "", 432, 168, 0.97, 1.12, 1.0),
        ("31x10.50R15LT 109S C", "", 0, 787.4, 0.97, 1.01, 1.0),
    )
    slack = TOLERANCE["diameter_rounding"]["mm"] + 0.005
    for marking, title, rim_mm, height, low, high, extra in envelopes:
        listing, field = {"marking": marking, "title": title}, "overall_diameter_mm"
        largest, smallest = (rim_mm + height * high) * extra + slack, rim_mm + height * low - slack
        edges.append(around("diameter.largest", listing, largest, off, field, step=0.02))
        edges.append(around("diameter.smallest", listing, smallest, off, field, step=0.02, below=True))
    return edges


def _nominal_widths_in_inches() -> Edge:
    """Whole and half inches name a width: beside a size of about that width the next size further off is another."""
    near = {"6.95": "7", "6.40": "6.5", "8.15": "8", "7.75": "7.5"}
    marked, stated = next((size, text) for size, text in near.items() if abs(float(size) - float(text)) > WIDTH_IN)
    inside = f"{float(stated):.2f}"
    listing = {"marking": "{x}-15", "section_width_in": stated}
    return Edge("width.in", listing, inside, marked, "width-mismatch", "section_width_in")


def _pressures_and_grades() -> list[Edge]:
    unlike, psi_field, kpa_field = "pressure-unlike-load-range", "max_pressure_psi", "max_pressure_kpa"
    edges = []
    own = limits("pressure", unlike)
    for form, usual in (("LT265/70R17 121/118S {}", own["lt_psi"]), ("ST225/75R15 117/112M {}", own["trailer_psi"])):
        for letter, psi in usual.items():
            listing = {"marking": form.format(letter)}
            for sign in (1.0, -1.0):
                more = {"below": sign < 0.0, "grade": "minor"}
                edges.append(
                    around(
                        "pressure-unlike.psi", listing, psi + sign * own["psi"], unlike, psi_field, step=0.005, **more
                    )
                )
                at = psi * 6.894757293168361 + sign * own["kpa"]
                edges.append(around("pressure-unlike.kpa", listing, at, unlike, kpa_field, step=0.01, **more))
    wide_mm = own["widest_lt_mm"]
    wide = {"marking": "LT{x}/70R17 121/118S E", psi_field: "65"}
    edges.append(_switch("pressure-unlike.width", wide, number(wide_mm + 10), number(wide_mm), unlike, psi_field))
    exempt = limits("us_grading", "grade-not-applicable")["exempt_rim_in"]
    graded = {"marking": "225/65R{x} 102H", "treadwear": "400"}
    edges.append(
        _switch(
            "grade-not-applicable.rim",
            graded,
            number(exempt + 1.0),
            number(exempt),
            "grade-not-applicable",
            "treadwear",
        )
    )
    grades = limits("us_grading", "grade-invalid")
    step, last = grades["treadwear_step"], grades["temperature_grades"]
    edges.append(
        _switch(
            "grade-invalid.step",
            {**PASSENGER, "treadwear": "{x}"},
            number(21 * step),
            number(20.5 * step),
            "grade-invalid",
            "treadwear",
        )
    )
    edges.append(
        _switch(
            "grade-invalid.last",
            {**PASSENGER, "temperature": "{x}"},
            LETTERS[last - 1],
            LETTERS[last],
            "grade-invalid",
            "temperature",
        )
    )
    return edges


def _labels() -> list[Edge]:
    invalid, other = "label-class-invalid", "tire-class-mismatch"
    classed, highest = {"tire_class": "C2"}, limits("eu_label", other)["highest_c2_index"]
    return [
        *(
            _switch(f"label-class.{field}", {**PASSENGER, field: "{x}"}, LETTERS[classes - 1], LETTERS[classes],
                    invalid, field)
            for field, classes in limits("eu_label", invalid)["classes"].items()
        ),
        _switch("tire-class.index", {"marking": "225/75R16C {x}/120N", **classed}, number(highest),
                number(highest + 1.0), other, "tire_class"),
        _switch("tire-class.symbol", {"marking": "225/75R16C 121/120{x}", **classed}, "N", "M", other, "tire_class"),
    ]  # fmt: skip


def _votes() -> list[Edge]:
    """Two statements that agree with each other and not with the marking outvote it; what is near is one of both."""
    contradicted, share = "marking-contradicted", TOLERANCE["load_off_table"]["percent"] / 100.0
    heavier = {"marking": "225/65R17 102H", "load_index": "106"}  # 950 kg
    faster = {"marking": "225/65R17 102H", "speed_symbol": "V"}  # 240 km/h
    wider = {"marking": "225/65R17 102H", "title": "Crest 235/65R17"}
    higher = {"marking": "225/65R17 102H", "title": "Crest 225/70R17"}
    larger = {"marking": "225/65R17 102H", "title": "Crest 225/65R18"}
    rows = (
        ("votes.load", heavier, "max_load_kg", 950 * (1.0 - share), 950 * (1.0 + share), 0.02),
        ("votes.load", {"marking": "120/90-17 M/C 28P", "load_index": "38"}, "max_load_kg", 132 - KG, 132 + KG, 0.02),
        ("votes.speed", faster, "max_speed_kmh", 240 - KMH, 240 + KMH, 0.02),
        ("width.mm", wider, "section_width_mm", 235 - WIDTH, 235 + WIDTH, 0.02),
        ("votes.aspect", higher, "aspect_ratio", 70 - EXACT, 70 + EXACT, 0.001),
        ("votes.rim", larger, "rim_diameter_in", 18 - RIM, 18 + RIM, 0.002),
    )
    # Within the slack the two agree, and it is the marking that is found: inside and outside change places.
    return [
        Edge(
            key, {**listing, field: "{x}"}, number(at + away * step), number(at - away * step), contradicted, "marking"
        )
        for key, listing, field, low, high, step in rows
        for at, away in ((low, -1.0), (high, 1.0))
    ]


def _texts() -> list[Edge]:
    """What a description says beside what the field of that name states."""
    says = "text-contradicted"
    pairs = (
        ("near.psi", {"max_pressure_psi": "51", "description": "Max pressure {x} psi."}, "52", "53"),
        ("near.kpa", {"max_pressure_kpa": "300", "description": "Max pressure {x} kPa."}, "308", "309"),
        ("near.bar", {"max_pressure_bar": "3.0", "description": "Max pressure {x} bar."}, "3.08", "3.10"),
        ("near.mm", {"tread_depth_mm": "8.0", "description": "Tread depth {x} mm."}, "8.4", "8.5"),
        ("near.32nds", {"tread_depth_32nds": "{x}", "description": "Tread depth 11/32 in."}, "10.45", "10.35"),
        ("plain_plies", {"description": "{x}-ply rating."}, "6", "8"),
    )
    return [
        _switch(f"{says}.{key}", {**PASSENGER, **listing}, inside, outside, says, "description")
        for key, listing, inside, outside in pairs
    ]


EDGES: tuple[Edge, ...] = (
    *_loads_and_speeds(),
    *_strength(),
    *_sizes(),
    _nominal_widths_in_inches(),
    *_pressures_and_grades(),
    *_labels(),
    *_votes(),
    *_texts(),
)
