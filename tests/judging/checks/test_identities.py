"""GTIN check digits against python-stdnum, the reference library for number formats."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean

from auditor.judging.checks.identities import gtin_is_faulty

digits = (
    st.sampled_from((8, 12, 13, 14))
    .flatmap(lambda length: st.text("0123456789", min_size=length, max_size=length))
    .filter(lambda text: text[2:-1].strip("0"))  # zeros alone are nobody's number
)


@given(digits)
def test_any_digits_are_judged_as_the_reference_library_does(text: str) -> None:
    assert gtin_is_faulty(text) == (not ean.is_valid(text))


@given(digits)
def test_the_right_last_digit_is_never_faulty_and_a_changed_one_always(text: str) -> None:
    right = text[:-1] + ean.calc_check_digit(text[:-1])
    assert not gtin_is_faulty(right)
    wrong = text[:-1] + str((int(right[-1]) + 1) % 10)
    assert gtin_is_faulty(wrong)


@given(digits)
def test_leading_zeros_that_a_spreadsheet_dropped_are_allowed_for(text: str) -> None:
    right = "00" + text[2:-1]
    right += ean.calc_check_digit(right)
    assert not gtin_is_faulty(right.lstrip("0") or "0")


@pytest.mark.parametrize("text", ["", "-", "N/A", "unknown", "2000 1002 2334 5", "2000100-223345"])
def test_blanks_and_grouping_are_no_fault(text: str) -> None:
    assert not gtin_is_faulty(text)


@pytest.mark.parametrize("text", ["20001002233450000", "200010022334X", "2000100223346", "٢٠٠٠١٠٠٢", "0" * 8, "0" * 13])
def test_what_cannot_be_a_gtin(text: str) -> None:
    assert gtin_is_faulty(text)
