"""Which cells of a generated feed are wrong, and what is put into them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from tests.benchmarks.markings import INDEX_KG, KINDS, Floats, Ints, MarkingTable
from tests.benchmarks.tables import FIELDS, LB_PER_KG, MPH_PER_KMH, SPEED_KMH

Mask = npt.NDArray[np.bool_]

# Cells that may be planted as wrong: the seven of the core question, and five for the whole audit only.
WRONG_FIELDS = (*FIELDS, "load_index", "speed_symbol", "ply_rating", "overall_diameter_in", "gtin")
_NUMBERS = {field: number for number, field in enumerate(WRONG_FIELDS)}

ANSWER = pa.schema([("row", pa.int64()), ("field", pa.string()), ("stated", pa.string()), ("expected", pa.float64())])
SPEEDS_KMH = np.array(list(SPEED_KMH.values()))


@dataclass(frozen=True, slots=True)
class Planted:
    """The wrong cells of one chunk: for each field the records it is wrong in, and how far off it is."""

    wrong: Mapping[str, Mask]
    steps: Ints  # per record: signed number of table rows that a wrong value lies away, 2 to 9 either way
    swapped: Mask  # per record: a wrong kg cell holds the pounds instead, and a wrong lb cell the kilograms

    def answer(self, table: MarkingTable, row: Ints, marking: Ints, listings: Mapping[str, pa.Array]) -> pa.Table:
        """The findings of the core question, sorted by row, then field order."""
        parts = []
        for field in FIELDS:
            if field not in listings:
                continue
            at = np.flatnonzero(self.wrong[field])
            stated = listings[field].take(pa.array(at))
            name = pa.repeat(pa.scalar(field), len(at))
            columns = [pa.array(row[at]), name, stated, pa.array(expected(table, field)[marking[at]])]
            parts.append(pa.table(columns, schema=ANSWER))
        joined = pa.concat_tables(parts)
        order = np.argsort(joined["row"].to_numpy(), kind="stable")
        return joined.take(pa.array(order))


def expected(table: MarkingTable, field: str) -> Floats:
    """What each marking says about a field of the core question, `nan` where it says nothing."""
    kg, kmh = INDEX_KG[table.load].astype(float), SPEEDS_KMH[table.symbol].astype(float)
    values: dict[str, Floats] = {
        "max_load_kg": kg,
        "max_load_lb": kg * LB_PER_KG,
        "max_speed_kmh": kmh,
        "max_speed_mph": kmh * MPH_PER_KMH,
        "section_width_mm": table.width_mm,
        "aspect_ratio": table.aspect,
        "rim_diameter_in": table.rim_in.astype(float),
    }
    return values[field]


def plant(table: MarkingTable, marking: Ints, share: float, cells: int, rng: np.random.Generator) -> Planted:
    """Chooses a `share` (0 to 1) of the records and `cells` different fields to get wrong in each of them."""
    count = len(marking)
    chosen = rng.random(count) < share
    first = rng.integers(0, len(WRONG_FIELDS), count)
    wrong = {field: np.zeros(count, dtype=bool) for field in WRONG_FIELDS}
    # What a kind of tire does not state cannot be wrong on it: another field takes the turn.
    without_aspect = np.isnan(table.aspect[marking])
    without_plies = np.array([kind.ply_rating == 0 for kind in KINDS])[table.kind[marking]]
    for occurrence in range(cells):
        field = (first + 5 * occurrence) % len(WRONG_FIELDS)  # 5 and 12 share no factor: no field comes twice
        for none, absent, instead in (
            (without_aspect, "aspect_ratio", "rim_diameter_in"),
            (without_plies, "ply_rating", "load_index"),
        ):
            field = np.where(none & (field == _NUMBERS[absent]), _NUMBERS[instead], field)
        for number, name in enumerate(WRONG_FIELDS):
            wrong[name] |= chosen & (field == number)
    steps = rng.integers(2, 10, count) * rng.choice([-1, 1], count)
    return Planted(wrong, steps, rng.random(count) < 0.25)


def with_habit(planted: Planted) -> Planted:
    """The same with one supplier's habit in it: all speeds in mph are wrong, each by two speed symbols."""
    wrong = {**planted.wrong, "max_speed_mph": np.ones(len(planted.steps), dtype=bool)}
    return replace(planted, wrong=wrong, steps=np.full(len(planted.steps), 2))


def shifted(codes: Ints, wrong: Mask, steps: Ints, size: int) -> Ints:
    """Codes into a table of `size` rows, those of wrong records moved by their steps and kept inside it."""
    moved = codes + steps
    moved = np.where((moved < 0) | (moved >= size), codes - steps, moved)
    return np.where(wrong, np.clip(moved, 0, size - 1), codes)
