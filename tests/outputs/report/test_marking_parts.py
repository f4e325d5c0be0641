"""The parts that the report draws."""

from __future__ import annotations

import pytest

from auditor.outputs.report.marking_parts import parts_of
from tests.outputs.invented import TIRES


@pytest.mark.parametrize("marking", [tire[0] for tire in TIRES])
def test_parts_together_are_the_marking(marking: str) -> None:
    parts = parts_of(marking)
    assert "".join(text for text, _, _ in parts) == marking
    assert all(bool(name) == bool(meaning) for _, name, meaning in parts)


def test_each_part_has_its_name_and_meaning() -> None:
    named = {name: (text, meaning) for text, name, meaning in parts_of("LT265/70R17 121/118S E") if name}
    assert named["rim diameter"][0] == "17"
    assert named["load index"][0] == "121"
    assert "1,450 kg" in named["load index"][1]
    assert named["dual load index"][0] == "118"
    assert named["speed symbol"][0] == "S"
    assert named["load range"][0] == "E"


def test_what_is_no_marking_has_no_parts() -> None:
    assert parts_of("garbage") == []
