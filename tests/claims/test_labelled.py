"""Labelled values in sales texts are read as a feed's headers and cells are, in whatever way lines are told apart.

91 stands for 615 kg and V for 240 km/h by UN R30, annex 4 (the tables that `rules/tables` holds).
"""

from __future__ import annotations

import random

import pytest

import auditor
from auditor.claims.labelled import labelled_values
from auditor.shell.text_words import understood
from tests.trials.both_paths import differing

LISTING = {
    "marking": "205/55R16 91V", "season": "summer", "severe_snow": "no", "mud_and_snow": "yes", "fuel_class": "C",
    "wet_grip_class": "A", "noise_db": "71", "noise_class": "B", "ply_rating": "4", "max_pressure_kpa": "350",
}  # fmt: skip
FACTS = [  # a label, what is right, and what is not
    ("Load index", "91", "94"), ("Lastindex", "91", "87"), ("Speed rating", "V", "T"), ("Max load", "615 kg", "690 kg"),
    ("Traglast (kg)", "615", "545"), ("Vitesse maxi", "240 km/h", "270 km/h"), ("Wet grip", "A", "B"),
    ("Fuel efficiency (A-E)", "C", "A"), ("EU label", "C / A / 71 dB (B)", "B / A / 71 dB (B)"),
    ("Etichetta UE", "C/A/B/71 dB", "C/B/B/71 dB"), ("Noise (dB)", "71", "68"), ("3PMSF", "no", "yes"),
    ("M+S", "yes", "no"), ("Extra Load", "No", "Yes"), ("Saison", "Sommer", "Winter"), ("Winterreifen", "nein", "ja"),
    ("Load/Speed index", "91 / V", "91 / T"), ("Load index", "91 (615 kg)", "94 (670 kg)"),
    ("Service description", "91V (615 kg / 240 km/h)", "94V (615 kg / 240 km/h)"), ("Felge", "16 Zoll", "17 Zoll"),
    ("Max. pressure", "51 psi", "44 psi"),
    ("Size", "205/55R16", "215/55R16"), ("Aspect ratio", "55", "60"), ("Breite", "205 mm", "215 mm"),
]  # fmt: skip
SEPARATORS = (": ", " = ", " - ", " \u2013 ", "\t", " -> ")
JOINS = ("\n", "  ", "<br>", " | ", ", ", " / ", "; ", " \u2022 ")


def _held(text: str) -> list[str]:
    found = auditor.audit_listing({**LISTING, "description": text}).findings
    return [finding.rule for finding in found if finding.grade != "minor"]


@pytest.mark.parametrize(("label", "right", "wrong"), FACTS)
def test_a_labelled_value_is_held_against_the_listing(label: str, right: str, wrong: str) -> None:
    for separator in SEPARATORS:
        assert _held(label + separator + right) == [], separator
        assert _held(label + separator + wrong) != [], separator
    for cells in ("<tr><td>{}</td><td>{}</td></tr>", "<li><b>{}:</b> {}</li>", "<div>{}: {}</div>", "A tire. {}: {}."):
        assert _held(cells.format(label, right)) == [], cells
        assert _held(cells.format(label, wrong)) != [], cells


@pytest.mark.parametrize("join", JOINS)
def test_a_value_among_others_is_found(join: str) -> None:
    before, behind = ("EAN: 4012345678901", "Tread depth: 8 mm"), ("Price: 91.90", "Weight: 9.1 kg", "Brand: Norwind")
    for label, right, wrong in FACTS:
        assert _held(join.join([*before, f"{label}: {right}", *behind])) == [], label
        assert _held(join.join([*before, f"{label}: {wrong}", *behind])) != [], label


@pytest.mark.parametrize(
    "text",
    [
        "DOT: 0194", "Section height: 113 mm", "Price: 94", "Shipping weight: 690 kg", "Rim: 7.50", "Model: Sprint T",
        "Max load: 640 kg of luggage?", "Load index: 94?", "Load index 94 or higher: ask us", "Load per axle: 1,230 kg",
        "Pressure: 2.4 bar", "3PMSF: -", "Wet grip: n/a", "Diameter: 24.9 in",
        "Load index: 91\nLoad index: 94 (XL version)",
    ],
)  # fmt: skip
def test_what_says_nothing_of_this_tire(text: str) -> None:
    assert [one.value for one in labelled_values(text)[1]] == []


def test_a_label_and_its_value_on_two_lines() -> None:
    for lines in ("Load index\n{}", "<div>Load index</div><div>{}</div>", "<p>Load index:</p>\n<p>{}</p>"):
        assert _held(lines.format(91)) == []
        assert _held(lines.format(94)) == ["load-index-contradicted"]
    assert _held("Features:\nM+S\n205/55R16 91V\nQuiet") == []


def test_a_table_of_one_tire_has_its_names_in_the_first_row() -> None:
    names = "<tr><th>Size</th><th>Load index</th><th>Max load</th></tr>"
    table = f"<table>{names}<tr><td>205/55R16</td><td>{{}}</td>{{}}</table>"
    assert _held(table.format(91, "<td>615 kg</td></tr>")) == []
    assert _held(table.format(94, "<td>615 kg</td></tr>")) == ["load-index-contradicted"]
    several = "<td>615 kg</td></tr><tr><td>225/45R17</td><td>94</td><td>670 kg</td></tr>"
    assert _held(table.format(91, several)) == []


def test_what_is_not_read_stays_one_sentence() -> None:
    text = "Load index: 91 | a quiet tire | also as 94V, ask us"
    assert labelled_values(text)[0] == "| a quiet tire | also as 94V, ask us"


def test_an_explained_text_shows_them() -> None:
    told = understood("Load index: 94 | M+S: no | Max speed: >300 km/h", "205/55R16 91V", None, title=False)
    assert told.splitlines()[-3:] == [
        "labelled, 'Load index: 94': load_index 94: claimed",
        "labelled, 'M+S: no': mud_and_snow not 1: claimed",
        "labelled, 'Max speed: >300 km/h': max_speed_kmh or more than 300: claimed",
    ]


def test_lines_in_a_feed_say_what_they_say_alone() -> None:
    chance = random.Random(7)
    prose = [
        "A quiet tire",
        "Norwind Trail 205/55R16 91V",
        "Carries 690 kg",
        "Not for vans",
        "M+S",
        "<b>Ridge &amp; Co</b>",
    ]
    values = [value for fact in FACTS for value in fact[1:]]

    def text() -> str:
        parts = [
            chance.choice(prose)
            if chance.random() < 0.2
            else chance.choice(FACTS)[0] + chance.choice((*SEPARATORS, "\n")) + chance.choice(values)
            for _ in range(chance.randint(1, 6))
        ]
        return chance.choice((*JOINS, ". ", "</li><li>")).join(parts)

    assert differing([{**LISTING, "description": text()} for _ in range(400)]) == []
