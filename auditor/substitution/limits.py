"""The numbers of the points, from the rule book: how much the diameter may differ, what kinds may stand in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from auditor.rulebook.book import RuleBook
from auditor.substitution.kinds import KIND_NUMBER, KINDS
from auditor.trade.tables import Tables

HOLDS, CANNOT_TELL, FAILS = 0.0, 1.0, 2.0
OUTCOMES = ("holds", "cannot tell", "fails")


@dataclass(frozen=True, slots=True)
class PointSpec:
    """What the rule book says of one point."""

    name: str
    rule: str
    asks: str
    source: str


@dataclass(frozen=True, slots=True)
class Limits:
    """All numbers that a comparison goes by."""

    points: Mapping[str, PointSpec]
    kind_outcomes: tuple[float, ...]  # by old kind, then new kind
    kind_whys: Mapping[tuple[float, float], str]
    diameter_share: float
    passenger_divisor: float
    passenger_in_place_of: tuple[float, ...]
    band_room: float
    passenger_plies: float
    winter_slowest_kmh: float
    winter: float  # what a slower winter tire is: HOLDS, FAILS, or CANNOT_TELL where the markets differ


def limits_of(points: Sequence[Mapping[str, Any]], market: str, tables: Tables) -> Limits:
    """The limits of a rule book's points for a market: US, EU or all."""
    by_name = {point["name"]: point for point in points}

    def limit(point: str, name: str) -> Any:
        return by_name[point]["limits"][name]

    outcomes, whys = _kinds(by_name["kind"]["kinds"])
    markets = limit("speed", "winter_markets")
    return Limits(
        points={
            name: PointSpec(name, point.get("rule", ""), point["asks"], point["source"])
            for name, point in by_name.items()
        },
        kind_outcomes=outcomes,
        kind_whys=whys,
        diameter_share=limit("diameter", "percent") / 100.0,
        passenger_divisor=limit("load", "passenger_divisor"),
        passenger_in_place_of=tuple(KIND_NUMBER[kind] for kind in limit("load", "passenger_in_place_of")),
        band_room=limit("load", "band_room"),
        passenger_plies=float(limit("load-range", "passenger_plies")),
        winter_slowest_kmh=tables.speed_kmh[limit("speed", "winter_slowest")],
        winter=HOLDS if market in markets else CANNOT_TELL if market == "all" else FAILS,
    )


def limits_for(book: RuleBook) -> Limits:
    """The limits of a rule book, for its market; worked out once for each book."""
    return _kept_limits(_Key(book))


class _Key:
    """A book by its identity, so that its limits are worked out once."""

    __slots__ = ("book",)

    def __init__(self, book: RuleBook) -> None:
        self.book = book

    def __hash__(self) -> int:
        return id(self.book)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self.book is other.book


@lru_cache(maxsize=8)
def _kept_limits(key: _Key) -> Limits:
    return limits_of(key.book.substitute_points, key.book.market, key.book.tables)


def _kinds(lines: Sequence[Mapping[str, Any]]) -> tuple[tuple[float, ...], dict[tuple[float, float], str]]:
    outcomes = [HOLDS if old == new else FAILS for old in KINDS for new in KINDS]
    whys: dict[tuple[float, float], str] = {}
    for line in lines:
        for old in line["old"]:
            for new in line["new"]:
                place = KIND_NUMBER[old], KIND_NUMBER[new]
                if old == new or place in whys:
                    continue
                outcomes[int(place[0]) * len(KINDS) + int(place[1])] = float(OUTCOMES.index(line["outcome"]))
                whys[place] = line["why"]
    return tuple(outcomes), whys
