"""Width, aspect ratio and rim in fields of their own are a marking, whichever way the listing comes in."""

from __future__ import annotations

from pathlib import Path

import pytest

import auditor
from auditor.marking import Marking, decode
from auditor.marking.split_size import SplitSize, split_size_text
from tests.judging.test_same_verdict import by_blocks, by_call, with_blanks

Listing = dict[str, str]
PASSENGER = {"section_width_mm": "205", "aspect_ratio": "55", "rim_diameter_in": "16"}
DESCRIBED = PASSENGER | {"load_index": "91", "speed_symbol": "V"}

SIZES: tuple[tuple[Listing, str], ...] = (
    (PASSENGER, "205/55R16"),
    (DESCRIBED, "205/55R16 91V"),
    (PASSENGER | {"service_description": "91V"}, "205/55R16 91V"),
    (PASSENGER | {"rim_diameter_in": "ZR16"}, "205/55ZR16"),
    (PASSENGER | {"rim_diameter_in": "RF16"}, "205/55RF16"),
    ({"section_width_mm": '33"', "aspect_ratio": "12.50", "rim_diameter_in": "15"}, "33x12.50R15"),
    (
        {"section_width_mm": "215", "aspect_ratio": "65", "rim_diameter_in": "R16C", "load_index": "109/107"},
        "215/65R16C 109/107",
    ),
    ({"section_width_mm": "LT265", "aspect_ratio": "70", "rim_diameter_in": "17"}, "LT265/70R17"),
    ({"section_width_mm": "P205", "aspect_ratio": "75", "rim_diameter_in": "15"}, "P205/75R15"),
    ({"section_width_mm": "185", "rim_diameter_in": "R14C"}, "185R14C"),
    ({"section_width_mm": "315", "aspect_ratio": "80", "rim_diameter_in": "22.5"}, "315/80R22.5"),
    ({"section_width_mm": "220", "aspect_ratio": "55", "rim_diameter_in": "390"}, "220/55R390"),
    ({"section_width_mm": "245", "aspect_ratio": "40", "rim_diameter_in": "19", "load_version": "HL"}, "HL245/40R19"),
    ({"section_width_mm": "120", "aspect_ratio": "70", "rim_diameter_in": "17"}, "120/70-17"),
    ({"section_width_in": "11", "rim_diameter_in": "22.5"}, "11R22.5"),
    ({"section_width_in": "11.00", "rim_diameter_in": "20"}, "11.00R20"),
    ({"section_width_in": "7.50", "rim_diameter_in": "16", "construction": "D"}, "7.50-16"),
    ({"overall_diameter_in": "35", "section_width_in": "12.5", "rim_diameter_in": "17LT"}, "35x12.50R17LT"),
    ({"section_width_mm": "35", "aspect_ratio": "12.50", "rim_diameter_in": "17LT"}, "35x12.50R17LT"),
    ({"section_width_mm": "265", "aspect_ratio": "70", "rim_diameter_in": "17", "size_prefix": "LT"}, "LT265/70R17"),
    (
        {"section_width_mm": "205", "aspect_ratio": "75", "rim_diameter_in": "15", "size_prefix": "P-Metric"},
        "P205/75R15",
    ),
    (
        {"section_width_mm": "205", "aspect_ratio": "55", "rim_diameter_in": "16", "size_prefix": "Passenger"},
        "205/55R16",
    ),
    (
        {"section_width_mm": "225", "aspect_ratio": "75", "rim_diameter_in": "15", "size_prefix": "Special Trailer"},
        "ST225/75R15",
    ),
    (
        {"section_width_mm": "215", "aspect_ratio": "65", "rim_diameter_in": "16", "size_prefix": "C"},
        "215/65R16C",
    ),
    ({"section_width_in": "7.50", "rim_diameter_in": "16", "size_prefix": "LT"}, "7.50R16LT"),
    ({"size": "245/75 R16", "size_prefix": "LT", "load_index": "120/116"}, "LT245/75R16 120/116"),
    ({"marking": "245/75R16 120/116S E", "size_prefix": "Light Truck"}, "LT245/75R16 120/116S E"),
    ({"size": "31x10.50R15", "size_prefix": "LT", "service_description": "109S"}, "31x10.50R15LT 109S"),
    ({"title": "Larkmoor 225/75R15 117/112M", "size_prefix": "ST"}, "ST225/75R15 117/112M"),
    ({"size": "LT245/75R16", "size_prefix": "LT"}, "LT245/75R16"),
    ({"size": "18.4-38", "size_prefix": "C"}, "18.4-38"),
    ({"section_width_in": "21", "aspect_ratio": "8", "rim_diameter_in": "9", "construction": "bias"}, "21x8.00-9"),
)
# What makes no size: the rules that need one stay silent, and the listing is told to have none.
NO_SIZES: tuple[Listing, ...] = (
    {"section_width_mm": "205", "aspect_ratio": "55"},
    {"aspect_ratio": "55", "rim_diameter_in": "16"},
    {"section_width_mm": "LT245", "rim_diameter_in": "R17"},
    {"section_width_mm": "205", "aspect_ratio": "see page", "rim_diameter_in": "16"},
    {"section_width_mm": "205", "aspect_ratio": "55", "rim_diameter_in": "-"},
    {"section_width_in": "12.50", "rim_diameter_in": "17", "overall_diameter_in": "34.8"},
)


def found(listing: Listing) -> list[tuple[str, str, str]]:
    return [(one.rule, one.grade, one.field) for one in auditor.audit_listing(listing).findings]


@pytest.mark.parametrize(("listing", "marking"), SIZES, ids=lambda value: value if isinstance(value, str) else "")
def test_split_fields_make_a_marking(listing: Listing, marking: str) -> None:
    verdict = auditor.audit_listing(listing)
    assert (verdict.marking, verdict.verdict) == (str(decode(marking)), "release")
    assert [one.rule for one in verdict.findings if one.grade != "minor"] == []


@pytest.mark.parametrize("listing", NO_SIZES)
def test_parts_of_a_size_make_none(listing: Listing) -> None:
    assert "marking-missing" in [one.rule for one in auditor.audit_listing(listing).findings]


def test_split_sizes_are_judged_alike_in_blocks_and_alone() -> None:
    more: tuple[Listing, ...] = (
        {},
        {"load_index": "91", "speed_symbol": "V", "max_load_kg": "690", "max_speed_kmh": "300"},
        {"title": "Larkmoor Vista 205/55R17 91V"},
        {"title": "Larkmoor Vista 205/55R16 91V", "max_load_kg": "650"},
        {"size": "225/45R17"},
        {"marking": "?", "size": "unknown"},
        {"size": "no size at all"},
        {"service_description": "94W", "load_index": "91"},
        {"overall_diameter_mm": "632", "measured_width_mm": "214", "construction": "ZR"},
    )
    listings = [{**size, **other} for size in (*(size for size, _ in SIZES), *NO_SIZES) for other in more]
    assert by_blocks(listings) == by_call(with_blanks(listings))


def test_a_load_above_the_split_index_is_found() -> None:
    assert found(DESCRIBED | {"max_load_kg": "690"}) == [("load-overstated", "critical", "max_load_kg")]


def test_a_size_in_the_title_is_one_more_voice() -> None:
    assert found(DESCRIBED | {"title": "Larkmoor Vista 205/55R16 91V"}) == []
    assert found(DESCRIBED | {"title": "Larkmoor Vista 205/55R17 91V"}) == [
        ("marking-contradicted", "critical", "title")
    ]


def test_a_title_that_says_more_of_the_same_size_governs() -> None:
    listing = PASSENGER | {"title": "Larkmoor Vista 205/55R16 91V", "max_load_kg": "690"}
    assert auditor.audit_listing(listing).marking == "205/55R16 91V"
    assert found(listing) == [("load-overstated", "critical", "max_load_kg")]


def test_a_size_outranks_split_fields() -> None:
    listing = PASSENGER | {"size": "205/55R17", "load_index": "91", "speed_symbol": "V"}
    assert auditor.audit_listing(listing).marking == "205/55R17 91V"
    assert ("rim-mismatch", "critical", "rim_diameter_in") in found(listing)


def test_letters_that_differ_are_told() -> None:
    assert found({"marking": "ST225/75R15 117/112M E", "size_prefix": "LT"}) == [
        ("prefix-mismatch", "major", "size_prefix")
    ]
    assert found({"size": "245/75R16", "size_prefix": "truck", "load_index": "111", "speed_symbol": "T"}) == [
        ("value-unreadable", "minor", "size_prefix")
    ]


def test_split_fields_have_one_vote() -> None:
    """Three cells that make a size do not outvote what they are compared with, nor are they outvoted by one title."""
    listing = PASSENGER | {"title": "Larkmoor Vista 215/60R17", "description": "Larkmoor Vista in 215/60R17"}
    assert {field for _, _, field in found(listing)} <= {"title", "description"}


def test_split_fields_make_nothing_certain() -> None:
    assert auditor.audit_listing(DESCRIBED | {"max_load_kg": "690"}).suggestions == {}
    assert auditor.audit_listing({"marking": "205/55R16 91V", "max_load_kg": "690"}).suggestions != {}


def test_every_metric_size_that_is_put_together_can_be_read() -> None:
    nan = float("nan")
    for width in (125.0, 155.0, 205.0, 275.0, 315.0):
        for aspect in (35.0, 55.0, 80.0):
            for rim in (13.0, 16.0, 19.0, 22.5):
                text = split_size_text(SplitSize(width, nan, 0.5, aspect, rim, nan, nan, nan, nan, nan))
                found = decode(text)
                assert isinstance(found, Marking)
                assert (found.section_width_mm, found.aspect_ratio, found.rim_diameter_in) == (width, aspect, rim)


def test_suppliers_that_disagree_on_a_split_size_are_told_by_the_rim(tmp_path: Path) -> None:
    for name, rim in (("one", "16"), ("two", "17")):
        rows = ["sku,ean,width,aspect,rim,load index,speed symbol"]
        rows += [f"{name}{number},{'5901234123457' if number == 0 else ''},205,55,{rim},91,V" for number in range(6)]
        (tmp_path / f"{name}.csv").write_text("\n".join(rows), encoding="utf-8")
    findings = auditor.audit(str(tmp_path)).findings.to_pylist()
    assert [(one["feed"], one["rule"], one["column"], one["stated"]) for one in findings] == [
        ("one.csv", "suppliers-disagree", "rim", "16"),
        ("two.csv", "suppliers-disagree", "rim", "17"),
    ]
