"""Brands and models made of words and figures are names where a text repeats them; other cells' words are none."""

from __future__ import annotations

import csv
import random
import string
from itertools import product
from pathlib import Path

import pyarrow as pa
import pytest

import auditor
from auditor.claims.batch.owns import owns_of
from auditor.claims.batch.quotes import Quotes
from auditor.claims.batch.vocabulary import Vocabulary, is_figure
from auditor.claims.own_cells import own_of
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.terms.names import name_of, names_of
from auditor.claims.terms.words import UPPER
from auditor.claims.texts import read_claims
from tests.trials.both_paths import differing, one_by_one

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


def test_a_name_that_ends_in_a_code_is_cut_otherwise_before_a_sign() -> None:
    assert names_of("Kona H4", LEXICON, hiding=False) == [("kona", UPPER), ("kona", "h", "4")]
    assert names_of("Workline AX7", LEXICON) == [("workline", UPPER), ("workline", "ax", "7")]
    assert names_of("V91", LEXICON) == []  # V and 91 would hide a marking's


def test_what_stands_beside_a_name_still_counts() -> None:
    assert _claims("Winter King 205/55R16 Winter Tire", "Winter King", title=True) == [("season", "winter")]
    assert _claims("Winter King: each tire carries 690 kg.", "Winter King") == [("max_load_kg", 690.0)]


@pytest.mark.parametrize(
    "text", ["", "Zorvelan", "Winter", "All Season", "Run Flat", "10 Ply", "Load Range E", "205/55R16 Breeze",
             "Haul 91V", "XL Breeze", "Q", "A B", "LT E", "Wet B", "Haul 3 t", "91 t", "Speed Q",
             "A name made of far more words than names are"],
)  # fmt: skip
def test_what_is_no_name(text: str) -> None:
    assert name_of(text, LEXICON) == ()


@pytest.mark.parametrize(
    "form", ["Sprint {}", "Tourmax {}", "Kona 4{}", "Lira {} 2", "Vento {} Plus", "{} Tourmax", "GT {}"]
)
@pytest.mark.parametrize("letter", string.ascii_uppercase)
def test_a_letter_beside_a_word_is_part_of_its_name(form: str, letter: str) -> None:
    name = form.format(letter)
    assert name_of(name, LEXICON) == tuple(
        part.casefold() for word in name.split() for part in LEXICON.tokens_of_word(word)
    )


SPEED_SYMBOL_OF = {
    "en": "Speed symbol of the {}: {}.",
    "de": "Geschwindigkeitsindex des {}: {}.",
    "fr": "Indice de vitesse du {} : {}.",
    "es": "Código de velocidad del {}: {}.",
    "it": "Codice di velocità del {}: {}.",
    "nl": "Snelheidsindex van de {}: {}.",
    "pl": "Indeks prędkości {}: {}.",
    "sv": "{} har hastighetsindex {}.",
}
TITLES = ("205/55R16 91 {1} speed symbol Tolvane {0}", "Zomerband Tolvane {0} snelheidsindex {1} 205/55R16")
NAMES = ("Sprint Q", "Tourmax S", "Kona 4H", "Lira T 2", "Vento G Plus", "Kona B", "Kona B4", "Kona H4", "Sprint AX7")


def _beside_names(symbol: str) -> list[dict[str, str]]:
    """Listings of a 91H whose texts give a speed symbol beside the name."""
    own = {"brand": "Tolvane", "marking": "205/55R16 91H", "title": "", "description": ""}
    texts = [("title", text) for text in TITLES] + [("description", text) for text in SPEED_SYMBOL_OF.values()]
    return [own | {"model": name, field: text.format(name, symbol)} for name, (field, text) in product(NAMES, texts)]


def test_the_letter_of_a_name_is_no_speed_symbol() -> None:
    listings = _beside_names("H")
    assert [one for one, found in zip(listings, one_by_one(listings), strict=True) if found] == []
    assert not differing(listings)


@pytest.mark.parametrize("symbol", ["Q", "W"])
def test_a_symbol_beside_such_a_name_is_still_held_against_the_marking(symbol: str) -> None:
    listings = _beside_names(symbol)
    assert [one for one, found in zip(listings, one_by_one(listings), strict=True) if not found] == []
    assert not differing(listings)


def test_a_letter_right_behind_the_marking_is_none_of_the_name() -> None:
    for model in ("Sprint", "Sprint Q"):
        listing = {"model": model, "marking": "205/55R16 91H", "title": f"{model} 205/55R16 91Q"}
        assert [one.field for one in auditor.audit_listing(listing).findings] == ["title"]


def test_a_feed_is_held_for_its_symbols_and_not_for_its_names(tmp_path: Path) -> None:
    right, wrong = _beside_names("H"), _beside_names("Q")
    rows = [one | {"sku": f"N-{number}"} for number, one in enumerate(right + wrong)]
    with (tmp_path / "feed.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    findings = auditor.audit(str(tmp_path)).findings.to_pylist()
    held = {one["record"] for one in findings if one["field"] in ("title", "description")}
    assert held == set(range(len(right) + 1, len(rows) + 1))


def test_a_column_has_the_names_that_each_text_has() -> None:
    chance = random.Random(5)
    words = ["Winter", "King", "Breeze", "AX7", "90", "1000", "2024", "XL", "4x4", "91V", "205/55R16", "10", "Ply",
             "All", "Season", "Tolvane", "&amp;", "<b>Run</b>", "E", "\n", "Range", "Öko", "Quattro", "venti", "3PMSF",
             "-", "Q", "t", "h", "H4", "4H", "GT", "LT", "Wet", "Sprint", "Sprint Q", "3", "т"]  # fmt: skip
    drawn = [" ".join(chance.choices(words, k=chance.randrange(8))) for _ in range(3_000)]
    texts = list(dict.fromkeys([*drawn, "Run 90 " * 9]))
    vocabulary = Vocabulary(LEXICON)
    owns = owns_of(Quotes(vocabulary), [None, None, None, pa.array(texts), None], len(texts))
    assert len(owns.names) == 2
    for before_sign, names in enumerate(owns.names):
        for text, place in zip(texts, names.places[owns.places].tolist(), strict=True):
            name = name_of(text, LEXICON, before_sign=bool(before_sign))
            wanted = [-int(one) if is_figure(one) else vocabulary.number(one) for one in name]
            assert [one for one in names.tokens[place].tolist() if place >= 0 and one != -1] == wanted, text


def test_the_load_range_of_the_marking_is_a_part_of_it() -> None:
    own = own_of("LT245/75R16 120/116S E", "", "")
    assert own.quoted.letter == "E"
    text = "LT245/75R16 120/116S E wet grip class B"
    fields = {claim.field: claim.value for claim in read_claims(text, LEXICON, own, True)}
    assert fields["wet_grip_class"] == "B" and "load_range" not in fields


def test_more_digits_than_any_figure_has_say_nothing() -> None:
    assert _claims("Max load 1234567 kg, EAN 4006381333931.") == []
