"""Feeds in which one whole column is wrong: swapped, shifted or mislabeled."""

from __future__ import annotations

from dataclasses import dataclass

from tests.catalog.faults_load import ONE_SERVICE
from tests.catalog.tables import to_lb, to_mph
from tests.catalog.valid import Listing, Maker

ROAD = tuple(
    v for v in ONE_SERVICE if v not in ("agricultural", "off-road", "industrial", "motorcycle-open", "metric-open")
)


@dataclass(frozen=True, slots=True)
class ColumnCase:
    """A feed and the columns that must come out as suspect, with the cause."""

    kind: str
    listings: tuple[Listing, ...]
    fields: frozenset[str]
    causes: frozenset[str]


def _feed(maker: Maker, count: int, *want: str) -> list[Listing]:
    forms = ("marking", "split", "indices")
    return [
        maker.listing(variants=ROAD, want=want, exact=True, without=("description",), form=forms[occurrence % 3])
        for occurrence in range(count)
    ]


def column_feeds(maker: Maker, count: int = 120) -> tuple[ColumnCase, ...]:
    """One feed per kind of wrong column."""
    kg_lb = _feed(maker, count, "max_load_kg", "max_load_lb")
    for made in kg_lb:
        made.cells["max_load_kg"] = f"{to_lb(made.tire.single_kg)}"
        made.cells["max_load_lb"] = f"{made.tire.single_kg:.0f}"
    speeds = _feed(maker, count, "max_speed_kmh")
    for made in speeds:
        made.cells["max_speed_kmh"] = f"{to_mph(made.tire.kmh)}"
        made.cells.pop("max_speed_mph", None)
    index = _feed(maker, count, "max_load_kg")
    for made in index:
        made.cells["max_load_kg"] = f"{made.tire.index}"
    return (
        ColumnCase(
            "kg and lb columns exchanged",
            tuple(kg_lb),
            frozenset({"max_load_kg", "max_load_lb"}),
            frozenset({"unit-swapped"}),
        ),
        ColumnCase("km/h column holds mph", tuple(speeds), frozenset({"max_speed_kmh"}), frozenset({"unit-swapped"})),
        ColumnCase(
            "load column holds load indices",
            tuple(index),
            frozenset({"max_load_kg"}),
            frozenset({"index-not-load"}),
        ),
    )
