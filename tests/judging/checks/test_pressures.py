"""Pressures that no tire has: told of every family, once, and never where some tire of the size runs at them."""

from __future__ import annotations

from itertools import product

import pytest

import auditor
from auditor.rulebook.book import load_book
from tests.edges.usual_witnesses import OF_FAMILY
from tests.trials.both_paths import differing

# Low and high pressures of tires as they are run or marked, in kPa; common practice, no source.
RIGHT = {
    "225/65R16C 112/110R": (300, 575),
    "LT265/70R17 121/118S E": (240, 650),
    "255/60R10": (35, 140),  # of an all-terrain vehicle
    "AT25x8-12": (20, 70),
    "16x8-7": (14, 41),  # of a child's
    "11x7.10-5": (60, 150),
    "16x6.50-8": (70, 240),
    "31x15.50-15": (80, 280),
    "66x43.00-25": (70, 240),
    "VF710/60R42 173D": (40, 240),
    "1050/50R32 184A8": (60, 320),
    "18.4-38": (80, 250),
    "12.5/80-18": (150, 420),
    "7.50-16": (130, 800),
    "6.50-20": (160, 650),
    "2.75-21 45M": (30, 280),  # of a trial motorcycle
    "26.5R25 193B": (200, 700),
    "35/65-33": (300, 650),
    "18.00-25": (300, 1050),
    "6.50-10": (200, 1050),
    "245/70R17.5 143/141J": (600, 950),
    "385/65R22.5 160K": (450, 930),
    "T145/70R17 106M": (420, 420),
    "4.80/4.00-8": (100, 620),
    "27x7.75R15": (700, 1720),  # airfield
    "32x8.8R16": (700, 2400),
}
_PER = {"max_pressure_kpa": 1.0, "max_pressure_psi": 6.894757, "max_pressure_bar": 100.0}
_RULE = "pressure-impossible"


def _cells(kpa: float) -> dict[str, str]:
    """A pressure in every unit, each rounded as sheets round it."""
    return {field: f"{kpa / per:.{1 if per == 100.0 else 0}f}" for field, per in _PER.items()}


@pytest.mark.parametrize("marking", RIGHT)
def test_no_pressure_that_some_tire_has_is_accused(marking: str) -> None:
    assert not isinstance(auditor.decode(marking), auditor.Unreadable)
    for kpa in RIGHT[marking]:
        for field, text in _cells(kpa).items():
            found = auditor.audit_listing({"marking": marking, field: text}).findings
            assert not [one for one in found if one.rule == _RULE or _RULE in one.evidence], (field, text)


@pytest.mark.parametrize("family", OF_FAMILY)
def test_what_no_tire_has_is_told_of_every_family_and_once_for_a_cell(family: str) -> None:
    marking = OF_FAMILY[family][0]
    for field, text in product(_PER, ("0.05", "99999")):
        if field == "max_pressure_bar" and text == "0.05":
            text = "0.01"
        found = auditor.audit_listing({"marking": marking, field: text}).findings
        of_pressure = [one for one in found if one.field == field]
        assert [one.grade for one in of_pressure] == ["major"], (field, text)


# Which unit a pressure looks like: marking, field, what is stated, what it would be, and how the sentence names it.
LOOKS = (
    ("225/65R16C 112/110R", "max_pressure_kpa", "4.75", "475", "bar"),
    ("225/65R16C 112/110R", "max_pressure_kpa", "69", "476", "psi"),
    ("225/65R16C 112/110R", "max_pressure_kpa", "0.475", "475", "MPa"),
    ("225/65R16C 112/110R", "max_pressure_bar", "450", "4.5", "kPa"),
    ("225/65R16C 112/110R", "max_pressure_bar", "65", "4.48", "psi"),
    ("225/65R16C 112/110R", "max_pressure_psi", "4.75", "69", "bar"),
    ("225/65R16C 112/110R", "max_pressure_psi", "475", "69", "kPa"),
    ("315/80R22.5 156/150L", "max_pressure_kpa", "123", "848", "psi"),
    ("18.4-38", "max_pressure_kpa", "1.6", "160", "bar"),
    ("18.4-38", "max_pressure_bar", "160", "1.6", "kPa"),
    ("18.4-38", "max_pressure_kpa", "20", "138", "psi"),
)


@pytest.mark.parametrize(("marking", "field", "stated", "meant", "unit"), LOOKS)
def test_the_unit_that_it_looks_like_is_named(marking: str, field: str, stated: str, meant: str, unit: str) -> None:
    (found,) = auditor.audit_listing({"marking": marking, field: stated}).findings
    assert (found.rule, found.derived, found.suggestion) == (_RULE, meant, "")
    assert f"; it looks like {unit}, which would be {meant}" in found.message
    assert found.likely_cause == ("decimal-slip" if unit == "MPa" else "unit-swapped")


def test_a_figure_that_two_units_could_be_looks_like_neither() -> None:
    (found,) = auditor.audit_listing({"marking": "18.4-38", "max_pressure_bar": "65"}).findings
    assert (found.rule, found.derived, found.likely_cause) == (_RULE, "", "unclear")
    assert "looks like" not in found.message


@pytest.mark.parametrize(
    ("marking", "field", "stated", "meant"),
    [
        ("225/65R17 102H", "max_pressure_kpa", "3.5", "350"),
        ("225/65R17 102H", "max_pressure_bar", "175", ""),
        ("225/65R17 102H", "max_pressure_bar", "640", "6.4"),  # a van's size without its C
        ("225/65R17 102H", "max_pressure_bar", "660", ""),
        ("P205/75R15 97T", "max_pressure_bar", "185", "1.85"),
        ("P205/75R15 97T", "max_pressure_bar", "175", ""),
        ("P205/75R15 97T", "max_pressure_bar", "415", "4.15"),
        ("P205/75R15 97T", "max_pressure_bar", "425", ""),
        ("T145/70R17 106M", "max_pressure_bar", "285", "2.85"),
        ("T145/70R17 106M", "max_pressure_bar", "275", ""),
        ("T145/70R17 106M", "max_pressure_bar", "445", "4.45"),
        ("T145/70R17 106M", "max_pressure_bar", "455", ""),
    ],
)
def test_passenger_tires_where_no_law_lists_their_pressures(marking: str, field: str, stated: str, meant: str) -> None:
    (found,) = auditor.audit_listing({"marking": marking, field: stated}, book=load_book(market="EU")).findings
    assert (found.rule, found.derived) == (_RULE, meant)


def test_rows_and_columns_agree() -> None:
    listings = [{"marking": marking, field: stated} for marking, field, stated, _, _ in LOOKS]
    markings = [marking for marking, _ in OF_FAMILY.values()]
    values = ("0.05", "0.3", "2", "4.75", "12", "35", "65", "105", "160", "450", "2000", "9999")
    listings += [{"marking": marking, field: value} for marking, field, value in product(markings, _PER, values)]
    assert not differing(listings)
