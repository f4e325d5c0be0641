"""Units by field name: they agree with the units that cells are read in."""

from __future__ import annotations

import doctest

import pytest

from auditor.quantities.units import measures
from auditor.trade import units as field_units
from auditor.trade.units import factor_between, unit_of

SISTERS = [
    (field, other, measure.unit.factor / measures()[other].unit.factor)
    for field, measure in measures().items()
    for other in measure.sisters.values()
    if len(measure.sisters) > 1
]


def test_the_documented_examples_hold() -> None:
    ran = doctest.testmod(field_units)
    assert (ran.attempted, ran.failed) == (3, 0)


@pytest.mark.parametrize(("field", "other", "factor"), SISTERS)
def test_sister_fields_convert_as_their_cells_are_read(field: str, other: str, factor: float) -> None:
    assert factor_between(field, other) == pytest.approx(factor, rel=1e-12)


def test_counts_and_codes_have_no_unit() -> None:
    assert [unit_of(field) for field in ("load_index", "speed_symbol", "ply_rating", "aspect_ratio")] == [""] * 4
