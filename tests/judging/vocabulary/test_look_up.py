"""A table is looked up alike for one number and for a column of them, its first and last place included."""

from __future__ import annotations

import math

import numpy as np
import pytest

from auditor.judging.vocabulary import arrays, scalars

_TABLE = (45.0, 46.2, 47.5)


@pytest.mark.parametrize(
    ("index", "found"),
    [
        (0.0, 45.0),
        (2.0, 47.5),
        (-1.0, math.nan),
        (3.0, math.nan),
        (0.5, math.nan),
        (math.nan, math.nan),
    ],
)
def test_a_place_of_the_table_and_those_just_outside(index: float, found: float) -> None:
    assert scalars.look_up(_TABLE, index) == pytest.approx(found, nan_ok=True)
    assert arrays.look_up(_TABLE, np.array([index]))[0] == pytest.approx(found, nan_ok=True)
