"""Mistakes in the marking itself, and in the sizes that texts name."""

from __future__ import annotations

from tests.catalog import words
from tests.catalog.cases import expect, fault, transposed
from tests.catalog.faults_load import base
from tests.catalog.tables import SPEED_KMH
from tests.catalog.tires import TIRES, Tire
from tests.catalog.valid import Listing, Maker

CAR = ("metric", "metric-xl")
SIZED = ("metric", "metric-xl", "p-metric", "lt-metric", "special-trailer", "truck-metric")
LADDER = sorted(SPEED_KMH.values())
BY_SPEED = {speed: symbol for symbol, speed in SPEED_KMH.items()}


def _rewrite(made: Listing, old: str, new: str) -> None:
    """Replace a part of the marking in whichever cells carry the marking, texts excepted."""
    for name in ("marking", "size", "service_description"):
        if name in made.cells and old in made.cells[name]:
            made.cells[name] = made.cells[name].replace(old, new, 1)


def _other_rim(maker: Maker, tire: Tire) -> str:
    """The size with another rim."""
    rim = f"{tire.rim_in:g}"
    halves = [code for code in (17.5, 19.5, 22.5, 24.5) if code != tire.rim_in]
    steps = [tire.rim_in + step for step in (-1, 1, 2)]
    other = f"{maker.rng.choice(steps if tire.rim_in == int(tire.rim_in) else halves):g}"
    head, _, tail = tire.size.rpartition(rim)
    return f"{head}{other}{tail}"


@fault("marking", "no size anywhere")
def no_size(maker: Maker):
    made = base(maker, "max_load_kg", variants=CAR, form="marking", without=("title", "description"))
    for name in list(made.cells):
        if name in ("marking", "size", "service_description", "load_index", "speed_symbol") or "section_width" in name:
            del made.cells[name]
    made.cells["title"] = f"{made.cells['brand']} {made.cells['model']} Tire"
    return made, expect("marking-missing", "marking size title", "major")


@fault("marking", "marking that cannot be read")
def unreadable(maker: Maker):
    made = base(maker, variants=CAR, form="marking", without=("title", "description"))
    made.cells["marking"] = maker.rng.choice(
        ("2Z5/6SR1?", "tire large", "225/R", "////", "see sidewall", "R17 102H", "22565")
    )
    return made, expect("marking-unreadable", "marking", "major")


@fault("marking", "service description that cannot be read")
def service_unreadable(maker: Maker):
    made = base(maker, "service_description", variants=CAR, form="split", without=("load_index", "speed_symbol"))
    made.cells["service_description"] = maker.rng.choice(("10ZH", "???", "see sidewall", "1/2-H?", "#REF!"))
    return made, expect("value-unreadable marking-unreadable", "service_description", "major")


@fault("marking", "marking in nonstandard form")
def nonstandard(maker: Maker):
    while True:
        made = base(maker, variants=("metric",), form="marking", without=("title", "description"))
        tire = made.tire
        if tire.construction == "R" and tire.aspect:
            break
    width, aspect, rim = f"{tire.width_mm:.0f}", tire.aspect, f"{tire.rim_in:g}"
    made.cells["marking"] = maker.rng.choice(
        (
            f"{width}-{aspect}-{rim} {tire.service}",
            f"{width} {aspect} {rim} {tire.service}",
            f"{width}/{aspect}/{rim} {tire.service}",
            f"{width}{aspect}R{rim} {tire.service}",
        )
    )
    return made, expect("marking-nonstandard", "marking", "minor")


@fault("marking", "load index of the marking against two votes")
def index_outvoted(maker: Maker):
    made = base(
        maker,
        "load_index",
        "max_load_kg",
        variants=CAR,
        form=maker.rng.choice(("marking", "split")),
        without=("title", "description"),
    )
    tire, step = made.tire, maker.rng.choice((-6, -5, -4, 4, 5, 6))
    _rewrite(made, tire.service, f"{tire.index + step}{tire.symbol}")
    made.may |= {"index-unlike-peers"}
    # the other statements promise more load than a marking that is too low
    grades = "critical" if step < 0 else "critical major"
    fields = "marking" if made.form == "marking" else "service_description"
    return made, expect("marking-contradicted", fields, grades)


@fault("marking", "load index of the marking transposed against two votes")
def index_transposed_outvoted(maker: Maker):
    while True:
        made = base(
            maker,
            "load_index",
            "max_load_lb",
            variants=("metric", "metric-xl"),
            form="marking",
            without=("title", "description"),
        )
        options = [
            text
            for text in transposed(f"{made.tire.index}")
            if 60 < int(text) < 130 and abs(int(text) - made.tire.index) > 1
        ]
        if options:
            break
    wrong = maker.rng.choice(options)
    _rewrite(made, made.tire.service, f"{wrong}{made.tire.symbol}")
    grades = "critical" if int(wrong) < made.tire.index else "critical major"
    return made, expect("marking-contradicted", "marking", grades)


@fault("marking", "speed symbol of the marking against two votes")
def symbol_outvoted(maker: Maker):
    made = base(
        maker,
        "speed_symbol",
        "max_speed_kmh",
        variants=("metric", "metric-xl"),
        form="marking",
        without=("title", "description", "treadwear", "traction", "temperature", "utqg"),
    )
    tire = made.tire
    step = maker.rng.choice((-2, -1, 1))
    speed = LADDER[min(LADDER.index(tire.kmh) + step, len(LADDER) - 1)]
    if speed == tire.kmh:
        speed = LADDER[LADDER.index(tire.kmh) - 1]
    _rewrite(made, tire.service, f"{tire.index}{BY_SPEED[speed]}")
    for name in ("treadwear", "traction", "temperature", "utqg"):
        made.cells.pop(name, None)
    grades = "critical" if speed < tire.kmh else "critical major"
    return made, expect("marking-contradicted", "marking", grades)


@fault("marking", "rim of the marking against field and title")
def rim_outvoted(maker: Maker):
    made = base(
        maker,
        "rim_diameter_in",
        "title",
        variants=CAR,
        form="marking",
        without=("description", "overall_diameter_mm", "overall_diameter_in", "revs_per_mile", "revs_per_km"),
    )
    made.cells["title"] = f"{made.cells['brand']} {made.cells['model']} {made.tire.size}"
    made.cells["marking"] = (
        made.cells["marking"].replace(" R", "R").replace(made.tire.size, _other_rim(maker, made.tire))
    )
    return made, expect("marking-contradicted", "marking", "critical")


@fault("marking", "aspect ratio of the marking against field and title")
def aspect_outvoted(maker: Maker):
    made = base(
        maker,
        "aspect_ratio",
        "title",
        variants=CAR,
        form="marking",
        without=("description", "overall_diameter_mm", "overall_diameter_in", "revs_per_mile", "revs_per_km"),
    )
    tire = made.tire
    made.cells["title"] = f"{tire.size} {made.cells['brand']} {made.cells['model']}"
    wrong = tire.size.replace(f"/{tire.aspect}", f"/{tire.aspect + maker.rng.choice((-5, 5))}")
    made.cells["marking"] = made.cells["marking"].replace(" R", "R").replace(tire.size, wrong)
    return made, expect("marking-contradicted", "marking", "major critical")


@fault("marking", "marking governs over one vote", may=("load-units-disagree",))
def one_vote(maker: Maker):
    made = base(
        maker,
        "max_load_kg",
        variants=CAR,
        form="marking",
        without=("max_load_lb", "load_index", "title", "description"),
    )
    tire, step = made.tire, maker.rng.choice((-3, -2, 2, 3))
    _rewrite(made, tire.service, f"{tire.index + step}{tire.symbol}")
    made.may |= {"index-unlike-peers"}
    rule, grade = ("load-overstated", "critical") if step < 0 else ("load-understated", "major")
    return made, expect(rule, "max_load_kg", grade)


@fault("marking", "size field against marking and its parts")
def size_field(maker: Maker):
    made = base(
        maker,
        "marking",
        "size",
        "rim_diameter_in",
        "title",
        variants=CAR,
        form="both",
        without=("description",),
    )
    made.cells["title"] = f"{made.cells['brand']} {made.cells['model']} {made.tire.size}"
    made.cells["size"] = _other_rim(maker, made.tire)
    return made, expect("marking-contradicted", "size", "critical")


@fault("marking", "service description field against marking and index")
def service_field(maker: Maker):
    made = base(maker, "marking", "service_description", "load_index", "max_load_kg", variants=CAR, form="both")
    tire = made.tire
    wrong = tire.index + maker.rng.choice((-4, -3, 3, 4))
    made.cells["service_description"] = tire.service.replace(f"{tire.index}", f"{wrong}")
    return made, expect("marking-contradicted", "service_description", "critical major")


@fault("text", "title names another rim")
def title_rim(maker: Maker):
    made = base(maker, "rim_diameter_in", "title", variants=SIZED, form=maker.rng.choice(("marking", "split")))
    made.cells["title"] = f"{made.cells['brand']} {made.cells['model']} {_other_rim(maker, made.tire)} Tire"
    return made, expect("marking-contradicted rim-mismatch", "title", "critical")


@fault("text", "title names another width")
def title_width(maker: Maker):
    made = base(maker, "section_width_mm", "title", variants=CAR, form="marking")
    tire = made.tire
    size = tire.size.replace(f"{tire.width_mm:.0f}/", f"{tire.width_mm + maker.rng.choice((-10, 10, 20)):.0f}/")
    made.cells["title"] = f"{size} {made.cells['brand']} {made.cells['model']}"
    return made, expect("marking-contradicted width-mismatch", "title", "major")


@fault("text", "description names another size")
def description_size(maker: Maker):
    made = base(maker, "rim_diameter_in", "aspect_ratio", variants=CAR, form="marking", without=("title",))
    other = maker.rng.choice([t for t in TIRES["metric"] if t.rim_in != made.tire.rim_in and t.size != made.tire.size])
    text = maker.rng.choice(
        (
            f"This {other.size} is a quiet touring tire.",
            f"Size {other.size}.",
            f"Order this {other.size} tire today.",
        )
    )
    made.cells["description"] = f"{text} Smooth and quiet."
    return made, expect("marking-contradicted rim-mismatch", "description", "critical")


@fault("text", "title names another load index")
def title_index(maker: Maker):
    made = base(maker, "load_index", "max_load_kg", variants=CAR, form="marking")
    tire = made.tire
    wrong = tire.index + maker.rng.choice((-4, -3, 3, 4))
    made.cells["title"] = f"{made.cells['brand']} {made.cells['model']} {tire.size} {wrong}{tire.symbol}"
    grade = "critical" if wrong > tire.index else "critical major"
    return made, expect("marking-contradicted load-index-contradicted", "title", grade)


@fault("text", "title names another speed symbol")
def title_symbol(maker: Maker):
    made = base(maker, "speed_symbol", "max_speed_kmh", variants=("metric",), form="marking")
    tire = made.tire
    position = LADDER.index(tire.kmh) + maker.rng.choice((-2, -1, 1))
    symbol = BY_SPEED[LADDER[position]]
    made.cells["title"] = f"{made.cells['brand']} {made.cells['model']} {tire.size} {tire.index}{symbol}"
    grade = "critical" if LADDER[position] > tire.kmh else "critical major"
    return made, expect("marking-contradicted speed-symbol-contradicted", "title", grade)


@fault("range", "ply rating unlike the load range")
def ply_off(maker: Maker):
    made = base(
        maker,
        "ply_rating",
        variants=("lt-metric", "special-trailer", "truck-numeric", "flotation"),
        form="marking",
    )
    step = maker.rng.choice((-4, -2, 2, 4))
    made.cells["ply_rating"] = f"{made.tire.ply + step}"
    grade = "critical" if step > 0 else "major"
    return made, expect("ply-rating-mismatch", "ply_rating", grade, (), made.tire.ply)


LETTERS = "BCDEFGHJLM"


def _range(maker: Maker, step: int):
    made = base(maker, "load_range", variants=("lt-metric", "special-trailer", "flotation"), form="marking")
    wrong = LETTERS[LETTERS.index(made.tire.load_range) + step]
    made.cells["load_range"] = wrong
    return made, wrong


@fault("range", "load range field higher")
def range_higher(maker: Maker):
    made, _ = _range(maker, maker.rng.choice((1, 2)))
    return made, expect("load-range-contradicted", "load_range", "critical", (), made.tire.load_range)


@fault("range", "load range field lower")
def range_lower(maker: Maker):
    made, _ = _range(maker, -1)
    return made, expect("load-range-contradicted", "load_range", "major", (), made.tire.load_range)


@fault("range", "load version contradicts the marking")
def version_off(maker: Maker):
    if maker.rng.random() < 0.5:
        made = base(maker, "load_version", variants=("metric-xl",), form="marking", without=("title",))
        made.cells["load_version"] = maker.rng.choice(("SL", "HL", "Standard Load"))
    else:
        made = base(maker, "load_version", variants=("metric-hl",), form="marking", without=("title",))
        made.cells["load_version"] = maker.rng.choice(("SL", "XL"))
    return made, expect("load-version-contradicted", "load_version", "major critical")


@fault("text", "title claims another ply rating")
def title_ply(maker: Maker):
    made = base(
        maker,
        "title",
        variants=("lt-metric", "flotation", "special-trailer"),
        form="marking",
        without=("description",),
    )
    tire = made.tire
    ply = tire.ply + maker.rng.choice((2, 4))
    made.cells["title"] = f"{made.cells['brand']} {made.cells['model']} {tire.size} {words.ply_words(maker.rng, ply)}"
    return made, expect("ply-rating-mismatch load-range-contradicted", "title", "major critical")


@fault("text", "description claims a higher load range")
def text_range(maker: Maker):
    made = base(
        maker,
        "load_range",
        variants=("lt-metric", "flotation", "special-trailer"),
        form="marking",
        without=("title", "description"),
    )
    wrong = LETTERS[LETTERS.index(made.tire.load_range) + 1]
    made.cells["description"] = f"Stiff carcass. {words.range_words(maker.rng, wrong)} construction."
    return made, expect("load-range-contradicted ply-rating-mismatch", "description", "critical")
