"""Derived values as cells and as messages write them."""

from __future__ import annotations

import pytest

from auditor.trade.value_text import with_unit


@pytest.mark.parametrize(
    ("field", "text", "wanted"),
    [
        ("max_load_kg", "850", "850 kg"),
        ("max_load_kg", "1360", "1,360 kg"),
        ("max_load_lb", "14330", "14,330 lb"),
        ("max_load_kg", "46.2", "46.2 kg"),
        ("overall_diameter_mm", "1074", "1074 mm"),
        ("max_load_kg", "", "nothing that could be told"),
    ],
)
def test_loads_from_1000_have_a_mark_between_thousands(field: str, text: str, wanted: str) -> None:
    assert with_unit(field, text) == wanted


def test_what_has_no_upper_end_says_so() -> None:
    assert with_unit("max_speed_kmh", "300", open_ended=True) == "above 300 km/h"
