"""A size in a cell that no cell describes is described by a text that gives the same size, whichever way it comes in.

Without that a load or a speed above the title's own could not be told, where the size in its cell is all that differs
from a listing that has a title alone.
"""

from __future__ import annotations

from itertools import product

import pytest

import auditor
from tests.judging.test_same_verdict import by_blocks, by_call, with_blanks

PASSENGER = {"size": "225/65R17", "title": "Acme Trailhawk 225/65R17 102H"}
DESCRIBED = {"size": "225/65R17", "description": "Quiet summer tire in 225/65R17 102H for crossovers."}
LOAD = ("load-overstated", "max_load_kg")
TRUCK = {"size": "11R22.5", "title": "Acme Haul 11R22.5 146/143L 16PR"}


def _found(listing: dict[str, str]) -> list[tuple[str, str]]:
    return [(one.rule, one.field) for one in auditor.audit_listing(listing).findings]


@pytest.mark.parametrize(
    ("listing", "found"),
    [
        (PASSENGER | {"max_load_kg": "950"}, LOAD),
        (PASSENGER | {"max_load_lb": "2094"}, ("load-overstated", "max_load_lb")),
        (PASSENGER | {"max_speed_kmh": "240"}, ("speed-overstated", "max_speed_kmh")),
        (PASSENGER | {"service_description": "", "max_load_kg": "950"}, LOAD),
        (TRUCK | {"max_load_kg": "3000", "max_load_dual_kg": "2900"}, ("load-overstated", "max_load_dual_kg")),
        (
            {"marking": "225/65R17", "title": PASSENGER["title"], "max_load_kg": "950"},
            ("load-overstated", "max_load_kg"),
        ),
        (DESCRIBED | {"max_load_kg": "950"}, LOAD),
        (DESCRIBED | {"description": "A quiet tire, load index 102", "max_load_kg": "950"}, LOAD),
        (DESCRIBED | {"description": "Speed symbol: H", "max_speed_kmh": "240"}, ("speed-overstated", "max_speed_kmh")),
        (DESCRIBED | {"title": "Acme Trailhawk", "max_speed_mph": "149"}, ("speed-overstated", "max_speed_mph")),
    ],
)
def test_what_is_above_the_titles_own_is_told(listing: dict[str, str], found: tuple[str, str]) -> None:
    assert _found(listing) == [found]


@pytest.mark.parametrize(
    "listing",
    [
        PASSENGER | {"max_load_kg": "850", "max_speed_kmh": "210"},
        TRUCK | {"max_load_kg": "3000", "max_load_dual_kg": "2725"},
        {"marking": "11L-15 8PR", "load_range": "D", "title": "11L-15 8PR I-1 implement tire Acme"},
    ],
)
def test_what_is_right_is_released_without_a_word(listing: dict[str, str]) -> None:
    assert _found(listing) == []


@pytest.mark.parametrize(
    "title", ["Acme 195/65R15 91H", "Acme Trailhawk", "Acme Trailhawk 102H or 225/60R18 100H", "Acme 91H/102H"]
)
def test_the_title_of_another_size_describes_none(title: str) -> None:
    """Its service description may be of that size; a title of two describes nothing for certain."""
    assert ("load-unverified", "max_load_kg") in _found({"size": "225/65R17", "title": title, "max_load_kg": "950"})


@pytest.mark.parametrize(
    "description",
    [
        "Also available as 225/65R17 106V XL.",
        "Replaces the 225/65R17 106V.",
        "Ask for the 106V if you need more load.",
        "The predecessor had load index 102.",
    ],
)
def test_a_description_of_another_or_of_a_part_describes_none(description: str) -> None:
    listing = {"size": "225/65R17", "description": description, "max_load_kg": "950"}
    assert _found(listing) == [("load-unverified", "max_load_kg")]


def test_what_cells_describe_is_not_described_by_the_title() -> None:
    verdict = auditor.audit_listing(PASSENGER | {"load_index": "106", "max_load_kg": "950"})
    assert verdict.marking == "225/65R17 106"
    assert [one.rule for one in verdict.findings] == ["marking-contradicted"]


def test_blocks_agree_with_the_call() -> None:
    sizes = ({}, {"size": "225/65R17"}, {"size": "LT225/65R17"}, {"size": "195/65R15"}, {"marking": "225/65R17 XL"})
    titles = ("", "Acme 225/65R17 102H", "Acme 102H", "225/65R17 102H or 225/60R18 100H", "Acme LT225/65R17 107/103S")
    cells = ({}, {"service_description": "106V"}, {"load_index": "102"}, {"speed_symbol": "V"}, {"load_index": "x"})
    loads = ({"max_load_kg": "950"}, {"max_load_kg": "850", "max_speed_kmh": "240", "description": "rated 102H"})
    listings = [
        {"title": title, **size, **cell, **load} for title, size, cell, load in product(titles, sizes, cells, loads)
    ]
    assert by_blocks(listings) == by_call(with_blanks(listings))
