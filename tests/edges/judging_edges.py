"""The edges of the numbers that judge outside of the policy: limits of checks, of votes and of families.

Named `rule.number`.  The numbers stand here once more, as those of the policy do in `policy_edges`.
"""

from __future__ import annotations

from tests.edges.edge import Edge, around, number

Listing = dict[str, str]
PASSENGER = {"marking": "225/65R17 102H"}  # 850 kg, 210 km/h
SPARE = {"marking": "T145/70D17 106M"}  # 130 km/h
TRAILER = {"marking": "ST225/75R15 117/112M E"}
UNLOADED = {"marking": "225/65R17"}
LIGHT_TRUCK = {"marking": "LT265/70R17 121/118S E"}


def _switch(key: str, listing: Listing, inside: str, outside: str, rule: str, field: str, grade: str = "") -> Edge:
    """Two texts side by side, of which the second is found."""
    return Edge(key, listing, inside, outside, rule, field, grade)


def _loads_and_speeds() -> list[Edge]:
    under, above, index = "speed-understated", "dual-load-above-single", "load_index_dual"
    dual_kg, dual_lb = {**UNLOADED, "max_load_kg": "1000"}, {**UNLOADED, "max_load_lb": "2200"}
    return [
        around("spare.lowest_kmh", SPARE, 78.0, under, "max_speed_kmh", step=0.01, below=True),
        around("spare.lowest_mph", SPARE, 48.0, under, "max_speed_mph", step=0.01, below=True),
        around("dual-load-above-single.kg", dual_kg, 1001.2, above, "max_load_dual_kg", step=0.01),
        around("dual-load-above-single.lb", dual_lb, 2202.5, above, "max_load_dual_lb", step=0.01),
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
    share = 225.0 / 25.4
    edges = [
        around("rim-width.least-share", PASSENGER, share * 0.58, rim, "measuring_rim_in", step=0.01, below=True),
        around("rim-width.largest-share", PASSENGER, share * 1.07, rim, "measuring_rim_in", step=0.01),
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
    for marking, title, rim_mm, height, low, high, extra in envelopes:
        listing, field = {"marking": marking, "title": title}, "overall_diameter_mm"
        largest, smallest = (rim_mm + height * high) * extra + 0.515, rim_mm + height * low - 0.515
        edges.append(around("diameter.largest", listing, largest, off, field, step=0.02))
        edges.append(around("diameter.smallest", listing, smallest, off, field, step=0.02, below=True))
    return edges


def _pressures_and_grades() -> list[Edge]:
    unlike, psi_field, kpa_field = "pressure-unlike-load-range", "max_pressure_psi", "max_pressure_kpa"
    edges = []
    for form, usual in (
        ("LT265/70R17 121/118S {}", {"C": 50, "D": 65, "E": 80, "F": 95}),
        ("ST225/75R15 117/112M {}", {"B": 35, "C": 50, "D": 65, "E": 80}),
    ):
        for letter, psi in usual.items():
            listing = {"marking": form.format(letter)}
            for sign in (1.0, -1.0):
                more = {"below": sign < 0.0, "grade": "minor"}
                edges.append(
                    around("pressure-unlike.psi", listing, psi + sign * 1.01, unlike, psi_field, step=0.005, **more)
                )
                at = psi * 6.894757293168361 + sign * 8.0
                edges.append(around("pressure-unlike.kpa", listing, at, unlike, kpa_field, step=0.01, **more))
    wide = {"marking": "LT{x}/70R17 121/118S E", psi_field: "65"}
    edges.append(_switch("pressure-unlike.width", wide, "305", "295", unlike, psi_field))
    graded = {"marking": "225/65R{x} 102H", "treadwear": "400"}
    edges.append(_switch("grade-not-applicable.rim", graded, "13", "12", "grade-not-applicable", "treadwear"))
    edges.append(
        _switch("grade-invalid.step", {**PASSENGER, "treadwear": "{x}"}, "420", "410", "grade-invalid", "treadwear")
    )
    edges.append(
        _switch("grade-invalid.last", {**PASSENGER, "temperature": "{x}"}, "C", "D", "grade-invalid", "temperature")
    )
    return edges


def _labels() -> list[Edge]:
    invalid, other = "label-class-invalid", "tire-class-mismatch"
    classed = {"tire_class": "C2"}
    return [
        _switch("label-class.fuel", {**PASSENGER, "fuel_class": "{x}"}, "E", "F", invalid, "fuel_class"),
        _switch("label-class.wet-grip", {**PASSENGER, "wet_grip_class": "{x}"}, "E", "F", invalid, "wet_grip_class"),
        _switch("label-class.noise", {**PASSENGER, "noise_class": "{x}"}, "C", "D", invalid, "noise_class"),
        _switch("tire-class.index", {"marking": "225/75R16C {x}/120N", **classed}, "121", "122", other, "tire_class"),
        _switch("tire-class.symbol", {"marking": "225/75R16C 121/120{x}", **classed}, "N", "M", other, "tire_class"),
    ]


def _votes() -> list[Edge]:
    """Two statements that agree with each other and not with the marking outvote it; what is near is one of both."""
    contradicted = "marking-contradicted"
    heavier = {"marking": "225/65R17 102H", "load_index": "106"}  # 950 kg
    faster = {"marking": "225/65R17 102H", "speed_symbol": "V"}  # 240 km/h
    wider = {"marking": "225/65R17 102H", "title": "Crest 235/65R17"}
    higher = {"marking": "225/65R17 102H", "title": "Crest 225/70R17"}
    larger = {"marking": "225/65R17 102H", "title": "Crest 225/65R18"}
    rows = (
        ("votes.load", heavier, "max_load_kg", 950 * 0.995, 950 * 1.005, 0.02),
        ("votes.load", {"marking": "120/90-17 M/C 28P", "load_index": "38"}, "max_load_kg", 132 - 1.2, 132 + 1.2, 0.02),
        ("votes.speed", faster, "max_speed_kmh", 240 - 1.7, 240 + 1.7, 0.02),
        ("votes.width", wider, "section_width_mm", 235 - 0.6, 235 + 0.6, 0.02),
        ("votes.aspect", higher, "aspect_ratio", 70 - 0.01, 70 + 0.01, 0.002),
        ("votes.rim", larger, "rim_diameter_in", 18 - 0.05, 18 + 0.05, 0.002),
    )
    # Within the slack the two agree, and it is the marking that is found: inside and outside change places.
    return [
        Edge(
            key, {**listing, field: "{x}"}, number(at + away * step), number(at - away * step), contradicted, "marking"
        )
        for key, listing, field, low, high, step in rows
        for at, away in ((low, -1.0), (high, 1.0))
    ]


EDGES: tuple[Edge, ...] = (
    *_loads_and_speeds(),
    *_strength(),
    *_sizes(),
    *_pressures_and_grades(),
    *_labels(),
    *_votes(),
)
