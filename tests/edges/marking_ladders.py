"""Ladders of the numbers of a marking, through what follows from it."""

from __future__ import annotations

from tests.edges.ladder import Ladder, rising, span

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
    indices = rising(span(0, 300, 20), span(276, 282, 1))
    forms = (
        ("{x}/65R17 102H", widths),
        ("225/{x}R17 102H", aspects),
        ("225/65R{x} 102H", rims),
        ("225/65R17 {x}H", indices),
        ("P{x}/75R15 97T", widths),
        ("P205/{x}R15 97T", aspects),
        ("P205/75R{x} 97T", rims),
        ("LT{x}/75R16 120/116S E", widths),
        ("LT245/{x}R16 120/116S E", aspects),
        ("LT245/75R{x} 120/116S E", rims),
        ("LT245/75R16 120/{x}S E", indices),
        ("245/75R{x}LT 120/116S", rims),
        ("ST{x}/75R15 117/112M E", widths),
        ("ST225/{x}R15 117/112M E", aspects),
        ("ST225/75R{x} 117/112M E", rims),
        ("ST225/75R{x} E", rims),
        ("ST225/75D{x} E", rims),
        ("T{x}/70D17 106M", widths),
        ("T145/{x}D17 106M", aspects),
        ("T145/70D{x} 106M", rims),
        ("{x}/65R16C 109/107T", widths),
        ("215/{x}R16C 109/107T", aspects),
        ("215/65R{x}C 109/107T", rims),
        ("{x}R15C 106/104R", widths),
        ("195R{x}C 106/104R", rims),
        ("{x}/80R22.5 156/150L", widths),
        ("315/{x}R22.5 156/150L", aspects),
        ("315/80R{x} 156/150L", rims),
        ("315/80R22.5 {x}/150L", indices),
        ("{x}R22.5 144/142L G", inches),
        ("11R{x} 144/142L G", rims),
        ("{x}-16 LT 112/107N", inches),
        ("7.50-{x} LT 112/107N", rims),
        ("7.50R{x} 112/107N", rims),
        ("{x}R13 78T", widths),
        ("155R{x} 78T", rims),
        ("{x}-8 C", inches),
        ("4.80-{x} B", rims),
        ("{x}x10.50R15LT 109S C", inches),
        ("31x{x}R15LT 109S C", inches),
        ("31x10.50R{x}LT 109S C", rims),
        ("{x}/70ZR17 M/C (58W)", widths),
        ("120/{x}ZR17 M/C (58W)", aspects),
        ("120/70ZR{x} M/C (58W)", rims),
        ("{x}/90-16 M/C 67H", widths),
        ("130/{x}-16 67H", aspects),
        ("130/90-{x} 67H", rims),
        ("130/90B{x} 67H", rims),
        ("{x}-18 M/C 62P", inches),
        ("3.50-{x} M/C 62P", rims),
        ("{x}/85R38 155A8", widths),
        ("520/{x}R38 155A8/152B", aspects),
        ("520/85R{x} 155A8", rims),
        ("VF{x}/80R46 177D", widths),
        ("IF710/{x}R42 178D", aspects),
        ("{x}R38 155A8", inches),
        ("18.4R{x} 155A8", rims),
        ("18.4-{x} 155A8", rims),
        ("{x}-16 6PR", inches),
        ("{x}R25 193B", inches),
        ("26.5R{x} 193B", rims),
        ("{x}/65R25 193B", widths),
        ("{x}/65R33 193B", inches),
        ("{x}/80-18 138A8", inches),
        ("12.5/{x}-18 138A8", aspects),
        ("12.5/80-{x} 138A8", rims),
        ("{x}-12 133A5", inches),
        ("23x{x}-12 133A5", inches),
        ("{x}x9-10 133A5", inches),
        ("23x9-{x} 133A5", rims),
        ("{x}/55-12 133A5", widths),
        ("{x}/55R390 88W", widths),
        ("220/{x}R390 88W", aspects),
        ("220/55R{x} 88W", millimeters),
        ("205-{x}R440A 102H", rising(span(500, 800, 10))),
        ("{x}-640R440A 102H", widths),
        ("225/65R17 102H {x}PR", rising(span(1, 30, 1))),
        ("LT245/75R16 120/116S {x}PR", rising(span(1, 30, 1))),
        ("225/70R15C {x}/110R (115N)", indices),
        ("225/70R15C 112/110R ({x}N)", indices),
        ("520/85R38 155A8/{x}B", indices),
    )
    letters = (*"ABCDEFGHIJKLMNOPQRSTUVWXYZ", *(f"A{number}" for number in range(1, 9)))
    after = (
        "225/65R17 102{x}",
        "LT245/75R16 120/116S {x}",
        "315/80R22.5 156/150{x}",
        "520/85R38 155{x}",
        "225/65{x}17 102H",
        "245/40ZR19 (98{x})",
        "205/60{x}R15",
        "ST225/75R15 {x}",
        "11R22.5 144/142L {x}",
        "{x}225/65R17 102H",
    )
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
