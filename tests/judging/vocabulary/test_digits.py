"""The digit slips are found alike for one value and for a column of them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.judging.vocabulary import arrays, scalars

_NUMBERS = st.one_of(
    st.integers(0, 2_000_000).map(float), st.sampled_from([float("nan"), 0.0, 9.0, 10.0, 17.5, 22.5, 999_999.0])
)


@pytest.mark.parametrize(
    ("stated", "expected"),
    [(1630.0, 1360.0), (3160.0, 1360.0), (56.0, 65.0), (1306.0, 1360.0), (102030.0, 201030.0)],
)
def test_two_digits_that_changed_places(stated: float, expected: float) -> None:
    assert scalars.digits_swapped(stated, expected)
    assert not scalars.digits_swapped(expected, expected)


@pytest.mark.parametrize(("short", "full"), [(136.0, 1360.0), (160.0, 1360.0), (360.0, 1360.0), (6.0, 65.0)])
def test_a_digit_that_was_left_out(short: float, full: float) -> None:
    assert scalars.digit_left_out(short, full)
    assert not scalars.digit_left_out(full, short)


@given(st.lists(st.tuples(_NUMBERS, _NUMBERS), min_size=1, max_size=40))
def test_columns_are_judged_like_single_values(pairs: list[tuple[float, float]]) -> None:
    for one, many in (
        (scalars.digits_swapped, arrays.digits_swapped),
        (scalars.digit_left_out, arrays.digit_left_out),
    ):
        columns = np.array(pairs).T
        assert many(*columns).tolist() == [one(*pair) for pair in pairs]


@given(st.integers(10, 999_999), st.integers(0, 5), st.integers(0, 5))
def test_every_swap_is_found_in_both(number: int, low: int, high: int) -> None:
    digits = list(str(number))
    low, high = low % len(digits), high % len(digits)
    digits[low], digits[high] = digits[high], digits[low]
    swapped = float("".join(digits))
    wanted = swapped != number and digits[0] != "0"
    assert scalars.digits_swapped(swapped, float(number)) == wanted
    assert arrays.digits_swapped(np.array([swapped]), np.array([float(number)]))[0] == wanted


@given(st.integers(1_000_000, 99_999_999), st.integers(0, 7))
def test_only_the_last_six_digits_are_looked_at(number: int, place: int) -> None:
    text = str(number)
    places = range(len(text))
    place %= len(text)
    without = [int(text[: len(text) - 1 - at] + text[len(text) - at :]) for at in places]
    wanted = without[place] in without[:6]
    assert scalars.digit_left_out(float(without[place]), float(number)) == wanted
    assert arrays.digit_left_out(np.array([float(without[place])]), np.array([float(number)]))[0] == wanted
    for other in places:
        digits = list(reversed(text))
        digits[place], digits[other] = digits[other], digits[place]
        swapped = float("".join(reversed(digits)))
        wanted = swapped != number and digits[-1] != "0" and max(place, other) < 6
        assert scalars.digits_swapped(swapped, float(number)) == wanted
        assert arrays.digits_swapped(np.array([swapped]), np.array([float(number)]))[0] == wanted


@given(st.lists(st.tuples(_NUMBERS, _NUMBERS, _NUMBERS), min_size=1, max_size=40))
def test_several_ways_of_writing_are_tried_alike(rows: list[tuple[float, float, float]]) -> None:
    stated, first, second = np.array(rows).T
    for name in ("digits_swapped", "digit_left_out"):
        one, many = getattr(scalars, name), getattr(arrays, name)
        wanted = [scalars.any_way(one, s, (a, b)) for s, a, b in rows]
        assert arrays.any_way(many, stated, (first, second)).tolist() == wanted
        wanted = [scalars.any_way(lambda s, e, one=one: one(e, s), s, (a, b)) for s, a, b in rows]  # type: ignore[misc]
        assert arrays.any_way(lambda s, e, many=many: many(e, s), stated, (first, second)).tolist() == wanted  # type: ignore[misc]
