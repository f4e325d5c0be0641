"""Mistakes in loads and load indices."""

from __future__ import annotations

from tests.catalog.cases import (
    Expect,
    expect,
    fault,
    leaves_load,
    load_causes,
    number_causes,
    transposed,
    with_digit,
    without_digit,
)
from tests.catalog.tables import KG_PER_LB, load_kg, to_lb
from tests.catalog.tires import TIRES, VARIANTS
from tests.catalog.valid import Listing, Maker

NO_SERVICE = ("metric-bare-zr", "special-trailer-bare")
TWO = ("commercial-two", "truck-metric-two", "agricultural-two")
RATED = tuple(v for v in VARIANTS if v not in NO_SERVICE)
ONE_SERVICE = tuple(v for v in RATED if v not in TWO)
PAIRED = tuple(v for v in ONE_SERVICE if any(t.index_dual for t in TIRES[v]))
STRICT = tuple(v for v in ONE_SERVICE if not any(t.us_tables for t in TIRES[v]))
US = ("p-metric", "lt-metric", "flotation", "special-trailer", "lt-suffix")
BOTH = ("max_load_kg", "max_load_lb")


def base(maker: Maker, *want: str, variants: tuple[str, ...] = ONE_SERVICE, **more: object) -> Listing:
    """A right listing with exact loads, whose marking settles load and speed."""
    if not {"marking", "size", "service_description"} & set(want):
        more.setdefault("form", maker.rng.choice(("marking", "marking", "split", "indices", "both")))
    return maker.listing(variants=variants, want=want, exact=True, **more)


def paired(maker: Maker, *want: str) -> Listing:
    """A right listing of a tire with a dual index clearly below the single one."""
    while True:
        tire = maker.tire(PAIRED)
        if tire.dual_kg and leaves_load(tire.single_kg, tire.dual_kg, tire.us_tables):
            return maker.listing(tire, want=want, exact=True, form=maker.rng.choice(("marking", "split")))


def over_or_under(field: str, right: float, stated: float, causes: set[str], at: int = 0) -> Expect:
    """The finding on a load cell; `right` and `stated` in the unit of the field."""
    if stated > right:
        return expect("load-overstated", field, "critical", causes, right, at)
    return expect("load-understated", field, "major", causes, right, at)


def put_kg(made: Listing, stated: float, cause: str = "") -> tuple[Listing, Expect]:
    """Write `stated` into the kg cell."""
    right = made.tire.single_kg
    made.cells["max_load_kg"] = made.style.number(stated, "kg", 0 if stated == int(stated) else 1)
    causes = load_causes(right, stated, made.tire.index, made.tire.dual_kg) | ({cause} if cause else set())
    return made, over_or_under("max_load_kg", right, stated, causes if cause else set())


def put_barely(made: Listing, stated: float) -> tuple[Listing, Expect]:
    """Write a load within 2 % of the right one into the kg cell; a P size without its P may have it."""
    made, wanted = put_kg(made, stated)
    return made, expect("load-off-table", "max_load_kg", "minor") if made.tire.p_left_out else wanted


def altered(maker: Maker, options: list[str], made: Listing) -> float | None:
    """One of the texts that leaves the tolerance, as a number."""
    good = [
        float(t)
        for t in options
        if leaves_load(made.tire.single_kg, float(t), made.tire.us_tables or made.tire.p_left_out)
    ]
    return maker.rng.choice(good) if good else None


@fault("load", "kg cell holds the lb value")
def kg_holds_lb(maker: Maker):
    made = base(maker, *BOTH)
    stated = to_lb(made.tire.single_kg)
    made.cells["max_load_kg"] = f"{stated}"
    return made, expect("load-overstated", "max_load_kg", "critical", {"unit-swapped"}, made.tire.single_kg)


@fault("load", "lb cell holds the kg value")
def lb_holds_kg(maker: Maker):
    made = base(maker, *BOTH)
    made.cells["max_load_lb"] = f"{made.tire.single_kg:.0f}"
    return made, expect("load-understated", "max_load_lb", "major", {"unit-swapped"}, to_lb(made.tire.single_kg))


@fault("load", "kg and lb exchanged")
def kg_lb_exchanged(maker: Maker):
    made = base(maker, *BOTH)
    kg, lb = made.tire.single_kg, to_lb(made.tire.single_kg)
    made.cells["max_load_kg"], made.cells["max_load_lb"] = f"{lb}", f"{kg:.0f}"
    return made, (
        expect("load-overstated", "max_load_kg", "critical", {"unit-swapped"}, kg),
        expect("load-understated", "max_load_lb", "major", {"unit-swapped"}, lb),
    )


@fault("load", "single and dual load exchanged")
def single_dual(maker: Maker):
    made = paired(maker, "max_load_kg", "max_load_dual_kg")
    cells, tire = made.cells, made.tire
    cells["max_load_kg"], cells["max_load_dual_kg"] = cells["max_load_dual_kg"], cells["max_load_kg"]
    for name in ("max_load_lb", "max_load_dual_lb"):
        cells.pop(name, None)
    return made, (
        expect("load-understated", "max_load_kg", "major", {"single-dual-swapped"}, tire.single_kg),
        expect("load-overstated", "max_load_dual_kg", "critical", {"single-dual-swapped"}, tire.dual_kg),
    )


@fault("load", "dual cell holds the single load")
def dual_holds_single(maker: Maker):
    made = paired(maker, "max_load_kg", "max_load_dual_lb")
    made.cells["max_load_dual_lb"] = made.style.number(to_lb(made.tire.single_kg), "lb")
    return made, expect(
        "load-overstated", "max_load_dual_lb", "critical", {"single-dual-swapped"}, to_lb(made.tire.dual_kg)
    )


@fault("load", "load digits transposed")
def load_transposed(maker: Maker):
    while True:
        made = base(maker, "max_load_kg")
        stated = altered(maker, transposed(f"{made.tire.single_kg:.0f}"), made)
        if stated is not None:
            return put_kg(made, stated, "digits-transposed")


@fault("load", "load digit missing")
def load_digit_missing(maker: Maker):
    made = base(maker, "max_load_kg")
    return put_kg(made, altered(maker, without_digit(f"{made.tire.single_kg:.0f}"), made), "digit-missing")


@fault("load", "load digit added")
def load_digit_added(maker: Maker):
    made = base(maker, "max_load_kg")
    extra = maker.rng.choice("0123456789")
    return put_kg(made, altered(maker, with_digit(f"{made.tire.single_kg:.0f}", extra), made), "digit-added")


@fault("load", "lb of the next load index")
def load_neighbor(maker: Maker):
    made = base(maker, "max_load_lb")
    step, right = maker.rng.choice((-1, 1)), to_lb(made.tire.single_kg)
    stated = to_lb(load_kg(made.tire.index + step))
    made.cells["max_load_lb"] = made.style.number(stated, "lb")
    causes = {"neighboring-row"} | load_causes(made.tire.single_kg, load_kg(made.tire.index + step), made.tire.index)
    return made, over_or_under("max_load_lb", right, stated, causes)


@fault("load", "load decimal slip")
def load_decimal(maker: Maker):
    made = base(maker, "max_load_kg")
    right = made.tire.single_kg
    stated = right / 10 if maker.rng.random() < 0.5 else right / 100
    made.cells["max_load_kg"] = f"{stated:g}"
    causes = load_causes(right, stated, made.tire.index) | {"decimal-slip"}
    return made, over_or_under("max_load_kg", right, stated, causes)


@fault("load", "load of a pair as one tire's")
def load_per_pair(maker: Maker):
    made = base(maker, "max_load_kg")
    return put_kg(made, 2 * made.tire.single_kg, "per-pair")


@fault("load", "load cell holds the load index")
def load_holds_index(maker: Maker):
    made = base(maker, "max_load_kg")
    while not leaves_load(made.tire.single_kg, made.tire.index, True):
        made = base(maker, "max_load_kg")
    made.cells["max_load_kg"] = f"{made.tire.index}"
    causes = load_causes(made.tire.single_kg, made.tire.index, made.tire.index) | {"index-not-load"}
    return made, over_or_under("max_load_kg", made.tire.single_kg, made.tire.index, causes)


@fault("load", "loads copied from another size")
def load_copied(maker: Maker):
    made = base(maker, *BOTH)
    index = made.tire.index + maker.rng.choice((-9, -7, -6, -5, -4, 4, 5, 6, 7, 9))
    kg = load_kg(index)
    made.cells["max_load_kg"] = made.style.number(kg, "kg")
    made.cells["max_load_lb"] = made.style.number(to_lb(kg), "lb")
    _drop_texts(made)
    causes = load_causes(made.tire.single_kg, kg, made.tire.index) | {"copied-from-another-size"}
    return made, (
        over_or_under("max_load_kg", made.tire.single_kg, kg, causes),
        over_or_under("max_load_lb", to_lb(made.tire.single_kg), to_lb(kg), causes),
    )


@fault("load", "cells of a row shifted by one")
def load_shifted(maker: Maker):
    made = base(maker, *BOTH, "max_speed_kmh", variants=("metric", "metric-xl", "p-metric", "lt-metric", "commercial"))
    cells, tire = made.cells, made.tire
    kg, lb, kmh = cells["max_load_kg"], cells["max_load_lb"], f"{tire.kmh}"
    for name in ("max_speed_mph", "max_load_dual_kg", "max_load_dual_lb"):
        cells.pop(name, None)
    cells["max_speed_kmh"] = kmh
    bare = lb.removesuffix("lbs.").removesuffix("lbs").removesuffix("lb").strip()
    cells["max_load_kg"], cells["max_load_lb"] = bare, kmh
    del kg
    return made, (
        expect("load-overstated", "max_load_kg", "critical", {"unit-swapped", "column-shifted"}, tire.single_kg),
        expect(
            "load-understated",
            "max_load_lb",
            "major",
            {"column-shifted"}
            | load_causes(tire.single_kg, tire.kmh * KG_PER_LB, tire.index)
            | number_causes(to_lb(tire.single_kg), tire.kmh),
            to_lb(tire.single_kg),
        ),
    )


@fault("load", "load above the table beyond rounding")
def load_beyond(maker: Maker):
    made = base(maker, "max_load_kg", variants=STRICT)
    while made.tire.single_kg < 500:
        made = base(maker, "max_load_kg", variants=STRICT)
    return put_barely(made, round(made.tire.single_kg * maker.rng.uniform(1.009, 1.019)))


@fault("load", "load below the table beyond rounding")
def load_below(maker: Maker):
    made = base(maker, "max_load_kg", variants=STRICT)
    while made.tire.single_kg < 500:
        made = base(maker, "max_load_kg", variants=STRICT)
    return put_barely(made, round(made.tire.single_kg * maker.rng.uniform(0.981, 0.991)))


@fault("load", "load rounded to hundreds")
def load_rounded(maker: Maker):
    while True:
        made = base(maker, "max_load_lb", variants=STRICT)
        right = to_lb(made.tire.single_kg)
        stated = 100 * round(right / 100)
        if right > 900 and leaves_load(right, stated, made.tire.p_left_out):
            break
    made.cells["max_load_lb"] = made.style.number(stated, "lb")
    causes = load_causes(made.tire.single_kg, stated * KG_PER_LB, made.tire.index) | {"rounded"}
    return made, over_or_under("max_load_lb", right, stated, causes)


@fault("load", "lb divided where it should be multiplied")
def load_converted(maker: Maker):
    made = base(maker, *BOTH)
    right, stated = to_lb(made.tire.single_kg), round(made.tire.single_kg * KG_PER_LB)
    made.cells["max_load_lb"] = made.style.number(stated, "lb")
    causes = load_causes(made.tire.single_kg, stated * KG_PER_LB, made.tire.index) | {"converted-badly"}
    return made, over_or_under("max_load_lb", right, stated, causes)


@fault("load", "U.S. load above the index within 2 %")
def load_off_table(maker: Maker):
    made = base(
        maker,
        "max_load_lb",
        variants=US,
        without=("max_load_kg", "max_load_dual_kg", "max_load_dual_lb", "description"),
    )
    stated = round(to_lb(made.tire.single_kg) * maker.rng.uniform(1.009, 1.017))
    made.cells["max_load_lb"] = made.style.number(stated, "lb")
    return made, expect("load-off-table", "max_load_lb", "minor", (), to_lb(made.tire.single_kg))


@fault("load", "kg against lb without a load index")
def load_units_disagree(maker: Maker):
    made = base(
        maker,
        *BOTH,
        variants=("metric", "metric-xl", "p-metric", "lt-metric"),
        form="size-only",
        without=("title", "description", "max_load_dual_kg", "max_load_dual_lb"),
    )
    made.cells["max_load_lb"] = made.style.number(
        round(to_lb(made.tire.single_kg) * maker.rng.choice((0.8, 0.9, 1.1, 1.2))), "lb"
    )
    return made, expect("load-units-disagree", "max_load_kg max_load_lb", "major")


@fault("load", "dual load above single without a load index")
def dual_above_single(maker: Maker):
    made = base(
        maker,
        "max_load_kg",
        "max_load_dual_kg",
        variants=("lt-metric",),
        form="size-only",
        without=("max_load_lb", "max_load_dual_lb", "title", "description"),
    )
    cells = made.cells
    cells["max_load_kg"], cells["max_load_dual_kg"] = cells["max_load_dual_kg"], cells["max_load_kg"]
    if cells["max_load_kg"] == cells["max_load_dual_kg"]:
        return dual_above_single(maker)
    return made, expect("dual-load-above-single", "max_load_kg max_load_dual_kg", "major")


@fault("load", "load without any load index", may=("speed-unverified",))
def load_unverified(maker: Maker):
    made = base(
        maker,
        "max_load_kg",
        variants=("metric", "p-metric", "lt-metric"),
        form="size-only",
        without=("title", "description"),
    )
    return made, expect("load-unverified", "max_load_kg max_load_lb size", "minor")


@fault("load", "load index beyond the table")
def index_unknown(maker: Maker):
    made = base(maker, "load_index", variants=("metric", "metric-xl", "p-metric", "truck-metric"), form="marking")
    made.cells["load_index"] = f"{maker.rng.choice((280, 299, 312, 400, 911))}"
    return made, expect("load-index-unknown", "load_index", "major")


@fault("load", "load index in its field higher")
def index_higher(maker: Maker):
    return _index_field(maker, maker.rng.choice((1, 2, 3, 4)))


@fault("load", "load index in its field lower")
def index_lower(maker: Maker):
    return _index_field(maker, maker.rng.choice((-1, -2, -3, -4)))


def _index_field(maker: Maker, step: int):
    made = base(maker, "load_index", form=maker.rng.choice(("marking", "split")))
    made.cells["load_index"] = f"{made.tire.index + step}"
    grade = "critical" if step > 0 else "major"
    causes = {"neighboring-row"} if abs(step) == 1 else set()
    return made, expect("load-index-contradicted", "load_index", grade, causes, made.tire.index)


@fault("load", "load index digits transposed")
def index_transposed(maker: Maker):
    while True:
        made = base(maker, "load_index", form=maker.rng.choice(("marking", "split")))
        options = [
            text
            for text in transposed(f"{made.tire.index}")
            if abs(int(text) - made.tire.index) > 1 and int(text) < 280
        ]
        if options:
            made.cells["load_index"] = stated = maker.rng.choice(options)
            grade = "critical" if int(stated) > made.tire.index else "major"
            return made, expect("load-index-contradicted", "load_index", grade, {"digits-transposed"}, made.tire.index)


@fault("load", "dual load index wrong")
def dual_index_wrong(maker: Maker):
    made = paired(maker, "load_index_dual")
    step = maker.rng.choice((1, 2, -1, -2, 4))
    stated = made.tire.index_dual + step
    if stated == made.tire.index:
        return dual_index_wrong(maker)
    made.cells["load_index_dual"] = f"{stated}"
    return made, expect(
        "load-index-contradicted",
        "load_index_dual",
        "critical" if step > 0 else "major",
        (),
        made.tire.index_dual,
    )


@fault("load", "single and dual load index exchanged")
def indices_exchanged(maker: Maker):
    made = paired(maker, "load_index", "load_index_dual")
    tire = made.tire
    made.cells["load_index"], made.cells["load_index_dual"] = f"{tire.index_dual}", f"{tire.index}"
    cause = {"single-dual-swapped"}
    return made, (
        expect("load-index-contradicted", "load_index", "major", cause, tire.index),
        expect("load-index-contradicted", "load_index_dual", "critical", cause, tire.index_dual),
    )


UNREADABLE_LOADS = ("85O kg", "#VALUE!", "eight hundred kg", "8..50", "1.2.3", "see sidewall", "?? kg")


@fault("load", "load that cannot be read")
def load_unreadable(maker: Maker):
    made = base(maker, "max_load_kg", without=("max_load_dual_kg",))
    made.cells["max_load_kg"] = maker.rng.choice(UNREADABLE_LOADS)
    return made, expect("value-unreadable", "max_load_kg", "major")


def _drop_texts(made: Listing) -> None:
    """Take away texts that repeat the right figures, where those would outvote nothing but confuse the
    count.
    """
    made.cells.pop("description", None)
