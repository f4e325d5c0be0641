"""Markings in words of many languages: plies, "up to", names of index and symbol, and what is sold beside tires."""

from __future__ import annotations

import unicodedata

import pytest

from auditor.marking import Marking, Unreadable, decode, languages, ply_words
from auditor.rulebook.built_in import load_contract

_BEHIND = frozenset(languages.of(languages.AFTER_LIMIT))


def read(text: str) -> Marking:
    found = decode(text)
    assert isinstance(found, Marking), found
    return found


@pytest.mark.parametrize("word", languages.of(ply_words.PLIES))
def test_plies(word: str) -> None:
    found = read(f"12.00-24 20 {word}")
    assert (found.ply_rating, found.service.load_index, found.unread) == (20, None, ())


@pytest.mark.parametrize(
    ("number", "word"),
    [(number, word) for number, words in ply_words.PLY_NUMBERS.items() for word in languages.of(words)],
)
def test_plies_as_number_words(number: str, word: str) -> None:
    assert read(f"12.00-24 {word} PR").ply_rating == int(number)


@pytest.mark.parametrize("word", ["osmiplátno", "osmiplátnová", "ośmiopłócienna", "achtlagig", "восьмислойная"])
def test_plies_glued_to_their_number(word: str) -> None:
    found = read(f"195/70R15C 104/102R {word}")
    assert (found.ply_rating, found.unread) == (8, ())


@pytest.mark.parametrize("word", [*languages.of(languages.UP_TO), *map(str.upper, languages.of(languages.UP_TO))])
def test_up_to_leaves_index_and_symbol_alone(word: str) -> None:
    for gap in (" ", " - "):
        found = read(f"225/45R17 94{gap}{word} 670 kg W{gap}{word} 270 km/h")
        assert (found.service.load_index, found.service.speed_symbol, found.unread) == (94, "W", ())


@pytest.mark.parametrize("word", sorted(_BEHIND))
def test_up_to_may_stand_behind(word: str) -> None:
    found = read(f"225/45R17 94 670 kg {word} W 270 km/h {word}")
    assert (found.service.load_index, found.service.speed_symbol, found.unread) == (94, "W", ())


def test_cells_and_markings_know_the_same_words() -> None:
    """Words before a limit in cells are data of the contract; a marking reads them all."""
    known = {plain(word) for word in (*languages.of(languages.UP_TO), *_BEHIND)}
    assert {plain(word) for word in load_contract().up_to} <= known


def plain(word: str) -> str:
    """Without accents; apostrophes are blanks in markings."""
    signs = unicodedata.normalize("NFD", word.replace("\u2019", " ").replace("'", " "))
    return "".join(sign for sign in signs if not unicodedata.combining(sign))


@pytest.mark.parametrize("unit", languages.of(languages.KMH))
def test_units_of_speed(unit: str) -> None:
    found = read(f"225/45R17 94 W 270 {unit}")
    assert (found.service.speed_symbol, found.unread) == ("W", ())


@pytest.mark.parametrize("name", [*languages.of(languages.INDEX_NAMES), *languages.of(languages.INDEX_ALONE)])
def test_names_of_the_load_index(name: str) -> None:
    for said in (name, name.upper(), name.capitalize()):
        found = read(f"225/70R15C {said}: 112/110")
        assert (found.service.load_index, found.service.load_index_dual, found.unread) == (112, 110, ())


@pytest.mark.parametrize("name", languages.of(languages.SYMBOL_NAMES))
def test_names_of_the_speed_symbol(name: str) -> None:
    for said in (name, name.upper(), name.capitalize()):
        found = read(f"205/55R16 LI 91, {said} V")
        assert (found.service.load_index, found.service.speed_symbol, found.unread) == (91, "V", ())


@pytest.mark.parametrize("name", languages.of(languages.SYMBOL_ALONE))
def test_speed_alone_is_a_symbol_behind_an_index(name: str) -> None:
    assert read(f"205/55R16 LI 91, {name} V").service.speed_symbol == "V"
    assert read(f"205/55R16 {name}: V").service.speed_symbol == "V"


@pytest.mark.parametrize(
    "text",
    [
        "205/55R16 Speed V",  # a model
        "205/55R16 Acme Trail IV T",
        "205/55R16 carga 10 lonas",
        "205/55R16 charge 150 kg",
        "205/55R16 index 12",
    ],
)
def test_names_that_are_none(text: str) -> None:
    found = read(text)
    assert (found.service.load_index, found.service.speed_symbol) == (None, None)


def test_phrases_among_words() -> None:
    found = read("Medida LT215/85 R16, índice 115/112, símbolo Q, rango de carga E.")
    assert found.canonical == "LT215/85R16 115/112Q E"
    assert read("مقاس الإطار 225/55/17 مؤشر الحمولة 97 ومؤشر السرعة W").canonical == "225/55R17 97W"


@pytest.mark.parametrize("name", languages.of(languages.NO_TIRES))
def test_what_is_sold_beside_tires_is_none(name: str) -> None:
    for said in (name, name.upper(), f"Larkmoor {name}"):
        found = decode(f"{said} 195/65R15")
        assert isinstance(found, Unreadable), said
        assert found.refused == "unsure" and "something else than a tire" in found.reason


@pytest.mark.parametrize(
    "text",
    [
        "Binnenslang 3.50-8",
        "Сельхозкамера 15.5-38",
        "Felge für 205/55R16",
        "Jante pour pneu 205/55R16",
        "4.80/4.00-8 tube",
    ],
)
def test_compounds_parts_and_things_behind_a_size(text: str) -> None:
    assert isinstance(decode(text), Unreadable)


@pytest.mark.parametrize(
    "text",
    [
        "Kit 4 pneus pour auto 205/55R16",
        "Reifen mit Schlauch 10.00-20",
        "Opona + dętka 10.00-20",
        "pneu avec chambre à air 10.00-20",
        "Шина, камера 10.00-20",
        "10.00-20 16PR Schlauch und Wulstband",
        "Tube type 10.00-20",
        "Larkmoor with rim protector 205/55R16",
        "Larkmoor tubeless 205/55R16",
    ],
)
def test_tires_with_such_things_are_tires(text: str) -> None:
    assert isinstance(decode(text), Marking)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("medida 215 45 17, carga 91 y velocidad W", "215/45R17 91W"),
        ("215/45R17 índice 91 y símbolo W", "215/45R17 91W"),
        ("215/45R17 91 y velocidad W", "215/45R17 91W"),
        ("205/55R16 indice di carico 91 e velocità V", "205/55R16 91V"),
        ("215/45R17 índice 91 Y reforzado", "215/45R17 91Y XL"),
        ("215/45R17 91 y", "215/45R17 91Y"),
    ],
)
def test_a_letter_that_joins_index_and_symbol_is_no_symbol(text: str, wanted: str) -> None:
    assert str(decode(text)) == wanted


@pytest.mark.parametrize("word", languages.of(languages.ON))
def test_a_rim_behind_on(word: str) -> None:
    assert read(f"175/70 {word} 13 82T").canonical == "175/70R13 82T"


@pytest.mark.parametrize("text", ["205/55 en 16 unidades", "205/55 на 16 штук", "215/65 on 16 pallets"])
def test_what_is_counted_behind_on_is_no_rim(text: str) -> None:
    assert isinstance(decode(text), Unreadable)
