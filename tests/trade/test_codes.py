"""Codes of every field, there and back as numbers, and none beyond the ends of their tables."""

from __future__ import annotations

import pytest

from auditor.trade.codes import UNKNOWN_CODE, code_number, code_text
from auditor.trade.tables import default_tables

TABLES = default_tables()
CODES = {
    "speed_symbol": tuple(TABLES.speed_kmh),
    "load_range": tuple(TABLES.load_range_ply),
    "load_version": ("LL", "SL", "XL", "HL"),
    "season": ("summer", "all-season", "winter"),
    "tire_class": ("C1", "C2", "C3"),
    "noise_class": tuple("ABCDEFG"),
    "traction": ("C", "B", "A", "AA"),
    "severe_snow": ("no", "yes"),
    "construction": ("R", "B", "D"),
}


@pytest.mark.parametrize("field", CODES)
def test_each_code_is_itself_again_and_higher_than_the_one_before(field: str) -> None:
    numbers = [code_number(field, code, TABLES) for code in CODES[field]]
    assert [code_text(field, number, TABLES) for number in numbers] == list(CODES[field])
    assert numbers == sorted(set(numbers))


@pytest.mark.parametrize("field", CODES)
def test_there_is_no_code_beyond_the_ends(field: str) -> None:
    assert code_number(field, "?", TABLES) == UNKNOWN_CODE
    highest = max(code_number(field, code, TABLES) for code in CODES[field])
    for number in (UNKNOWN_CODE, float("nan"), highest + 1.0, highest + 50.0):
        assert code_text(field, number, TABLES) == "", number
