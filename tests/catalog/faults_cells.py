"""Mistakes in cells of two facts, in markings that no tire carries, and in strengths that a passenger tire lacks."""

from __future__ import annotations

from tests.catalog.cases import expect, fault
from tests.catalog.faults_load import base, paired
from tests.catalog.tables import load_kg
from tests.catalog.tires import Tire
from tests.catalog.valid import Listing, Maker

CAR = ("metric", "metric-xl", "p-metric")
STANDARD = ("metric",)
FASTER = {"Q": "S", "R": "T", "S": "H", "T": "V", "H": "W", "V": "Y", "W": "Y"}


def _alone(maker: Maker, variants: tuple[str, ...], *want: str) -> Listing:
    """A listing whose marking alone says what the tire is."""
    texts = ("title", "description", "load_index", "load_index_dual", "speed_symbol", "load_version", "load_range")
    made = base(maker, *want, variants=variants, form="marking", without=texts)
    for name in ("season", "mud_and_snow", "severe_snow", "ply_rating", "load_range"):
        made.cells.pop(name, None)
    return made


@fault("load", "index cell with a faster symbol beside the index")
def faster_beside_the_index(maker: Maker):
    while True:
        made = _alone(maker, CAR)
        if made.tire.symbol in FASTER:
            break
    made.cells["load_index"] = f"{made.tire.index}{FASTER[made.tire.symbol]}"
    return made, expect("speed-symbol-contradicted", "load_index", "critical", (), made.tire.symbol)


@fault("load", "cell of single and dual load, the dual one that of the single")
def dual_as_single(maker: Maker):
    made = paired(maker, "max_load_kg")
    for name in ("max_load_dual_kg", "max_load_dual_lb", "max_load_lb", "description"):
        made.cells.pop(name, None)
    single = f"{made.tire.single_kg:.0f}"
    made.cells["max_load_kg"] = maker.rng.choice((f"{single}/{single}", f"{single} / {single} kg"))
    return made, expect("load-overstated", "max_load_kg", "critical", (), made.tire.dual_kg)


@fault("other", "32nds repeated as millimeters")
def thirty_seconds_as_mm(maker: Maker):
    made = base(maker, "tread_depth_mm", "tread_depth_32nds", variants=CAR)
    depth = maker.rng.randrange(8, 13)
    made.cells["tread_depth_32nds"], made.cells["tread_depth_mm"] = f"{depth}/32", f"{depth}"
    return made, expect("depth-units-disagree", "tread_depth_mm", "minor", (), depth * 25.4 / 32)


def _typos(tire: Tire) -> list[int]:
    """Load indices that a slip of the hand makes of the right one, far outside of what its size carries."""
    index = tire.index
    text = f"{index}"
    slips = {int(text[::-1]), int(f"{text[0]}{text}"), int(f"2{text[1:]}") if index >= 100 else index + 30, index - 30}
    return sorted(slip for slip in slips if 20 <= slip <= 279 and abs(slip - index) >= 12)


@fault("marking", "load index that no tire of the size carries")
def implausible_index(maker: Maker):
    made = _alone(maker, (*CAR, "lt-metric", "commercial"))
    old, wrong = f"{made.tire.index}", maker.rng.choice(_typos(made.tire))
    service = made.tire.service.replace(old, f"{wrong}", 1)
    made.cells["marking"] = made.cells["marking"].replace(made.tire.service, service, 1)
    for name in ("tire_class", "noise_db", "noise_class", "fuel_class", "wet_grip_class"):
        made.cells.pop(name, None)
    rules = "marking-implausible marking-contradicted dual-load-above-single"
    return made, expect(rules, "marking", "major critical")


@fault("load range", "load range of a truck tire on a passenger tire")
def strength_of_a_truck(maker: Maker):
    made = _alone(maker, STANDARD)
    field, text = maker.rng.choice(
        (("load_range", "E"), ("load_range", "D"), ("ply_rating", "10"), ("ply_rating", "8"))
    )
    made.cells[field] = text
    return made, expect("strength-on-passenger", field, "major")


@fault("load range", "extra load said of a standard load tire")
def extra_load_said(maker: Maker):
    while True:
        made = _alone(maker, STANDARD, "max_load_kg")
        if load_kg(made.tire.index) < 900:
            break
    made.cells["load_version"] = maker.rng.choice(("XL", "Extra Load", "Reinforced"))
    return made, expect("load-version-contradicted", "load_version", "major")
