"""Known light-truck and commercial tires whose letters were left out are told as that, and never held for it."""

from __future__ import annotations

import csv
from pathlib import Path

import auditor

PAIRS = Path(__file__).parents[1] / "reference" / "size_index_pairs.csv"
PLIES = {"C": "6", "D": "8", "E": "10", "F": "12", "G": "14"}


def known(family: str) -> list[dict[str, str]]:
    with PAIRS.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["family"] == family and row["load_index_dual"]]


def rules_on(row: dict[str, str], more: dict[str, str]) -> list[tuple[str, str]]:
    size = row["size"].removeprefix("LT").removesuffix("LT").removesuffix("C")
    text = f"{size} {row['load_index']}/{row['load_index_dual']}R"
    return [(one.rule, one.grade) for one in auditor.audit_listing({"marking": text, **more}).findings]


def strength(row: dict[str, str]) -> dict[str, str]:
    letter = row["load_range"]
    return {"load_range": letter, "ply_rating": PLIES[letter]} if letter in PLIES else {}


def test_every_known_light_truck_tire() -> None:
    rows = [row for row in known("lt-metric") if "/" in row["size"] and ".5LT" not in row["size"]]  # no truck's rims
    faults = {(row["size"], row["load_index"], row["load_range"]): found for row in rows if (found := odd(row))}
    assert len(rows) > 60
    assert not faults


def test_every_known_commercial_tire() -> None:
    rows = [row for row in known("commercial") if row["size"][:3].isdigit()]  # 7.00R16 needs no C
    faults = {(row["size"], row["load_index"], row["load_range"]): found for row in rows if (found := odd(row))}
    assert len(rows) > 45
    assert not faults


def odd(row: dict[str, str]) -> list[tuple[str, str]]:
    found = rules_on(row, strength(row))
    return [] if found == [("prefix-missing", "minor")] else found or [("nothing", "")]
