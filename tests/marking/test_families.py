"""Every family file keeps to the one shape, and its own examples decode to it."""

from __future__ import annotations

from pathlib import Path

import pytest

import auditor.marking
from auditor.marking import FAMILIES, Marking, decode
from auditor.marking.families import LOADED, Family

CLOSED_LIST = {
    "metric", "p-metric", "lt-metric", "flotation", "commercial", "special-trailer", "temporary-spare", "truck-metric",
    "truck-numeric", "numeric", "motorcycle", "agricultural", "off-road", "industrial", "metric-rim",
}  # fmt: skip


def test_the_list_of_families_is_closed() -> None:
    assert set(FAMILIES) == CLOSED_LIST and len(FAMILIES) == len(CLOSED_LIST)


def test_every_family_has_its_file_and_rank() -> None:
    folder = Path(auditor.marking.__file__).parent / "families"
    files = {file.stem.replace("_", "-") for file in folder.glob("*.py")} - {"--init--"}
    assert files == CLOSED_LIST
    assert len({family.RANK for family in LOADED}) == len(LOADED)
    assert [family.RANK for family in LOADED] == sorted(family.RANK for family in LOADED)


@pytest.mark.parametrize("family", LOADED, ids=lambda family: family.NAME)
def test_family_states_its_standard_and_decodes_its_examples(family: Family) -> None:
    assert any(word in family.STANDARD for word in ("Regulation", "CFR", "ISO", "memory", "common practice"))
    assert len(family.EXAMPLES) >= 3
    for text in family.EXAMPLES:
        marking = decode(text)
        assert isinstance(marking, Marking), text
        assert (marking.family, str(marking), marking.nonstandard) == (family.NAME, text, False)


def test_an_unknown_name_is_no_attribute() -> None:
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        auditor.marking.nothing  # noqa: B018
