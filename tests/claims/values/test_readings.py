"""Readings that no frame names: what a figure, a letter or a word may say, and beside which markings it may count."""

from __future__ import annotations

import pytest

from auditor.claims.own_cells import own_of
from auditor.claims.terms.items import items_of
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.terms.own import Own
from auditor.claims.terms.words import clean, tokens_of_word
from auditor.claims.texts import parse_claims
from auditor.claims.values.readings import likely, readings_of
from auditor.trade.tables import default_tables

LEXICON = lexicon_of()


def read(text: str) -> set[tuple[str, float | str, bool]]:
    """Field, value and whether it is denied, of every reading of an English sentence."""
    tokens = [token for word in clean(text).split() for token in tokens_of_word(word)]
    items = items_of(tokens, LEXICON, "en")
    return {(one.field, one.value, one.denied) for one in readings_of(items, LEXICON.roles.kinds)}


@pytest.mark.parametrize(
    ("text", "reading"),
    [
        ("Its code is A6", ("speed_symbol", "A6", False)),
        ("Dual: 5,675", ("max_load_dual_lb", 5675.0, False)),
        ("paired, you may put 3,750 lb on each", ("max_load_dual_lb", 3750.0, False)),
        ("MAX LD SGL 3860", ("max_load_lb", 3860.0, False)),
        ("190/50 profile", ("aspect_ratio", 50.0, False)),
        ("no snowflake here", ("severe_snow", 1.0, True)),
    ],
)
def test_a_reading_is_made(text: str, reading: tuple[str, float | str, bool]) -> None:
    assert reading in read(text)


def test_a_letter_behind_a_service_description_is_no_second_symbol() -> None:
    said = parse_claims("Range LT265/70R17 121/118S E", LEXICON, default_tables(), own_of("", "", ""), True).said
    assert "speed_symbol" not in {one.field for one in said}


@pytest.mark.parametrize("text", ["Article 5675", "We sell 5,675 of them", "Size 185/60R14", "Load 12"])
def test_a_number_is_no_load_without_a_word_for_one_or_out_of_range(text: str) -> None:
    assert not [field for field, *_ in read(text) if field.startswith("max_load")]


def test_a_load_without_a_unit_counts_only_close_to_that_of_the_marking() -> None:
    tokens = [token for word in ["Dual:", "2,800"] for token in tokens_of_word(word)]
    given = {one.field: one.given for one in readings_of(items_of(tokens, LEXICON, "en"), LEXICON.roles.kinds)}
    truck, van = Own("9.00R20 144/142K"), Own("205/65R16C 107/105T")
    kilograms, pounds = given["max_load_dual_kg"], given["max_load_dual_lb"]
    assert kilograms and pounds
    assert truck.has(*kilograms) and not truck.has(*pounds)
    assert not van.has(*kilograms) and not Own("").has(*kilograms)


def test_a_load_index_that_no_frame_names_counts_only_near_one() -> None:
    given, far = likely("load_index", 95.0), likely("load_index", 35.0)
    assert given and Own("225/65R17 102H").has(*given)
    assert far and not Own("225/65R17 102H").has(*far)
    assert not Own("225/65R17").has(*given) and not Own("").has(*given)


@pytest.mark.parametrize("text", ["до 240 км/ч", "έως 240 χλμ/ώρα", "سرعة حتى 240 كم/س", "240公里/小时"])
def test_units_of_other_scripts(text: str) -> None:
    assert ("max_speed_kmh", 240.0, False) in read(text)
    assert "section_width_mm" not in {field for field, *_ in read(text)}
