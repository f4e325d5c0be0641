"""Cells that only say that nothing is known, in many languages; and those that say something after all."""

from __future__ import annotations

import pytest

import auditor
from auditor.programs.proof_feeds import block_findings
from auditor.quantities import read_cell
from auditor.quantities.blanks import says_nothing
from auditor.rulebook.book import load_book


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("SEM GTIN", "gtin"),
        ("ohne EAN", "gtin"),
        ("no barcode", "gtin"),
        ("غير متوفر", "max_load_kg"),
        ("b/d", "tread_depth_mm"),
        ("待定", "tread_depth_mm"),
        ("нет данных", "max_speed_kmh"),
        ("Keine Angabe", "max_pressure_kpa"),
        ("n.c.", "noise_db"),
        ("brak", "load_index"),
        ("ei tiedossa", "overall_diameter_mm"),
        ("keine Angabe", "season"),
        ("siehe Titel", "load_version"),
    ],
)
def test_nothing_is_said(text: str, field: str) -> None:
    assert says_nothing(text, field)
    assert field == "gtin" or read_cell(text, field).status == "blank"


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("ohne 12", "gtin"),
        ("no load", "gtin"),  # not what the column is called
        ("ohne", "severe_snow"),  # an answer
        ("none of it", "max_load_kg"),
        ("ohne XL", "load_version"),
        ("brak 5", "max_load_kg"),
    ],
)
def test_something_is_said(text: str, field: str) -> None:
    assert not says_nothing(text, field)


@pytest.mark.parametrize(
    "text",
    ["TBC", "—", "k. A.", "unbekannt", "sin dato", "see title", "Siehe Titel", "на запрос", "n/a", "", "?", "- "],
)
def test_a_marking_cell_that_says_nothing_leaves_the_word_to_others(text: str) -> None:
    listing = {"marking": text, "size": "225/65R17", "load_index": "102", "speed_symbol": "H", "max_load_kg": "850"}
    assert auditor.audit_listing(listing).findings == ()
    assert block_findings([listing], load_book()) == [[]]
    overstated = listing | {"max_load_kg": "950"}
    assert [one.rule for one in auditor.audit_listing(overstated).findings] == ["load-overstated"]


def test_letters_are_a_code_where_codes_are_of_as_many() -> None:
    assert read_cell("b/d", "load_range").status == "blank"  # Polish for no data; there is no load range of two letters
    assert read_cell("d", "load_range").status == read_cell("s.l.", "load_version").status == "read"
