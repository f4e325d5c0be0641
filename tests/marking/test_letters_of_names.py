"""Letters that end a name, before a size that takes none of them."""

from __future__ import annotations

import pytest

from auditor.marking import Marking, decode


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("Quattro ST 165/70 R14 81T", "165/70R14 81T"),
        ("Talvino Quattro ST 205/65 R16C 107/105T", "205/65R16C 107/105T"),
        ("Haulmoor ST 205/75 R15 107/102M", "ST205/75R15 107/102M"),
        ("ST 205/75 R15 107/102M", "ST205/75R15 107/102M"),
        ("Haulmoor ST205/75R15 107/102N", "ST205/75R15 107/102N"),
    ],
)
def test_st_behind_a_name(text: str, canonical: str) -> None:
    """No special trailer tire has the symbol T or a C (49 CFR 571.119; speeds are common practice, no source)."""
    found = decode(text)
    assert isinstance(found, Marking) and found.canonical == canonical
