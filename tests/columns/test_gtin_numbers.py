"""GTINs as numbers."""

from __future__ import annotations

import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as some
from stdnum import ean

from auditor.columns.gtins import gtin_numbers


def numbers(*texts: str) -> list[int]:
    return gtin_numbers(pa.array(texts, pa.string())).tolist()


@given(some.lists(some.text("0123456789 -x", max_size=16), max_size=6))
def test_agrees_with_the_reference_library(texts):
    expected = []
    for text in texts:
        digits = text.strip().replace(" ", "").replace("-", "")
        fits = digits.isdecimal() and len(digits) <= 14 and int(digits) >= 100_000
        whole = digits.zfill(14)
        # python-stdnum calculates the check digit by the GS1 General Specifications
        expected.append(int(whole) if fits and ean.calc_check_digit(whole[:-1]) == whole[-1] else 0)
    assert numbers(*texts) == expected


@given(some.lists(some.integers(0, 10**13 - 1), min_size=1, max_size=20))
def test_every_number_with_its_check_digit_is_read(bodies):
    wholes = [f"{body:013d}" + ean.calc_check_digit(f"{body:013d}") for body in bodies]
    expected = [int(whole) if int(whole) >= 100_000 else 0 for whole in wholes]
    assert numbers(*wholes) == expected
    assert numbers(*(whole.lstrip("0") for whole in wholes)) == expected


# Worked example of the GS1 General Specifications (check digit of 629104150021 is 3), from memory.
@pytest.mark.parametrize("text", ["6291041500213", "06291041500213", " 6291041500213 ", "6291-0415-00213"])
def test_spellings_of_one_item(text):
    assert numbers(text) == [6291041500213]


@pytest.mark.parametrize(
    "text", ["", "N/A", "0", "00000000000000", "6291041500214", "629104150021300", "6291O41500213"]
)
def test_what_is_no_gtin_takes_no_part(text):
    assert numbers(text, "6291041500213", text) == [0, 6291041500213, 0]


def test_parts_of_a_longer_column():
    column = pa.array(["x", "6291041500213", "", "20001001"])
    assert gtin_numbers(column.slice(1)).tolist() == [6291041500213, 0, 20001001]
    assert gtin_numbers(column.slice(2, 1)).tolist() == [0]
    assert gtin_numbers(column.slice(0, 0)).tolist() == []
