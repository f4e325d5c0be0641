"""Load ranges that only a stroke parts from the plies, and by the short of their Spanish name."""

from __future__ import annotations

import pytest

from auditor.marking import Marking, decode


@pytest.mark.parametrize(
    ("text", "letter", "plies"),
    [
        ("ST205/75R15 D/8PR", "D", 8),
        ("20.5x8.0-10 E/10PLY", "E", 10),
        ("11R22.5 H/16PR 148/145M", "H", 16),
        ("33x12.50R15LT 108Q 6PR RANGO C", "C", 6),
        ("LT245/75R16 120/116S rango: E", "E", None),
        ("195R14C 8PR rango de velocidad S", None, 8),
        ("LT245/75R16 A/T 10PR", None, 10),
    ],
)
def test_a_load_range_and_plies(text: str, letter: str | None, plies: int | None) -> None:
    found = decode(text)
    assert isinstance(found, Marking)
    assert (found.load_range, found.ply_rating) == (letter, plies)
