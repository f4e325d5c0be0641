"""Brands and models made of words and figures are names where a text repeats them; other cells' words are none."""

from __future__ import annotations

import random

import pyarrow as pa
import pytest

from auditor.claims.batch.owns import owns_of
from auditor.claims.batch.quotes import Quotes
from auditor.claims.batch.vocabulary import Vocabulary, is_figure
from auditor.claims.own_cells import own_of
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.terms.names import name_of
from auditor.claims.texts import read_claims

LEXICON = lexicon_of()


def _claims(text: str, *names: str, title: bool = False) -> list[tuple[str, object]]:
    read = read_claims(text, LEXICON, own_of("205/55R16 91V", "", "", *names), title)
    return [(claim.field, claim.value) for claim in read if claim.field != "marking"]


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("Winter King", "Tolvane Winter King 205/55R16"),
        ("Winter King", "TOLVANE WINTER KING 205/55R16"),
        ("All Season 3", "All Season 3, 205/55R16"),
    ],
)
def test_a_name_is_no_claim(name: str, text: str) -> None:
    assert _claims(text, "Tolvane", title=True) != []
    assert _claims(text, "Tolvane", name, title=True) == []


def test_number_words_are_a_name_where_a_cell_has_them() -> None:
    text = "205/55R16 91V QUATTRO VENTI Tolvane"
    assert _claims(text, "Tolvane", title=True) != _claims(text, "Tolvane", "Quattro Venti", title=True)
    assert name_of("Quattro Venti", LEXICON) == ("quattro", "venti")
    assert name_of("Dieci tele", LEXICON) == ()


def test_a_word_that_only_has_a_weight_is_a_name_as_one_that_has_none() -> None:
    weighed = [word for word in ("kestrane", "ridge") if LEXICON.hits(word)]
    assert weighed, "no word of this test has a weight any more: take others"
    for word in weighed:
        assert name_of(f"{word} Winter", LEXICON) == (word, "winter")
    text = "Kestrane Ridge is a tire for vans. It fits a 16 inch rim."
    assert _claims(text, "Tolvane", "Kestrane Ridge") == [("rim_diameter_in", 16.0)]


def test_what_stands_beside_a_name_still_counts() -> None:
    assert _claims("Winter King 205/55R16 Winter Tire", "Winter King", title=True) == [("season", "winter")]
    assert _claims("Winter King: each tire carries 690 kg.", "Winter King") == [("max_load_kg", 690.0)]


@pytest.mark.parametrize(
    "text", ["", "Zorvelan", "Winter", "All Season", "Run Flat", "10 Ply", "Load Range E", "205/55R16 Breeze",
             "Haul 91V", "XL Breeze", "A name made of far more words than names are"],
)  # fmt: skip
def test_what_is_no_name(text: str) -> None:
    assert name_of(text, LEXICON) == ()


def test_a_column_has_the_names_that_each_text_has() -> None:
    chance = random.Random(5)
    words = ["Winter", "King", "Breeze", "AX7", "90", "1000", "2024", "XL", "4x4", "91V", "205/55R16", "10", "Ply",
             "All", "Season", "Tolvane", "&amp;", "<b>Run</b>", "E", "\n", "Range", "Öko", "Quattro", "venti", "3PMSF",
             "-"]  # fmt: skip
    drawn = [" ".join(chance.choices(words, k=chance.randrange(8))) for _ in range(3_000)]
    texts = list(dict.fromkeys([*drawn, "Run 90 " * 9]))
    vocabulary = Vocabulary(LEXICON)
    owns = owns_of(Quotes(vocabulary), [None, None, None, pa.array(texts), None], len(texts))
    (names,) = owns.names
    for text, place in zip(texts, names.places[owns.places].tolist(), strict=True):
        wanted = [-int(one) if is_figure(one) else vocabulary.number(one) for one in name_of(text, LEXICON)]
        assert [one for one in names.tokens[place].tolist() if place >= 0 and one != -1] == wanted, text


def test_the_load_range_of_the_marking_is_a_part_of_it() -> None:
    own = own_of("LT245/75R16 120/116S E", "", "")
    assert own.quoted.letter == "E"
    text = "LT245/75R16 120/116S E wet grip class B"
    fields = {claim.field: claim.value for claim in read_claims(text, LEXICON, own, True)}
    assert fields["wet_grip_class"] == "B" and "load_range" not in fields


def test_more_digits_than_any_figure_has_say_nothing() -> None:
    assert _claims("Max load 1234567 kg, EAN 4006381333931.") == []
