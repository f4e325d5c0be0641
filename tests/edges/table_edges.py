"""The edges of every row of the rule book's tables, made from the tables themselves.

What the values should be is held by `tests/reference`, against published sources; here a row is followed to the listing
that it decides.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable

import auditor
from tests.edges.edge import Edge, around, number
from tests.edges.policy_edges import highest_mph, lowest_kmh
from tests.edges.rule_book import RULES_FOLDER, TOLERANCE, limits

Row = dict[str, str]
_NOT_PERMITTED = "pressure-not-permitted"
KPA_PER_PSI = 6.894757293168361


def rows(name: str) -> list[Row]:
    """The rows of one table."""
    with (RULES_FOLDER / "tables" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _load_index(row: Row) -> list[Edge]:
    kg = float(row["load_kg"])
    if row["load_index"] == "0":
        return []  # a field that says 0 is a blank one
    listing = {"size": "225/65R17", "load_index": row["load_index"], "speed_symbol": "H"}
    slack, step = (
        max(TOLERANCE["load_off_table"]["percent"] / 100.0 * kg, TOLERANCE["load"]["kg"]),
        max(kg * 1e-5, 0.01),
    )
    return [
        around("load_index", listing, kg + slack, "load-overstated", "max_load_kg", step=step),
        around("load_index", listing, kg - slack, "load-understated", "max_load_kg", step=step, below=True),
    ]


def _speed_symbol(row: Row) -> list[Edge]:
    kmh, symbol, over, under = float(row["speed_kmh"]), row["speed_symbol"], "speed-overstated", "speed-understated"
    if row["open_ended"] == "yes":
        service = "" if symbol == "ZR" else f" (98{symbol[1:-1]})"
        listing = {"marking": f"245/40ZR19{service}"}
        return [around("speed_symbol", listing, lowest_kmh(kmh), under, "max_speed_kmh", step=0.01, below=True)]
    listing = {"size": "225/65R17", "load_index": "102", "speed_symbol": symbol}
    printed = {"marking": "225/65R17 102H", "speed_symbol": f"{symbol} ({{x}})"}
    wrong = str(int(row["speed_mph"]) + 1)
    return [
        around("speed_symbol", listing, kmh + TOLERANCE["speed"]["kmh"], over, "max_speed_kmh", step=0.01),
        around("speed_symbol", listing, lowest_kmh(kmh), under, "max_speed_kmh", step=0.01, below=True),
        around("speed_symbol", listing, highest_mph(kmh), over, "max_speed_mph", step=0.01),
        Edge("speed_symbol", printed, row["speed_mph"], wrong, "value-unreadable", "speed_symbol"),
    ]


def _rim_diameter(row: Row) -> list[Edge]:
    marking = f"225/65R{row['rim_code']} 102H"
    found = auditor.decode(marking)
    if isinstance(found, auditor.Unreadable) or found.family not in ("metric", "truck-metric"):
        return []
    rim_mm, twice, off, field = float(row["rim_diameter_mm"]), 292.0, "overall-diameter-off", "overall_diameter_mm"
    slack = TOLERANCE["diameter_rounding"]["mm"] + 0.05  # and half of the last stated digit
    largest, smallest = rim_mm + 1.04 * twice + slack, rim_mm + 0.97 * twice - slack
    inside, outside = number(int(largest * 10) / 10), number(int(largest * 10) / 10 + 0.1)
    lowest = number(int(smallest * 10) / 10)
    return [
        Edge("rim_diameter", {"marking": marking, field: "{x}"}, inside, outside, off, field),
        Edge("rim_diameter", {"marking": marking, field: "{x}"}, number(float(lowest) + 0.1), lowest, off, field),
    ]


def _load_range(row: Row) -> list[Edge]:
    listing = {"marking": f"LT265/70R17 121/118S LR{row['load_range']}", "ply_rating": "{x}"}
    ply = int(row["ply_rating"])
    return [Edge("load_range", listing, str(ply), str(ply + 2), "ply-rating-mismatch", "ply_rating")]


def _permitted_pressure(row: Row) -> list[Edge]:
    """The two ends of a pressure in its own unit, where no other listed one lies so near that they flow together."""
    marking = {"passenger": "225/65R17 102H", "spare": "T145/70R17 106M"}.get(row["use"])
    if marking is None:
        return []  # what light-truck tires are marked with only settles which of two units is odd
    unit, field, own = row["unit"].lower(), f"max_pressure_{row['unit'].lower()}", limits("pressure", _NOT_PERMITTED)
    spans = []
    for other in rows("permitted_pressure"):
        if other["use"] == row["use"]:
            of = other["unit"].lower()
            factor = 1.0 if of == unit else KPA_PER_PSI if of == "psi" else 1.0 / KPA_PER_PSI
            middle, slack = float(other["value"]) * factor, own[f"from_{of}"][unit]
            spans.append((middle - slack, middle + slack))
    edges, value, step = [], float(row["value"]), 0.01 if unit == "psi" else 0.1
    for sign in (1.0, -1.0):
        at = value + sign * own[f"from_{unit}"][unit]
        if not any(low <= at + sign * step <= high for low, high in spans):
            cells = {"marking": marking}
            edges.append(
                around("permitted_pressure", cells, at, _NOT_PERMITTED, field, step=step * 0.9, below=sign < 0.0)
            )
    return edges


def _noise_limit(row: Row) -> list[Edge]:
    if row["tire_class"] != "C1":
        return []  # which of traction and normal use a C2 or C3 tire has is not in a listing
    limit, extra = int(row["limit_db"]), int(row["snow_extra_db"])
    widths = {int(row["width_over_mm"]) + 10, int(row["width_up_to_mm"] or 325)} - {10}
    edges = []
    for width in sorted(widths):
        plain = {"marking": f"{width}/55R17 91H", "load_version": "SL", "severe_snow": "no", "noise_class": "B"}
        snow = {**plain, "severe_snow": "yes"}
        strong = {**plain, "marking": f"{width}/55R17 95H XL", "load_version": "XL"}
        for listing, most in ((plain, limit), (snow, limit + extra), (strong, limit + int(row["extra_load_extra_db"]))):
            cells = {**listing, "noise_db": "{x}"}
            edges.append(Edge("eu_noise_limit", cells, str(most), str(most + 1), "noise-class-mismatch", "noise_class"))
    return edges


BY_TABLE: dict[str, Callable[[Row], list[Edge]]] = {
    "load_index": _load_index,
    "speed_symbol": _speed_symbol,
    "rim_diameter": _rim_diameter,
    "load_range": _load_range,
    "permitted_pressure": _permitted_pressure,
    "eu_noise_limit": _noise_limit,
}
# Tables that no rule goes by: they are told of a marking, and held by `tests/trade` and `tests/reference`.
ONLY_TOLD = ("high_speed_load", "commercial_speed_load", "load_band")
# A table of words, without a number: `tests/substitution` and the samples hold what is read with them.
WORDS = ("replaces_words",)


def edges_of(tables: Iterable[str]) -> list[Edge]:
    """The edges of every row of some tables."""
    return [edge for name in tables for row in rows(name) for edge in BY_TABLE[name](row)]


EDGES: tuple[Edge, ...] = tuple(edges_of(BY_TABLE))
