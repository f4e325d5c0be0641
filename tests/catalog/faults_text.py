"""Mistakes in the figures that titles and descriptions claim."""

from __future__ import annotations

from tests.catalog import words
from tests.catalog.cases import expect, fault
from tests.catalog.faults_load import base
from tests.catalog.faults_speed import LADDER, ROAD
from tests.catalog.tables import KM_PER_MILE, to_lb
from tests.catalog.valid import Maker


@fault("text", "description promises more load")
def text_load_over(maker: Maker):
    return _text_load(maker, maker.rng.uniform(1.08, 1.4))


@fault("text", "description promises less load")
def text_load_under(maker: Maker):
    return _text_load(maker, maker.rng.uniform(0.6, 0.93))


def _text_load(maker: Maker, ratio: float):
    made = base(maker, "max_load_kg", without=("description",))
    kg = round(made.tire.single_kg * ratio)
    claim = words.load_claim(maker.rng, f"{kg}", f"{to_lb(kg)}")
    made.cells["description"] = f"A dependable tire. {claim} {words.bystander(maker.rng, made.tire, None)}"
    rule, grade = ("load-overstated", "critical") if ratio > 1 else ("load-understated", "major")
    return made, expect(rule, "description", grade)


@fault("text", "title promises more load")
def title_load(maker: Maker):
    made = base(maker, "title", "max_load_lb")
    lb = round(to_lb(made.tire.single_kg) * maker.rng.uniform(1.08, 1.4))
    made.cells["title"] += maker.rng.choice((f" Max Load {lb:,} lbs", f", {lb} lb max load", f" - max. load {lb:,} lb"))
    return made, expect("load-overstated", "title", "critical")


@fault("text", "description promises more speed")
def text_speed_over(maker: Maker):
    return _text_speed(maker, maker.rng.choice((1, 2)), "description")


@fault("text", "description promises less speed")
def text_speed_under(maker: Maker):
    return _text_speed(maker, maker.rng.choice((-1, -2)), "description")


@fault("text", "title promises more speed")
def title_speed(maker: Maker):
    return _text_speed(maker, 1, "title")


def _text_speed(maker: Maker, step: int, field: str):
    while True:
        made = base(maker, "title", "max_speed_kmh", variants=ROAD)
        position = LADDER.index(made.tire.kmh) + step
        if 0 <= position < len(LADDER):
            break
    kmh = LADDER[position]
    mph = round(kmh / KM_PER_MILE)
    if field == "title":
        made.cells["title"] += maker.rng.choice((f" - up to {mph} mph", f" max speed {kmh} km/h", f", rated {mph} MPH"))
    else:
        made.cells["description"] = f"Smooth on long trips. {words.speed_claim(maker.rng, f'{kmh}', f'{mph}')}"
    rule, grade = ("speed-overstated", "critical") if step > 0 else ("speed-understated", "major")
    return made, expect(rule, field, grade)
