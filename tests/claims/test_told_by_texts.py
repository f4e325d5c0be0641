"""A sales text is read beside what a text says is its own tire as beside the same marking in a cell, either way."""

from __future__ import annotations

from itertools import product

import pytest

import auditor
from auditor.claims.told_by_texts import Told, told_by_text
from tests.judging.test_same_verdict import by_blocks, by_call, with_blanks

MARKING = "225/65R17 102H"
TEXTS = (
    "Each tire carries 950 kg.",
    "A pair carries 1,700 kg.",
    "The 225/65R17 106V XL is sold as well.",
    "Rated H, so 149 mph is within reach.",
    "102 means 950 kg.",
    "It takes the place of a 225/65R17 100T that carried 800 kg.",
    "Load index 106, speed symbol V.",
    "Mount it on 18-inch wheels.",
    "Good for 130 mph and 850 kg.",
)
WITHOUT_CELL = (
    {"title": f"Acme Trail {MARKING}"},
    {"title": f"Acme Trail {MARKING}", "size": "225/65R17"},
    {"title": f"Acme Trail {MARKING}", "marking": "225/65R17"},
    {"title": "Acme Trail 102H", "size": "225/65R17"},
)


def _found(listing: dict[str, str]) -> set[tuple[str, str, str]]:
    """Findings on the sales text, whose grades votes of cells may change."""
    found = auditor.audit_listing(listing).findings
    return {(one.rule, one.field, one.derived) for one in found if one.field == "description"}


@pytest.mark.parametrize("cells", WITHOUT_CELL, ids=lambda cells: "+".join(cells))
@pytest.mark.parametrize("text", TEXTS)
def test_a_title_says_what_a_cell_would(text: str, cells: dict[str, str]) -> None:
    beside_cell = _found({"marking": MARKING, "title": cells["title"], "description": text})
    assert _found(cells | {"description": text}) == beside_cell


@pytest.mark.parametrize("size", [{}, {"size": "225/65R17"}])
@pytest.mark.parametrize("text", TEXTS)
def test_the_heading_of_a_text_says_it_for_the_rest(text: str, size: dict[str, str]) -> None:
    said = f"Acme Trail {MARKING}. {text}"
    assert _found(size | {"description": said}) == _found({"marking": MARKING, "description": said})


@pytest.mark.parametrize(
    ("size", "markings", "services", "told"),
    [
        ("", ["225/65R17 102H"], [], Told("225/65R17 102H", "")),
        ("", ["225/65R17 102H"], ["106V"], Told("225/65R17 102H", "")),
        ("", ["225/65R17"], ["102H"], Told("225/65R17", "102H")),
        ("", ["225/65R17", "235/65R17"], ["102H"], Told()),
        ("", [], ["102H"], Told()),
        ("", ["225/65R17"], ["102H", "106V"], Told("225/65R17")),
        ("225/65R17", ["225/65R17"], ["102H"], Told(service="102H")),
        ("225/65R17", ["LT225/65R17 107/103S"], [], Told(service="107/103S")),
        ("225/65R17", ["225/60R18"], ["102H"], Told()),
        ("225/65R17", [], ["102H", "106V"], Told()),
    ],
)
def test_what_a_text_tells(size: str, markings: list[str], services: list[str], told: Told) -> None:
    assert told_by_text(size, markings, services) == told


def test_blocks_agree_with_the_call() -> None:
    titles = ("", "Acme 225/65R17 102H", "Acme 102H", "225/65R17 102H or 225/60R18 100H", "Acme LT225/65R17 107/103S")
    sizes = ({}, {"size": "225/65R17"}, {"marking": "225/65R17 XL"}, {"load_index": "102", "speed_symbol": "H"})
    listings = [
        {"title": title, "brand": "Acme", **size, "description": text}
        for title, size, text in product(titles, sizes, (*TEXTS, f"Acme Trail {MARKING}. {TEXTS[0]}"))
    ]
    assert by_blocks(listings) == by_call(with_blanks(listings))
