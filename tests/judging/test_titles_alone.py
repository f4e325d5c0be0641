"""A listing that gives a tire in its title alone is judged by what `decode` reads there, whichever way it comes in."""

from __future__ import annotations

import pytest

import auditor
from auditor.marking import Marking, decode
from tests.judging.test_same_verdict import by_blocks, by_call, with_blanks

TITLES = (
    "Acme Trailhawk 225/65R17 102H all-season",
    "Acme 35*12.50R17LT 121Q 10PR",
    "Шины Acme 315/70 R22,5 154/150L",
    "Acme QM933 10.00-20 152B/168A2 18PR",
    "Opona Acme 69H TL 150/70r17 / 150/70-17",
    "Acme 18.4-38",
    "Acme VF480/80R46 177D",
    "Llanta Acme 12.5/80-18 12PR R-4 TL",
    "Acme 205/75R17,5",
    "Acme Steel Wheel 17x7.5",
    "Acme 205/55R16 or 215/55R16",
    "Acme 245/45ZR18 96V",
    "",
)


@pytest.mark.parametrize("title", TITLES)
def test_title_reads_as_decode_does(title: str) -> None:
    found = decode(title)
    canonical = str(found) if isinstance(found, Marking) else None
    assert auditor.audit_listing({"title": title}).marking == canonical


def test_titles_are_judged_alike_in_blocks_and_alone() -> None:
    listings = [
        {"title": title, **more}
        for title in TITLES
        for more in (
            {},
            {"max_load_kg": "5000", "max_speed_kmh": "300"},
            {"marking": "205/55R16 91V"},
            {"size": "205/55R16", "load_index": "91"},
            {"size": "unknown", "rim_diameter_in": "16"},
        )
    ]
    assert by_blocks(listings) == by_call(with_blanks(listings))


def test_load_above_the_index_in_a_title_is_found() -> None:
    verdict = auditor.audit_listing({"title": "Acme 35*12.50R17LT 121Q 10PR", "max_load_kg": "1900"})
    assert [(one.rule, one.field) for one in verdict.findings] == [("load-overstated", "max_load_kg")]


def test_a_rim_with_a_comma_is_no_other_rim() -> None:
    verdict = auditor.audit_listing({"marking": "315/70R22.5 154/150L", "title": "Acme 315/70 R22,5 154/150L"})
    assert verdict.findings == ()
