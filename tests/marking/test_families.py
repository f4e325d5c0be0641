"""Every family file keeps to the one shape, and its own examples decode to it."""

from __future__ import annotations

import pytest

from auditor.marking import FAMILIES, Marking, decode
from auditor.marking.families import FamilyFile, family_file

FILES = [(name, family_file(name)) for name in FAMILIES]


def test_every_family_has_a_rank_of_its_own() -> None:
    assert len({file.RANK for _, file in FILES}) == len(FILES)


@pytest.mark.parametrize(("name", "file"), FILES)
def test_family_states_its_standard_and_decodes_its_examples(name: str, file: FamilyFile) -> None:
    assert any(word in file.STANDARD for word in ("Regulation", "CFR", "ISO", "memory", "common practice"))
    assert len(file.EXAMPLES) >= 3
    for text in file.EXAMPLES:
        marking = decode(text)
        assert isinstance(marking, Marking), text
        assert (marking.family, str(marking), marking.nonstandard) == (name, text, False)
