"""Ladders of codes: indices, load ranges, versions, grades and labels."""

from __future__ import annotations

from tests.edges.ladder import Ladder, rising, span
from tests.edges.tires import TIRES


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
        around = rising(span(0, 300, 10), span(99, 125, 1), span(275, 282, 1))
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
        Ladder(
            "index of the marking",
            {"marking": "225/65R17 {x}H", "max_load_kg": "850"},
            rising(span(0, 300, 25), span(97, 107, 1)),
        )
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
                ladders.append(Ladder(f"{field} of {season} {marking}", listing, ("yes", "no", "n/a")))
        for title in ("Larkmoor Crest 3PMSF", "Larkmoor Crest 225/65R17 M+S", "Larkmoor Crest"):
            listing = {"marking": "225/65R17 102H", "title": title, "season": season, "severe_snow": "{x}"}
            ladders.append(Ladder(f"severe_snow of {season} {title}", listing, ("yes", "no", "n/a")))
    return ladders
