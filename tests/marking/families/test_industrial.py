"""Which inch sizes belong to fork lifts and plant: by diameter, width and rim together."""

from __future__ import annotations

import pytest

from auditor.marking import Marking, decode


@pytest.mark.parametrize(
    ("size", "industrial"),
    [
        ("15x4.5-8", True),  # 15x4 1/2-8 of fork lifts
        ("16x4.5-8", False),
        ("15x5.5-8", False),
        ("15x4.5-9", False),
        ("15x4.5R8", False),
        ("18x7-8", True),
        ("28x9-15", True),
        ("27x9-15", False),
    ],
)
def test_industrial_by_diameter_width_and_rim(size: str, industrial: bool) -> None:
    found = decode(size)
    assert (isinstance(found, Marking) and found.family == "industrial") is industrial
