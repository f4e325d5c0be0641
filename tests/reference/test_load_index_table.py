"""The load index table against published values, each with its source, and against its own structure."""

from __future__ import annotations

from itertools import pairwise

import pytest

from auditor.trade.tables import default_tables

TABLES = default_tables()

# Index -> index 80 higher whose tenth is no whole kg: the lower one is cut, not rounded.
CUT_HALVES = {35: 115, 37: 117, 61: 141, 63: 143, 67: 147, 75: 155, 77: 157, 79: 159, 81: 161, 83: 163}

PUBLISHED = [
    ("Directive 92/23/EEC, quoted type approval examples", {89: 580, 145: 2900, 149: 3250}),
    ("an agricultural tractor's operator manual, tire table", {142: 2650, 165: 5150, 168: 5600}),
    (
        "an off-road tire maker's data sheet, load index table",
        {
            175: 6900, 182: 8500, 193: 11500, 201: 14500, 204: 16000, 206: 17000, 209: 18500,
            214: 21200, 216: 22400, 218: 23600, 223: 27250,
        },
    ),
    ("from memory of UN Regulations No. 30 and 54, Annex 4", {0: 45, 1: 46.2, 279: 136000}),
    ("a tire maker's data sheet: HL, XL and SL versions of 245/40R19", {101: 825, 98: 750, 94: 670}),
    ("common practice, no source", {119: 1360, 100: 800, 91: 615, 102: 850, 121: 1450, 118: 1320, 109: 1030}),
]  # fmt: skip

# Values that public charts print wrongly; each is one step or one digit off.
MISPRINTS = {53: 205, 62: 165, 75: 385, 148: 3159, 169: 5850, 36: 124, 37: 127, 38: 131, 39: 135, 1: 46.5}


@pytest.mark.parametrize(("source", "values"), PUBLISHED, ids=[source for source, _ in PUBLISHED])
def test_published_values(source: str, values: dict[int, float]) -> None:
    assert {index: TABLES.load_kg[index] for index in values} == values


def test_has_280_strictly_rising_values() -> None:
    assert len(TABLES.load_kg) == 280
    assert all(below < above for below, above in pairwise(TABLES.load_kg))


def test_ten_times_every_80_indices_but_for_the_listed_cut_halves() -> None:
    off = {i: i + 80 for i in range(28, 200) if TABLES.load_kg[i + 80] != 10 * TABLES.load_kg[i]}
    assert off == CUT_HALVES
    assert all(TABLES.load_kg[above] - 10 * TABLES.load_kg[below] == 5 for below, above in CUT_HALVES.items())


def test_below_100_kg_is_the_value_80_higher_cut_to_one_decimal() -> None:
    for index in range(28):
        assert 0 <= TABLES.load_kg[index + 80] / 10 - TABLES.load_kg[index] < 0.1, index


def test_steps_stay_near_the_preferred_number_series() -> None:
    # Eighty steps per decade: each is 10 ** (1 / 80), 2.9 %, but for the rounding of the values themselves.
    for below, above in pairwise(TABLES.load_kg):
        assert 1.017 < above / below < 1.045, (below, above)


@pytest.mark.parametrize(("index", "wrong_kg"), MISPRINTS.items())
def test_misprints_of_public_charts_are_not_in_the_table(index: int, wrong_kg: float) -> None:
    assert TABLES.load_kg[index] != wrong_kg


def test_outside_the_table_there_is_no_load() -> None:
    assert (TABLES.load_of(0), TABLES.load_of(279)) == (45, 136000)
    assert TABLES.load_of(280) is None
    assert TABLES.load_of(-1) is None
