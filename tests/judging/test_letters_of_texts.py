"""Split fields have no place for LT or C: a text that gives the very size with letters decides what the tire is."""

from __future__ import annotations

import pytest

import auditor
from tests.trials.both_paths import differing

Listing = dict[str, str]


def split(size: str, index: str, symbol: str, **more: str) -> Listing:
    """A listing whose size is three cells: "225/65-16"."""
    width, aspect, rim = size.replace("-", "/").split("/")
    single, _, dual = index.partition("/")
    cells = {"section_width_mm": width, "aspect_ratio": aspect, "rim_diameter_in": rim, "load_index": single}
    return {**cells, "load_index_dual": dual, "speed_symbol": symbol, **more}


VAN = split("225/65-16", "112/110", "H")
SAME_TIRE = {
    "the title is the marking": {**VAN, "title": "225/65R16C 112/110H"},
    "in a title with names": {**VAN, "title": "Norvane Carrier 225/65 R16C 112/110 H (Transporter) - Sommer"},
    "a title that gives the size alone": {**VAN, "title": "Norvane Carrier 225/65R16C"},
    "a description with a label": {**VAN, "description": "Size: 225/65R16C 112/110H. For vans."},
    "with loads and plies of such a tire": {
        **VAN,
        "title": "Norvane Carrier 225/65R16C 112/110H 8PR",
        "max_load_kg": "1120",
        "max_load_dual_kg": "1060",
        "ply_rating": "8",
    },
    "a service description in one cell": {
        **split("225/65-16", "", ""),
        "service_description": "112/110H",
        "title": "Norvane Carrier 225/65R16C",
    },
    "a light-truck tire": split("275/65-20", "126/123", "H", title="Norvane Ridge LT275/65R20 126/123H E"),
    "a trailer's tire": split("225/75-15", "117/112", "M", title="Norvane Haul ST225/75R15 117/112M E"),
    "a spare": split("145/70-17", "106", "M", title="Norvane Spare T145/70R17 106M"),
}
WRONG = {
    "no letters anywhere": ({**VAN, "title": "Norvane Carrier"}, "load_index"),
    "letters of another size": ({**VAN, "title": "Norvane Carrier 235/65R16C 112/110H"}, "title"),
    "an index of no tire of the size": (
        split("225/65-16", "122", "H", title="Norvane Carrier 225/65R16C 112/110H"),
        "load_index",
    ),
    "the load of another index": ({**VAN, "title": "Norvane Carrier 225/65R16C", "max_load_kg": "1250"}, "max_load_kg"),
}


def serious(listing: Listing) -> list[str]:
    return [one.field for one in auditor.audit_listing(listing).findings if one.grade != "minor"]


@pytest.mark.parametrize("listing", SAME_TIRE.values(), ids=SAME_TIRE)
def test_the_letters_of_a_text_decide(listing: Listing) -> None:
    assert not auditor.audit_listing(listing).findings


@pytest.mark.parametrize(("listing", "field"), WRONG.values(), ids=WRONG)
def test_what_is_wrong_is_still_found(listing: Listing, field: str) -> None:
    assert field in serious(listing)


def test_an_index_of_a_passenger_tire_speaks_against_the_letters() -> None:
    listing = split("225/65-16", "99", "H", title="Norvane Carrier 225/65R16C", max_load_kg="1120")
    assert serious(listing) == ["max_load_kg"]


def test_letters_in_the_other_cell_tell_that_they_were_left_out() -> None:
    listing = {"marking": "225/65R16 112/110H", "size": "225/65R16C"}
    assert [one.rule for one in auditor.audit_listing(listing).findings] == ["prefix-missing"]
    assert serious({"marking": "225/65R16 112/110H", "size": "225/65R16"}) == ["marking"]


@pytest.mark.parametrize("cells", [{"marking": "225/65R16 112/110H"}, {"size": "225/65R16", "load_index": "112"}])
def test_letters_in_a_title_beside_the_size_tell_that_they_were_left_out(cells: Listing) -> None:
    cells = {**cells, "speed_symbol": "H", "title": "Norvane Carrier 225/65R16C 112/110H"}
    assert [one.rule for one in auditor.audit_listing(cells).findings] == ["prefix-missing"]
    assert serious({**cells, "title": "Norvane Carrier 225/65R16 112/110H"})


def test_a_class_of_commercial_tires_tells_that_letters_were_left_out() -> None:
    listing = {"size": "225/65R16", "load_index": "112", "load_index_dual": "110", "speed_symbol": "H"}
    assert [one.rule for one in auditor.audit_listing({**listing, "tire_class": "C2"}).findings] == ["prefix-missing"]
    assert serious({**listing, "tire_class": "C1"}) == ["load_index"]


def test_rows_and_columns_agree() -> None:
    listings = [*SAME_TIRE.values(), *(listing for listing, _ in WRONG.values())]
    listings += [{"marking": "225/65R16 112/110H", "size": "225/65R16C"}, {"size": "265/70R17", "size_prefix": "LT"}]
    listings += [{"marking": "225/65R16 112/110H", "title": "Norvane 225/65R16C"}]
    listings += [{"marking": "225/65R16 112/110H", "tire_class": name} for name in ("C1", "C2")]
    listings += [{**listing, "size_prefix": "C"} for listing in listings]
    assert not differing(listings)
