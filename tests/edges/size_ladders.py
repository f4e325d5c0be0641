"""Ladders of widths, diameters, rims and revolutions."""

from __future__ import annotations

from tests.edges.ladder import Ladder, near, rising, span
from tests.edges.tires import KMH_PER_MPH, MM_PER_INCH, TIRES


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
            ("measuring_rim_in", rising(near(width_in, 0.5, 80))),
        ]
        if tire.diameter_mm:
            steps = rising(near(tire.diameter_mm, 0.07, 140))
            rows += [("overall_diameter_mm", steps)]
            rows += [("overall_diameter_in", rising(near(tire.diameter_mm / MM_PER_INCH, 0.09, 90)))]
            turns = 1e6 / (3.05 * tire.diameter_mm)
            rows += [("revs_per_km", rising(near(turns, 0.08, 80)))]
            rows += [("revs_per_mile", rising(near(turns * KMH_PER_MPH, 0.08, 40), span(300, 900, 20)))]
        ladders += [Ladder(f"{field} of {tire.marking}", {**listing, field: "{x}"}, rungs) for field, rungs in rows]
        ladders.append(
            Ladder(
                f"rim_diameter_in of {tire.marking}",
                {**listing, "rim_diameter_in": "{x}"},
                rising(span(4, 50, 4), span(10, 26, 0.5)),
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
        ladders.append(Ladder(f"overall_diameter_mm of {marking} {title}", listing, rising(near(right, 0.1, 200))))
    for marking in ("12R22.5 152/149L", "7.50-16 LT 112/107N", "3.25-19 54P", "26.5R25 193B", "220/55R390 88W"):
        for field, rungs in (
            ("overall_diameter_mm", rising(span(10, 120, 1), span(120, 1200, 10))),
            ("overall_diameter_in", rising(span(1, 50, 0.5))),
        ):
            ladders.append(Ladder(f"{field} of {marking} over its rim", {"marking": marking, field: "{x}"}, rungs))
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
