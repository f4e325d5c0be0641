"""What is left of a load or speed cell that cannot be read as a value: its figures, each in its unit."""

from __future__ import annotations

import pytest

from auditor.quantities.figures_left import LOADS, SPEEDS, figures_left


@pytest.mark.parametrize(
    ("text", "field", "figures"),
    [
        ("462,5 kg (gerundet 462)", "max_load_kg", [(LOADS, 462.5), (LOADS, 462.0)]),
        ("six cent quinze kilos (615 kg)", "max_load_kg", [(LOADS, 615.0)]),
        ("5,450 (50 km/h)", "max_load_kg", [(LOADS, 5450.0), (SPEEDS, 50.0)]),
        ("40 / 50", "max_speed_kmh", [(SPEEDS, 40.0), (SPEEDS, 50.0)]),
        ("515 kg na oponę (komplet 2 060 kg)", "max_load_kg", [(LOADS, 515.0), (LOADS, 2060.0)]),
        ("2180.0|2060.0", "max_load_kg", [(LOADS, 2180.0), (LOADS, 2060.0)]),
        ("1230 kg per axle", "max_load_kg", []),  # the only figure is that of several tires
        ("615 kg @ 250 kPa", "max_load_kg", []),  # of something else
        ("heavy duty", "max_load_kg", []),
        ("XL615", "max_load_kg", []),
        ("1 2 3 4 5", "max_load_kg", []),
        ("615 kg", "tread_depth_mm", []),
    ],
)
def test_figures_left(text: str, field: str, figures: list[tuple[str, float]]) -> None:
    assert figures_left(text, field, None, None) == figures


def test_the_unit_of_the_column_is_that_of_bare_figures() -> None:
    ((name, value),) = figures_left("circa viel 1356", "max_load_kg", "lb", None)
    assert name == LOADS
    assert value == pytest.approx(615.07, abs=0.01)
