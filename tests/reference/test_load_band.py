"""The band of loads of a size, against known pairs of size and load index; the source stands beside each pair."""

from __future__ import annotations

import csv
from collections import Counter
from pathlib import Path

import pytest

import auditor
from auditor.marking import Marking
from auditor.trade.facts import fact_in, fact_row
from auditor.trade.tables import default_tables

with (Path(__file__).parent / "size_index_pairs.csv").open(encoding="utf-8", newline="") as file:
    PAIRS = list(csv.DictReader(file))

BANDED = frozenset(default_tables().load_bands)
SYMBOL = {"agricultural": "A8", "truck-metric": "L", "truck-numeric": "L", "special-trailer": "M"}
TYPO = 8  # load indices; what is farther off has to be caught


def band_of(pair: dict[str, str], *, strength: bool = True) -> tuple[float, float]:
    letters = " ".join(filter(None, (pair["load_version"], pair["load_range"]))) if strength else ""
    version = pair["load_version"] if strength and pair["load_version"] != "SL" else ""
    size = pair["size"].removeprefix("HL") if version == "HL" else pair["size"]
    described = f"{pair['load_index']}{SYMBOL.get(pair['family'], 'T')}"
    text = f"{'HL' if version == 'HL' else ''}{size} {described} {letters.replace('HL', '').replace('SL', '')}"
    marking = auditor.decode(text.strip())
    assert isinstance(marking, Marking), (text, marking)
    row = fact_row(marking, default_tables())
    return fact_in(row, "load_band_min_kg"), fact_in(row, "load_band_max_kg")


@pytest.mark.parametrize("strength", [True, False])
def test_no_known_pair_falls_out_of_its_band(strength: bool) -> None:
    seen: Counter[str] = Counter()
    out = []
    for pair in PAIRS:
        low, high = band_of(pair, strength=strength)
        if low == low:
            seen[pair["family"]] += 1
            if not low <= default_tables().load_kg[int(pair["load_index"])] <= high:
                out.append((pair["size"], pair["load_index"], pair["load_version"], pair["load_range"], low, high))
    assert not out
    assert sum(seen.values()) > 800 and set(seen) >= BANDED - {"off-road"}


@pytest.mark.parametrize(
    ("family", "share"), [("metric", 0.99), ("p-metric", 0.99), ("lt-metric", 0.9), ("commercial", 0.6)]
)
def test_a_typo_of_eight_indices_is_outside(family: str, share: float) -> None:
    """With its strength marked; commercial tires are more often told by their dual index."""
    caught = total = 0
    for pair in PAIRS:
        if pair["family"] != family:
            continue
        low, high = band_of(pair)
        if low != low:
            continue
        for index in (int(pair["load_index"]) - TYPO, int(pair["load_index"]) + TYPO):
            total += 1
            caught += not low <= default_tables().load_kg[index] <= high
    assert caught >= share * total, (caught, total)
