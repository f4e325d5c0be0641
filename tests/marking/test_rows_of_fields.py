"""Titles that are rows of a list: fields apart by commas or strokes, the rim at another place, remarks in brackets."""

from __future__ import annotations

import pytest

from auditor.marking import Marking, decode


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("HKD-40118,245/40R20,99W,XL,4", "245/40R20 99W XL"),
        ("AB-2207,205/55R16,91,V,summer", "205/55R16 91V"),
        ("ST205/75R14,LRC,100/96,M,Brennick Hauler", "ST205/75R14 100/96M C"),
        ("KIV-0931 / 235/55R19 105T XL / nasta", "235/55R19 105T XL"),
        ("Ring 16 205/45 87W XL", "205/45R16 87W XL"),
        ("11R24.5 16 ply (H) drive 149/146L", "11R24.5 16PR 149/146L H"),
        ("1220x400-533 10PR", "1220X400-533 10PR"),
        ("1300*530-533", "1300X530-533"),
    ],
)
def test_fields_of_a_row(text: str, canonical: str) -> None:
    found = decode(text)
    assert isinstance(found, Marking)
    assert found.canonical == canonical


@pytest.mark.parametrize("text", ["1220x400-534", "700x400-533", "1600x300-533", "205/55R17,5"])
def test_no_such_size(text: str) -> None:
    found = decode(text)
    assert not isinstance(found, Marking) or found.canonical == "205/55R17.5"
