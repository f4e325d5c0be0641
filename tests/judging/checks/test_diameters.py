"""Overall diameters that do not reach over the rim, for sizes whose limits no standard gives."""

from __future__ import annotations

import pytest

import auditor
from tests.trials.both_paths import differing

_RULE = "diameter-within-rim"
# Overall diameters in mm of tires as they are made, the flattest of their kind; common practice, no source.
RIGHT = {
    "12R22.5 152/149L": "1085",
    "11R22.5 144/142L G": "1050",
    "7.50-16": "805",
    "155R13 78S": "578",
    "3.25-19 54P": "660",
    "2.00-17": "534",
    "2.25-16 31J": "514",
    "4.00-8": "415",
    "18x7-8": "455",
    "200/50-10": "458",
    "28x9-15": "700",
    "10-16.5": "775",
    "26.5R25 193B": "1750",
    "35/65-33": "2075",
    "18.4-38": "1750",
    "11L-15": "785",
    "205-640R440A 95V": "640",
    "220/55R390 88W": "632",
}


@pytest.mark.parametrize("marking", RIGHT)
def test_no_tire_as_it_is_made_is_accused(marking: str) -> None:
    assert not isinstance(auditor.decode(marking), auditor.Unreadable)
    inches = f"{float(RIGHT[marking]) / 25.4:.1f}"
    for cells in ({"overall_diameter_mm": RIGHT[marking]}, {"overall_diameter_in": inches}):
        assert not auditor.audit_listing({"marking": marking, **cells}).findings


@pytest.mark.parametrize("marking", RIGHT)
def test_the_rim_itself_is_no_diameter_of_the_tire(marking: str) -> None:
    read = auditor.decode(marking)
    assert not isinstance(read, auditor.Unreadable)
    inches = read.rim_diameter_in or (read.rim_diameter_mm_marked or 0.0) / 25.4
    for cells in ({"overall_diameter_mm": f"{inches * 25.4:.0f}"}, {"overall_diameter_in": f"{inches:.1f}"}):
        (found,) = auditor.audit_listing({"marking": marking, **cells}).findings
        assert (found.field, found.grade) == (next(iter(cells)), "major")
        assert found.rule == _RULE


# Limits of a standard are known: the diameter is judged by them, and not twice.
@pytest.mark.parametrize("marking", ["225/65R17 102H", "31x10.50R15LT 109S C", "520/85R38 155A8/152B"])
def test_where_the_limits_are_known_they_speak_alone(marking: str) -> None:
    (found,) = auditor.audit_listing({"marking": marking, "overall_diameter_mm": "300"}).findings
    assert found.rule == "overall-diameter-off"
    assert _RULE not in found.evidence


# What an overall diameter looks like: its cells, what it would be, the words, and the cause.
LOOKS = (
    ({"overall_diameter_mm": "300"}, "", "; it looks like the width:", "unclear"),
    ({"overall_diameter_mm": "42.7"}, "1084.6", "; it looks like inches, which would be 1084.6 mm", "unit-swapped"),
    ({"overall_diameter_mm": "108.5"}, "1085", "; it looks like centimeters, which would be 1085 mm", "decimal-slip"),
    ({"overall_diameter_mm": "450"}, "", "a tire is larger than its rim:", "unclear"),
    ({"overall_diameter_in": "12"}, "", "; it looks like the width:", "unclear"),
    ({"overall_diameter_in": "22.5"}, "", "a tire is larger than its rim:", "unclear"),
)
SWAPPED = (
    ({"section_width_mm": "1085", "overall_diameter_mm": "300"}, ["width-mismatch", _RULE], "1085"),
    ({"section_width_mm": "1085", "overall_diameter_mm": "305"}, ["width-mismatch", _RULE], "1085"),
    ({"section_width_in": "42.7", "overall_diameter_in": "12"}, ["width-mismatch", _RULE], "42.7"),
    ({"measured_width_mm": "1085", "overall_diameter_in": "11.8"}, [_RULE], "42.72"),
)
_TRUCK = {"marking": "12R22.5 152/149L"}


@pytest.mark.parametrize(("cells", "meant", "words", "cause"), LOOKS)
def test_what_it_looks_like_is_said(cells: dict[str, str], meant: str, words: str, cause: str) -> None:
    (found,) = auditor.audit_listing({**_TRUCK, **cells}).findings
    assert (found.rule, found.derived, found.likely_cause, found.suggestion) == (_RULE, meant, cause, "")
    assert words in found.message


@pytest.mark.parametrize(("cells", "rules", "meant"), SWAPPED)
def test_width_and_diameter_in_each_others_cells_have_one_cause(
    cells: dict[str, str], rules: list[str], meant: str
) -> None:
    found = auditor.audit_listing({**_TRUCK, **cells}).findings
    assert [one.rule for one in found] == rules
    assert {one.likely_cause for one in found} == {"column-shifted"}
    assert found[-1].derived == meant
    assert f"the width, whose own cell holds {meant}" in found[-1].message


@pytest.mark.parametrize("diameter", ["300", "572", "600"])
def test_revolutions_are_not_held_against_a_diameter_that_cannot_be(diameter: str) -> None:
    (found,) = auditor.audit_listing({**_TRUCK, "overall_diameter_mm": diameter, "revs_per_km": "302"}).findings
    assert found.rule == _RULE


def test_rows_and_columns_agree() -> None:
    cells = [*(one[0] for one in LOOKS), *(one[0] for one in SWAPPED)]
    listings = [{**_TRUCK, **one} for one in cells]
    values = ("20", "42.7", "108.5", "300", "450", "580", "610", "1085")
    listings += [{"marking": marking, "overall_diameter_mm": value} for marking in RIGHT for value in values]
    assert not differing(listings)
