"""Second columns: a title in another language is a text, widths that were measured are those, flags are no symbols."""

from __future__ import annotations

import pytest

from auditor.feeds.column_evidence import Column, of_flags
from auditor.rulebook.built_in import load_contract
from auditor.rulebook.headers import read_header
from tests.mapping.test_proposal import MARKINGS, placed

SIZES = ["225/65R17", "205/55R16", "195/65R15", "235/60R18", "245/40R18"] * 4
TITLES = [f"Halvane Brise {size} 102H" for size in SIZES]


def test_a_title_in_another_language_is_a_text() -> None:
    others = [f"Pneu été Halvane Brise {size} 102H" for size in SIZES]
    assert placed({"Title EN": TITLES, "Titre FR": others})["Titre FR"] == "description"
    assert placed({"pavadinimas": TITLES, "nosaukums_lv": others})["nosaukums_lv"] == "description"


def test_a_category_under_a_second_title_is_left_out() -> None:
    assert "Name 2" not in placed({"Title": TITLES, "Name 2": ["Car tires", "Van tires"] * 10})


def test_widths_that_were_measured_stand_beside_those_of_sizes() -> None:
    sizes, nominal = SIZES, ["225", "205", "195", "235", "245"] * 4
    measured = ["228", "214", "201", "240", "248"] * 4
    found = placed({"Size": sizes, "Width": nominal, "Tire width": measured})
    assert (found["Width"], found["Tire width"]) == ("section_width_mm", "measured_width_mm")


def test_s_and_n_are_yes_and_no() -> None:
    found = placed({"Marking": MARKINGS * 4, "neve_3pmsf": ["S", "N"] * 10})
    assert found.get("neve_3pmsf") in (None, "severe_snow")


def test_an_index_of_descriptions_is_no_number_of_articles() -> None:
    services = ["102H", "91V", "91H", "107V", "97Y"] * 4
    assert placed({"kode": [f"BN{n}" for n in range(20)], "ukuran": SIZES, "indeks": services})["indeks"] == (
        "service_description"
    )


def test_letters_beside_the_noise_are_classes_where_they_go_with_it() -> None:
    classes, levels = ["B", "B", "A", "B", "A"] * 4, ["71", "70", "67", "71", "68"] * 4
    sizes = [f"{size} 91V" for size in SIZES]
    feed = {"Marking": sizes, "Noise dB": levels, "Xq": classes}
    assert placed(feed).get("Xq") == "noise_class"
    assert "Xq" not in placed({**feed, "Xq": ["A", "C", "C", "A", "B"] * 4})


@pytest.mark.parametrize(
    ("header", "group"),
    [
        ("I.Carga", "load_index"),
        ("I.Vel", "speed_symbol"),
        ("FELGE_MESS", "measuring_rim"),
        ("SAISON_KZ", "season"),
        ("림폭_최소", "rim_width_min"),
        ("최대 림폭", "rim_width_max"),
        ("largeur jante mini", "rim_width_min"),
        ("kantavuusluku_paripyora", "load_index_dual"),
        ("bullet_point1", "description"),
    ],
)
def test_further_headers(header: str, group: str) -> None:
    assert read_header(header, load_contract()).groups[:1] == (group,)


@pytest.mark.parametrize("letters", [("S", "N"), ("T", "N"), ("I", "N"), ("D", "N"), ("+", "-")])
def test_two_letters_of_which_one_is_no_are_flags(letters: tuple[str, str]) -> None:
    assert of_flags(Column(0, "x", letters * 10))
    assert not of_flags(Column(0, "x", ("S", "T") * 10))


def test_dual_loads_are_placed_by_the_markings_where_the_dual_index_has_a_column() -> None:
    feed = {
        "Size": ["315/80R22.5", "295/80R22.5", "12R22.5", "385/65R22.5", "11R22.5"] * 4,
        "Load index": ["156", "152", "152", "160", "148"] * 4,
        "Load index dual": ["150", "148", "149", "158", "145"] * 4,
        "Xqw": ["3350", "3150", "3250", "4250", "2900"] * 4,
    }
    assert placed(feed)["Xqw"] == "max_load_dual_kg"
