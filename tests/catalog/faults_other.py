"""Mistakes in pressure, depth, weight, grades, season, label and identity."""

from __future__ import annotations

import math
import re

from tests.catalog.cases import expect, fault
from tests.catalog.faults_load import base
from tests.catalog.tables import check_digit, noise_limit
from tests.catalog.valid import Listing, Maker

CAR = ("metric", "metric-xl", "p-metric")
PRESSURES = ("max_pressure_kpa", "max_pressure_psi", "max_pressure_bar")


@fault("pressure", "psi against kPa")
def pressure_units(maker: Maker):
    made = base(maker, "max_pressure_kpa", "max_pressure_psi", variants=CAR, without=("max_pressure_bar",))
    pairs = ((35, 300), (44, 340), (51, 300), (36, 280), (41, 340), (44, 240))
    psi, kpa = maker.rng.choice(pairs)
    made.cells["max_pressure_psi"], made.cells["max_pressure_kpa"] = f"{psi}", f"{kpa}"
    return made, expect("pressure-units-disagree", "max_pressure_psi max_pressure_kpa", "major")


@fault("pressure", "bar decimal slip")
def pressure_slip(maker: Maker):
    made = base(maker, "max_pressure_bar", "max_pressure_kpa", variants=CAR)
    made.cells["max_pressure_bar"] = f"{float(made.cells['max_pressure_bar'].split()[0]) * 10:.0f}"
    return made, expect("pressure-units-disagree", "max_pressure_bar", "major")


@fault("pressure", "kPa cell holds psi")
def pressure_swapped(maker: Maker):
    made = base(maker, "max_pressure_kpa", "max_pressure_psi", variants=CAR)
    made.cells["max_pressure_kpa"] = made.cells["max_pressure_psi"].split()[0]
    return made, expect("pressure-units-disagree", "max_pressure_kpa", "major", {"unit-swapped", "column-shifted"})


@fault("pressure", "pressure that is none of the permitted")
def pressure_odd(maker: Maker):
    made = base(maker, "max_pressure_psi", variants=CAR, without=("max_pressure_kpa", "max_pressure_bar"))
    psi = maker.rng.choice((28, 30, 38, 46, 55, 65))
    made.cells["max_pressure_psi"] = f"{psi}"
    return made, expect("pressure-not-permitted", "max_pressure_psi", "major" if psi > 60 else "minor")


@fault("pressure", "pressure of another load range")
def pressure_range(maker: Maker):
    while True:
        made = base(
            maker,
            "max_pressure_psi",
            variants=("lt-metric",),
            form="marking",
            without=("max_pressure_kpa", "max_pressure_bar"),
        )
        if made.tire.width_mm < 295 and made.tire.load_range in "CDE":
            break
    wrong = maker.rng.choice([psi for psi in (35, 50, 65, 80) if psi != made.tire.psi])
    made.cells["max_pressure_psi"] = f"{wrong}"
    return made, expect("pressure-unlike-load-range", "max_pressure_psi", "minor")


@fault("pressure", "pressure that cannot be read")
def pressure_unreadable(maker: Maker):
    made = base(maker, "max_pressure_psi", variants=CAR)
    made.cells["max_pressure_psi"] = maker.rng.choice(("see sidewall", "#REF!", "5l psi", "4..4"))
    return made, expect("value-unreadable", "max_pressure_psi", "minor")


@fault("other", "tread depth mm against 32nds")
def depth(maker: Maker):
    made = base(maker, "tread_depth_mm", "tread_depth_32nds")
    made.cells["tread_depth_mm"] = (
        f"{float(made.cells['tread_depth_mm'].split()[0]) + maker.rng.choice((-2.5, 2, 3.1)):.1f}"
    )
    return made, expect("depth-units-disagree", "tread_depth_mm tread_depth_32nds", "minor")


@fault("other", "weight kg and lb exchanged")
def weight(maker: Maker):
    made = base(maker, "tire_weight_kg", "tire_weight_lb")
    kg, lb = (made.cells[name].split()[0] for name in ("tire_weight_kg", "tire_weight_lb"))
    made.cells["tire_weight_kg"], made.cells["tire_weight_lb"] = lb, kg
    return made, expect("weight-units-disagree", "tire_weight_kg tire_weight_lb", "minor")


def _graded(maker: Maker) -> Listing:
    return base(maker, "treadwear", "traction", "temperature", variants=CAR)


@fault("grades", "treadwear no multiple of 20")
def treadwear(maker: Maker):
    made = _graded(maker)
    made.cells["treadwear"] = f"{20 * maker.rng.randrange(8, 40) + maker.rng.choice((5, 7, 10, 13))}"
    return made, expect("grade-invalid", "treadwear", "minor")


@fault("grades", "traction or temperature grade that does not exist")
def grade_letter(maker: Maker):
    made = _graded(maker)
    field, wrong = maker.rng.choice((("traction", "D"), ("traction", "E"), ("temperature", "AA"), ("temperature", "E")))
    made.cells[field] = wrong
    return made, expect("grade-invalid value-unreadable", field, "minor")


@fault("grades", "grades on a tire that has none")
def grade_not_applicable(maker: Maker):
    made = base(maker, variants=("lt-metric", "special-trailer", "truck-metric", "temporary-spare"))
    made.cells |= {"treadwear": "400", "traction": "A", "temperature": "B"}
    return made, expect("grade-not-applicable", "treadwear traction temperature utqg", "minor")


@fault("season", "M+S in the marking, denied in the field")
def snow_mark(maker: Maker):
    made = base(
        maker,
        variants=CAR,
        form="marking",
        without=("season", "mud_and_snow", "description", "title", "severe_snow"),
    )
    for name in ("season", "mud_and_snow", "severe_snow"):
        made.cells.pop(name, None)
    made.cells["marking"] = made.cells["marking"].replace(" M+S", "") + " M+S"
    made.cells["mud_and_snow"] = maker.rng.choice(("No", "N", "FALSE"))
    return made, expect("snow-mark-contradicted", "mud_and_snow", "major")


@fault("season", "summer tire with the mountain snowflake")
def summer_snowflake(maker: Maker):
    made = base(maker, variants=CAR, form="marking", without=("description", "title"))
    for name in ("mud_and_snow", "utqg", "treadwear", "traction", "temperature"):
        made.cells.pop(name, None)
    made.cells["marking"] = made.cells["marking"].replace(" M+S", "")
    made.cells["season"], made.cells["severe_snow"] = "Summer", "Yes"
    made.cells["model"] = "Larkspur Sport"
    return made, expect("snow-mark-contradicted", "season severe_snow", "major")


@fault("season", "winter tire without a snow mark")
def winter_bare(maker: Maker):
    made = base(maker, variants=CAR, form="marking", without=("description", "title"))
    for name in ("utqg", "treadwear", "traction", "temperature"):
        made.cells.pop(name, None)
    made.cells["marking"] = made.cells["marking"].replace(" M+S", "")
    made.cells |= {"season": "Winter", "mud_and_snow": "No", "severe_snow": "No"}
    return made, expect("winter-without-snow-mark", "season severe_snow mud_and_snow", "minor")


LABEL = ("tire_class", "fuel_class", "wet_grip_class", "noise_db", "noise_class")


@fault("label", "tire class of another kind of tire")
def tire_class(maker: Maker):
    variant = maker.rng.choice(("metric", "metric-xl", "truck-metric"))
    made = base(maker, "tire_class", variants=(variant,), form="marking")
    while made.tire.family == "truck-metric" and made.tire.index < 122:
        made = base(maker, "tire_class", variants=(variant,), form="marking")
    for name in ("noise_db", "noise_class"):
        made.cells.pop(name, None)
    made.cells["tire_class"] = "C1" if variant == "truck-metric" else "C3"
    return made, expect("tire-class-mismatch", "tire_class", "major")


@fault("label", "label class that does not exist")
def label_class(maker: Maker):
    made = base(maker, *LABEL, variants=("metric", "metric-xl"), form="marking")
    field = maker.rng.choice(("fuel_class", "wet_grip_class", "noise_class"))
    made.cells[field] = maker.rng.choice("HXZ") if field != "noise_class" else maker.rng.choice("DEX")
    return made, expect("label-class-invalid value-unreadable", field, "major")


@fault("label", "noise class unlike the noise")
def noise_class(maker: Maker):
    made = base(maker, *LABEL, variants=("metric", "metric-xl"), form="marking")
    limit = noise_limit("C1", made.tire.width_mm, made.tire.version == "XL")
    noise, stated = maker.rng.choice(((limit + 3, "A"), (limit + 3, "B"), (limit - 5, "C"), (limit - 5, "B")))
    made.cells["noise_db"], made.cells["noise_class"] = f"{noise}", stated
    return made, expect("noise-class-mismatch", "noise_class noise_db", "major")


@fault("identity", "GTIN with a wrong check digit")
def gtin_digit(maker: Maker):
    made = base(maker)
    body = f"29{maker.serial:010d}"
    made.cells["gtin"] = body + str((int(check_digit(body)) + maker.rng.randrange(1, 10)) % 10)
    return made, expect("gtin-check-digit", "gtin", "major")


@fault("identity", "listing repeated")
def duplicated(maker: Maker):
    made = base(maker, "max_load_kg", form="marking")
    _own_gtin(maker, made)
    return (made, made.copy()), expect("listing-duplicated", "sku gtin part_number supplier marking", "major", at=1)


@fault("identity", "GTIN on two different tires")
def gtin_shared(maker: Maker):
    first = base(maker, "max_load_kg", variants=("metric",), form="marking")
    second = base(maker, "max_load_kg", variants=("lt-metric",), form="marking")
    _own_gtin(maker, first)
    second.cells["supplier"], second.cells["gtin"] = first.cells["supplier"], first.cells["gtin"]
    return (first, second), tuple(expect("gtin-shared", "gtin", "major", at=at) for at in (0, 1))


@fault("identity", "two suppliers disagree on one GTIN", may=("gtin-shared",))
def suppliers(maker: Maker):
    first = base(maker, variants=("metric", "metric-xl"), form="marking")
    _own_gtin(maker, first)
    second = maker.listing(first.tire, form="marking", exact=True, without=("load_version",))
    keep = ("gtin", "brand", "model", "part_number")
    second.cells |= {name: first.cells[name] for name in keep}
    second.cells.pop("title", None)
    second.cells.pop("description", None)
    first.cells["supplier"], second.cells["supplier"] = "Tannery Row Supply", "Bexhollow Wholesale"
    for made, index in ((first, first.tire.index), (second, first.tire.index + 2)):
        for name in (
            "load_index",
            "max_load_kg",
            "max_load_lb",
            "title",
            "description",
            "season",
            "mud_and_snow",
            "severe_snow",
        ):
            made.cells.pop(name, None)
        made.cells["marking"] = f"{first.tire.size} {index}{first.tire.symbol}"
        for name in ("load_version", "noise_db", "noise_class", "tire_class"):
            made.cells.pop(name, None)
        made.may |= {"index-unlike-peers", "gtin-shared"}
    fields = "marking load_index gtin part_number service_description"
    return (first, second), tuple(expect("suppliers-disagree", fields, "major critical", at=at) for at in (0, 1))


def _usual_index(size: str) -> int:
    """About the load index that a passenger size has, by the air in it (the form of the U.S. formula, from memory)."""
    width, aspect, rim = (float(part) for part in re.split("/|R", size))
    height = width * aspect / 100.0
    kg = 9.24e-4 * width**0.8 * height**0.745 * (rim * 25.4 + height) ** 0.892
    return 108 + round(80.0 * math.log10(kg / 1000.0))


@fault("peers", "load index unlike the peers'")
def peers(maker: Maker):
    size = maker.rare_size()
    index = _usual_index(size) + maker.rng.randrange(3)
    made = []
    for position in range(14):
        listing = base(maker, variants=("metric",), form="marking")
        step = 0 if position else maker.rng.choice((-4, -3, 3, 4))
        keep = ("supplier", "sku", "part_number", "gtin", "model")
        listing.cells = {name: listing.cells[name] for name in keep}
        listing.cells |= {
            "brand": ("Varnholt", "Ostrane", "Kelmora")[position % 3],
            "marking": f"{size} {index + step}H",
        }
        made.append(listing)
    return made, expect("index-unlike-peers", "marking load_index service_description", "minor")


def _own_gtin(maker: Maker, made: Listing) -> None:
    body = f"28{maker.serial:010d}"
    made.cells["gtin"] = body + check_digit(body)
