"""Mistakes in speeds and speed symbols."""

from __future__ import annotations

from tests.catalog.cases import (
    Expect,
    expect,
    fault,
    leaves_speed,
    speed_causes,
    transposed,
    with_digit,
    without_digit,
)
from tests.catalog.faults_load import ONE_SERVICE, base
from tests.catalog.tables import SPEED_KMH, to_mph
from tests.catalog.valid import Listing, Maker

CLOSED = tuple(v for v in ONE_SERVICE if not v.endswith("-open"))
ROAD = (
    "metric",
    "metric-xl",
    "metric-hl",
    "p-metric",
    "lt-metric",
    "commercial",
    "truck-metric",
    "truck-numeric",
)
BOTH = ("max_speed_kmh", "max_speed_mph")
LADDER = sorted(SPEED_KMH.values())
BY_SPEED = {speed: symbol for symbol, speed in SPEED_KMH.items()}


def verdict(field: str, right: float, stated: float, causes: set[str]) -> Expect:
    """The finding on a speed cell; both numbers in the unit of the field."""
    if stated > right:
        return expect("speed-overstated", field, "critical", causes, right)
    return expect("speed-understated", field, "major", causes, right)


def put_kmh(made: Listing, stated: float, cause: str) -> tuple[Listing, Expect]:
    """Write `stated` into the km/h cell."""
    made.cells["max_speed_kmh"] = made.style.number(stated, "km/h")
    causes = speed_causes(made.tire.kmh, stated) | {cause}
    return made, verdict("max_speed_kmh", made.tire.kmh, stated, causes)


def clear(options: list[str], made: Listing) -> list[float]:
    """The texts that leave the tolerance, as numbers."""
    return [float(text) for text in options if leaves_speed(made.tire.kmh, float(text))]


@fault("speed", "km/h cell holds the mph value")
def kmh_holds_mph(maker: Maker):
    made = base(maker, *BOTH, variants=ROAD)
    made.cells["max_speed_kmh"] = f"{to_mph(made.tire.kmh)}"
    return made, expect("speed-understated", "max_speed_kmh", "major", {"unit-swapped"}, made.tire.kmh)


@fault("speed", "mph cell holds the km/h value")
def mph_holds_kmh(maker: Maker):
    made = base(maker, *BOTH, variants=ROAD)
    made.cells["max_speed_mph"] = f"{made.tire.kmh}"
    return made, expect("speed-overstated", "max_speed_mph", "critical", {"unit-swapped"}, to_mph(made.tire.kmh))


@fault("speed", "km/h and mph exchanged")
def kmh_mph_exchanged(maker: Maker):
    made = base(maker, *BOTH, variants=ROAD)
    kmh, mph = made.tire.kmh, to_mph(made.tire.kmh)
    made.cells["max_speed_kmh"], made.cells["max_speed_mph"] = f"{mph}", f"{kmh}"
    return made, (
        expect("speed-understated", "max_speed_kmh", "major", {"unit-swapped"}, kmh),
        expect("speed-overstated", "max_speed_mph", "critical", {"unit-swapped"}, mph),
    )


@fault("speed", "speed of the next symbol")
def speed_neighbor(maker: Maker):
    made = base(maker, "max_speed_kmh", variants=ROAD)
    position = LADDER.index(made.tire.kmh)
    options = LADDER[max(position - 1, 0) : position] + LADDER[position + 1 : position + 2]
    return put_kmh(made, maker.rng.choice(options), "neighboring-row")


@fault("speed", "speed digits transposed")
def speed_transposed(maker: Maker):
    while True:
        made = base(maker, "max_speed_kmh", variants=ROAD)
        if options := clear(transposed(f"{made.tire.kmh}"), made):
            return put_kmh(made, maker.rng.choice(options), "digits-transposed")


@fault("speed", "speed digit missing")
def speed_digit_missing(maker: Maker):
    made = base(maker, "max_speed_kmh", variants=ROAD)
    return put_kmh(made, maker.rng.choice(clear(without_digit(f"{made.tire.kmh}"), made)), "digit-missing")


@fault("speed", "speed digit added")
def speed_digit_added(maker: Maker):
    made = base(maker, "max_speed_kmh", variants=ROAD)
    options = clear(with_digit(f"{made.tire.kmh}", maker.rng.choice("0123456789")), made)
    return put_kmh(made, maker.rng.choice(options), "digit-added")


@fault("speed", "km/h against mph without a symbol")
def speed_units_disagree(maker: Maker):
    made = base(
        maker,
        *BOTH,
        variants=("metric", "p-metric", "lt-metric"),
        form="size-only",
        without=("title", "description"),
    )
    made.cells["max_speed_mph"] = f"{to_mph(made.tire.kmh) + maker.rng.choice((-20, -12, 12, 25))}"
    return made, expect("speed-units-disagree", "max_speed_kmh max_speed_mph", "major")


@fault("speed", "speed without any symbol", may=("load-unverified",))
def speed_unverified(maker: Maker):
    made = base(
        maker,
        "max_speed_kmh",
        variants=("metric", "p-metric", "lt-metric"),
        form="size-only",
        without=("title", "description"),
    )
    return made, expect("speed-unverified", "max_speed_kmh max_speed_mph size", "minor")


@fault("speed", "speed symbol that does not exist")
def symbol_unknown(maker: Maker):
    made = base(maker, "speed_symbol", variants=ROAD, form="marking")
    made.cells["speed_symbol"] = maker.rng.choice(("I", "O", "X", "A9"))
    return made, expect("speed-symbol-unknown value-unreadable", "speed_symbol", "major")


@fault("speed", "speed symbol in its field faster")
def symbol_faster(maker: Maker):
    return _symbol(maker, maker.rng.choice((1, 2)))


@fault("speed", "speed symbol in its field slower")
def symbol_slower(maker: Maker):
    return _symbol(maker, maker.rng.choice((-1, -2)))


def _symbol(maker: Maker, step: int):
    while True:
        made = base(maker, "speed_symbol", variants=CLOSED, form=maker.rng.choice(("marking", "split")))
        position = LADDER.index(made.tire.kmh) + step
        if 0 <= position < len(LADDER):
            break
    made.cells["speed_symbol"] = BY_SPEED[LADDER[position]]
    grade = "critical" if step > 0 else "major"
    causes = {"neighboring-row"} if abs(step) == 1 else set()
    return made, expect("speed-symbol-contradicted", "speed_symbol", grade, causes, made.tire.symbol)


@fault("speed", "open-ended tire with a closed symbol in its field")
def symbol_closed(maker: Maker):
    made = base(maker, "speed_symbol", variants=("metric-open",), form="marking")
    made.cells["speed_symbol"] = maker.rng.choice("VHW")
    return made, expect("speed-symbol-contradicted", "speed_symbol", "major")


@fault("speed", "ZR with a symbol of 240 km/h or less")
def zr_conflict(maker: Maker):
    made = base(
        maker,
        variants=("metric-zr",),
        form=maker.rng.choice(("marking", "split")),
        without=("max_speed_kmh", "max_speed_mph", "speed_symbol", "title", "description", "construction"),
    )
    slow = maker.rng.choice("HVTS")
    wrong = made.tire.service.replace(made.tire.symbol, slow)
    for name in ("marking", "service_description"):
        if name in made.cells:
            made.cells[name] = made.cells[name].replace(made.tire.service, wrong)
    for name in ("utqg", "temperature", "traction", "treadwear"):
        made.cells.pop(name, None)
    return made, expect("zr-symbol-conflict", "marking size service_description", "major")


@fault("speed", "bare ZR below 240 km/h")
def bare_zr(maker: Maker):
    made = base(
        maker,
        "max_speed_kmh",
        variants=("metric-bare-zr",),
        without=("max_speed_mph", "title", "description"),
    )
    stated = maker.rng.choice((190, 200, 210))
    made.cells["max_speed_kmh"] = f"{stated}"
    return made, expect("speed-understated", "max_speed_kmh", "major")


@fault("speed", "open-ended tire below its speed")
def open_below(maker: Maker):
    made = base(maker, "max_speed_mph", variants=("metric-open",), without=("max_speed_kmh",))
    made.cells["max_speed_mph"] = f"{maker.rng.choice((130, 149, 168))}"
    return made, expect("speed-understated", "max_speed_mph", "major")


@fault("speed", "speed that cannot be read")
def speed_unreadable(maker: Maker):
    made = base(maker, "max_speed_kmh", variants=ROAD)
    made.cells["max_speed_kmh"] = maker.rng.choice(("19O km/h", "#N/A!", "fast", "2..10", "see rating", "1.9.0"))
    return made, expect("value-unreadable", "max_speed_kmh", "major")
