"""Mistakes in the size: rim, aspect, width, construction, diameters, rim widths, revolutions."""

from __future__ import annotations

from tests.catalog.cases import expect, fault, transposed
from tests.catalog.faults_load import base
from tests.catalog.tables import KM_PER_MILE
from tests.catalog.tires import TIRES
from tests.catalog.valid import Listing, Maker

CAR = ("metric", "metric-xl", "metric-zr", "p-metric")
SIZED = (*CAR, "metric-hl", "lt-metric", "commercial", "special-trailer", "truck-metric")
FORMULA = tuple(v for v in SIZED if v != "commercial")
FORMS = ("marking", "split", "indices")


def sized(maker: Maker, *want: str, variants=SIZED, without=()) -> Listing:
    """A right listing whose tire has a width and an aspect ratio in its size."""
    while True:
        tire = maker.tire(variants)
        if tire.aspect is not None and tire.width_mm is not None:
            return maker.listing(tire, want=want, exact=True, form=maker.rng.choice(FORMS), without=without)


@fault("size", "rim of another diameter")
def rim_off(maker: Maker):
    made = base(
        maker,
        "rim_diameter_in",
        variants=(*SIZED, "flotation", "truck-numeric"),
        form=maker.rng.choice(FORMS),
    )
    right = made.tire.rim_in
    made.cells["rim_diameter_in"] = f"{right + maker.rng.choice((-2, -1, 1, 2)):g}"
    return made, expect("rim-mismatch", "rim_diameter_in", "critical", (), f"{right:g}")


@fault("size", "rim off by half an inch")
def rim_half(maker: Maker):
    made = base(
        maker,
        "rim_diameter_in",
        variants=(*SIZED, "flotation", "truck-numeric"),
        form=maker.rng.choice(FORMS),
    )
    right = made.tire.rim_in
    made.cells["rim_diameter_in"] = f"{right - 0.5 if right != int(right) else right + 0.5:g}"
    return made, expect("rim-mismatch", "rim_diameter_in", "critical", (), f"{right:g}")


@fault("size", "rim that cannot be read")
def rim_unreadable(maker: Maker):
    made = base(maker, "rim_diameter_in", variants=SIZED)
    made.cells["rim_diameter_in"] = maker.rng.choice(("seventeen", "#REF!", "1..7", "std.", "??"))
    return made, expect("value-unreadable", "rim_diameter_in", "major")


@fault("size", "aspect ratio of another size")
def aspect_off(maker: Maker):
    made = sized(maker, "aspect_ratio")
    right = made.tire.aspect
    made.cells["aspect_ratio"] = f"{right + maker.rng.choice((-10, -5, 5, 10))}"
    return made, expect("aspect-mismatch", "aspect_ratio", "major", (), right)


@fault("size", "aspect ratio digits transposed")
def aspect_transposed(maker: Maker):
    while True:
        made = sized(maker, "aspect_ratio")
        if options := transposed(f"{made.tire.aspect}"):
            made.cells["aspect_ratio"] = maker.rng.choice(options)
            return made, expect("aspect-mismatch", "aspect_ratio", "major", {"digits-transposed"}, made.tire.aspect)


@fault("size", "aspect ratio that cannot be read")
def aspect_unreadable(maker: Maker):
    made = sized(maker, "aspect_ratio")
    made.cells["aspect_ratio"] = maker.rng.choice(("sixty", "6S", "#REF!", "5..5"))
    return made, expect("value-unreadable", "aspect_ratio", "minor")


@fault("size", "nominal width one step off")
def width_step(maker: Maker):
    made = sized(maker, "section_width_mm", variants=CAR)
    made.cells["section_width_mm"] = f"{made.tire.width_mm + maker.rng.choice((-10, 10)):.0f}"
    return made, expect("width-mismatch", "section_width_mm", "major", (), made.tire.width_mm)


@fault("size", "nominal width far off")
def width_far(maker: Maker):
    made = sized(maker, "section_width_mm")
    made.cells["section_width_mm"] = f"{made.tire.width_mm + maker.rng.choice((-50, -40, -30, 30, 40, 50)):.0f}"
    return made, expect("width-mismatch", "section_width_mm", "major", (), made.tire.width_mm)


@fault("size", "nominal width digits transposed")
def width_transposed(maker: Maker):
    while True:
        made = sized(maker, "section_width_mm")
        right = made.tire.width_mm
        options = [text for text in transposed(f"{right:.0f}") if not 0.93 < float(text) / right < 1.1]
        if options:
            made.cells["section_width_mm"] = maker.rng.choice(options)
            return made, expect("width-mismatch", "section_width_mm", "major", {"digits-transposed"}, right)


@fault("size", "measured width outside its band")
def measured_width(maker: Maker):
    made = sized(maker, "measured_width_mm", without=("measured_width_in",))
    made.cells["measured_width_mm"] = f"{made.tire.width_mm * maker.rng.choice((0.85, 0.9, 1.13, 1.2)):.0f}"
    return made, expect("width-mismatch", "measured_width_mm", "major")


@fault("size", "construction of another kind")
def construction_off(maker: Maker):
    made = base(maker, "construction", variants=(*CAR, "lt-metric", "truck-metric"), form=maker.rng.choice(FORMS))
    made.cells["construction"] = maker.rng.choice(("B", "D", "Bias", "bias"))
    return made, expect("construction-mismatch", "construction", "major")


def _diameter(maker: Maker, field: str) -> tuple[Listing, float, float]:
    other = {"overall_diameter_mm": "overall_diameter_in", "overall_diameter_in": "overall_diameter_mm"}[field]
    made = sized(maker, field, variants=(*FORMULA, "metric-open"), without=(other, "revs_per_km", "revs_per_mile"))
    low, high = made.tire.diameter_limits_mm
    return made, low, high


@fault("size", "overall diameter beyond its envelope by a little")
def diameter_little(maker: Maker):
    made, low, high = _diameter(maker, "overall_diameter_mm")
    off = maker.rng.uniform(1.6, 4.9)
    # above the envelope only where no wider limit (special use, snow) could be meant
    plain = made.tire.passenger and "season" not in made.cells
    stated = high + off if plain and maker.rng.random() < 0.5 else low - off
    made.cells["overall_diameter_mm"] = made.style.number(stated, "mm", 1)
    return made, expect("overall-diameter-off", "overall_diameter_mm", "minor")


@fault("size", "overall diameter far beyond its envelope")
def diameter_far(maker: Maker):
    made, low, high = _diameter(maker, "overall_diameter_mm")
    stated = low - maker.rng.uniform(10, 60) if maker.rng.random() < 0.5 else high * 1.03 + maker.rng.uniform(12, 60)
    made.cells["overall_diameter_mm"] = made.style.number(stated, "mm")
    return made, expect("overall-diameter-off", "overall_diameter_mm", "major")


@fault("size", "overall diameter in inches copied from another size")
def diameter_copied(maker: Maker):
    made, low, high = _diameter(maker, "overall_diameter_in")
    nominal = [t.diameter_mm for v in FORMULA for t in TIRES[v] if t.diameter_mm]
    stated = maker.rng.choice([mm for mm in nominal if mm < low - 12 or mm > high * 1.03 + 12])
    made.cells["overall_diameter_in"] = made.style.number(stated / 25.4, "in", 1)
    return made, expect("overall-diameter-off", "overall_diameter_in", "major", {"copied-from-another-size"})


@fault("size", "overall diameter decimal slip")
def diameter_slip(maker: Maker):
    made, _, _ = _diameter(maker, "overall_diameter_in")
    made.cells["overall_diameter_in"] = f"{made.tire.diameter_mm / 2.54:.0f}"
    return made, expect("overall-diameter-off", "overall_diameter_in", "major", {"decimal-slip"})


@fault("size", "flotation diameter below its band")
def flotation_diameter(maker: Maker):
    made = base(
        maker,
        "overall_diameter_in",
        variants=("flotation",),
        without=("overall_diameter_mm", "revs_per_km", "revs_per_mile"),
    )
    made.cells["overall_diameter_in"] = f"{made.tire.diameter_in * maker.rng.choice((0.88, 0.92, 1.06)):.1f}"
    return made, expect("overall-diameter-off", "overall_diameter_in", "major")


@fault("size", "inches against millimeters of the diameter")
def size_units(maker: Maker):
    made = sized(
        maker,
        "overall_diameter_mm",
        "overall_diameter_in",
        variants=FORMULA,
        without=("revs_per_km", "revs_per_mile"),
    )
    nominal = made.tire.diameter_mm
    made.cells["overall_diameter_mm"] = f"{nominal:.0f}"
    made.cells["overall_diameter_in"] = f"{(nominal + maker.rng.choice((-3, 3.5))) / 25.4:.2f}"
    return made, expect("size-units-disagree", "overall_diameter_mm overall_diameter_in", "minor")


@fault("size", "measuring rim outside the rim width range")
def rim_width(maker: Maker):
    made = sized(maker, "rim_width_min_in", "measuring_rim_in", "rim_width_max_in")
    low, high = made.plain["rim_width_min_in"], made.plain["rim_width_max_in"]
    made.cells["measuring_rim_in"] = f"{maker.rng.choice((low - 1, high + 1)):.1f}"
    return made, expect("rim-width-out-of-range", "measuring_rim_in rim_width_min_in rim_width_max_in", "major")


@fault("size", "rim width decimal slip")
def rim_width_slip(maker: Maker):
    road = tuple(one for one in SIZED if one != "special-trailer")  # rim widths are judged of road tires only
    made = sized(maker, "measuring_rim_in", variants=road, without=("rim_width_min_in", "rim_width_max_in"))
    made.cells["measuring_rim_in"] = f"{made.plain['measuring_rim_in'] * 10:.0f}"
    return made, expect("rim-width-out-of-range", "measuring_rim_in", "major")


@fault("size", "revolutions that do not fit the diameter")
def revolutions(maker: Maker):
    made = sized(maker, "revs_per_mile", variants=(*CAR, "lt-metric"), without=("revs_per_km",))
    right = 1_000_000 / (3.05 * made.tire.diameter_mm) * KM_PER_MILE
    made.cells["revs_per_mile"] = f"{right * maker.rng.choice((0.88, 0.91, 1.09, 1.13)):.0f}"
    return made, expect("revolutions-off", "revs_per_mile", "minor")


@fault("size", "revolutions per km hold those per mile")
def revolutions_swapped(maker: Maker):
    made = sized(maker, "revs_per_km", "revs_per_mile", variants=CAR)
    made.cells["revs_per_km"] = made.cells["revs_per_mile"]
    return made, expect("revolutions-off", "revs_per_km", "minor", {"unit-swapped", "column-shifted"})
