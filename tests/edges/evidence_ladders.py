"""Ladders of what a listing says more than once: who is outvoted, and which text governs."""

from __future__ import annotations

from tests.edges.ladder import Ladder, rising, span


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
    indices = ("98", "102", "106")
    wrong = {"max_load_kg": "31"}
    forms = (
        {"marking": "225/65R17 {x}H"},
        {"size": "225/65R17 {x}H"},
        {"title": "Crest 225/65R17 {x}H"},
        {"description": "A tire in 225/65R17 {x}H."},
        {"marking": "225/65R17", "service_description": "{x}H"},
        {"size": "225/65R17", "service_description": "{x}H"},
        {"size": "225/65R17", "load_index": "{x}", "speed_symbol": "H"},
        {"title": "Crest 225/65R17", "service_description": "{x}H"},
        {"marking": "tba", "size": "225/65R17 {x}H"},
        {"marking": "?? 17", "size": "225/65R17 {x}H"},
        {"marking": "225/65R17 102H", "size": "225/65R17 {x}H"},
        {"marking": "225/65R17 102H", "service_description": "{x}H"},
        {"marking": "225/65R17 102H", "title": "Crest 225/65R17 {x}H"},
        {"marking": "225/65R17 {x}", "speed_symbol": "H"},
        {"marking": "225/65R17", "service_description": "{x}", "speed_symbol": "H"},
        {"size": "225/65R17", "service_description": "102H", "load_index": "{x}"},
        {"size": "225/65R17", "service_description": "??", "load_index": "{x}"},
        {"title": "Crest 225/65R17", "load_index": "{x}"},
        {"marking": "", "size": "225/65R17", "title": "Crest 225/65R17 {x}H"},
        {"title": "Crest", "description": "225/65R17 {x}H"},
        {"title": "225/65R17 102H", "description": "225/65R17 {x}H"},
        {"size": "LT245/75R16", "load_index": "120", "load_index_dual": "{x}"},
        {"section_width_mm": "225", "aspect_ratio": "65", "rim_diameter_in": "17", "load_index": "{x}"},
        {"size": "225/65R17", "load_index": "{x}", "marking": "225/65R17 104H"},
    )
    ladders = []
    for form in forms:
        for more in (wrong, {"max_load_kg": "850", "max_speed_kmh": "300"}):
            name = ", ".join(f"{field} {text}" for field, text in (*form.items(), *more.items()))
            ladders.append(Ladder(name, {**form, **more}, indices, "evidence"))
    symbols = tuple("QRSTUHVWYZ")
    for form in (
        {"size": "225/65R17 102", "speed_symbol": "{x}"},
        {"size": "225/65R17", "service_description": "102{x}"},
        {"marking": "225/65R17 102{x}"},
        {"marking": "225/65R17 102H", "speed_symbol": "{x}"},
    ):
        name = ", ".join(f"{field} {text}" for field, text in form.items())
        ladders.append(Ladder(name, {**form, "max_speed_kmh": "400", "load_index": "102"}, symbols, "evidence"))
    # Opening hours have two decimals: `7.30-18` in a title is no size.
    hours = tuple(f"{hour}.{minutes}" for minutes in ("00", "15", "20", "30", "45", "50") for hour in range(1, 24))
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
        # Without a marking, a size in the title governs, and the rim of no tire tells that it does.
        ladders.append(Ladder(f"{form} alone", {"title": form, "rim_diameter_in": "70"}, hours))
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
