"""Values that say more than their header: bare markings under any name, speeds of machines, letters for headers."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.feeds.reading import opened
from tests.mapping.test_proposal import MARKINGS, left_out, placed
from tests.mapping.test_unread import mapping

CARS = ["205/55R16 91V", "225/45R17 94W", "195/65R15 91H", "235/60R18 107V", "245/40R19 98Y"] * 4
FARM = ["18.4-38", "520/85R38", "11.2-24", "420/70R24", "540/65R30"]


@pytest.mark.parametrize("header", ["Désignation", "Bezeichnung", "Описание", "Model", "Libellé produit", "Desc."])
def test_a_column_of_nothing_but_markings_is_the_marking(header: str) -> None:
    assert placed({"Réf": ["A1", "A2", "A3", "A4", "A5"], header: MARKINGS})[header] == "marking"
    assert placed({"Réf": ["A1", "A2", "A3", "A4", "A5"], header: FARM})[header] == "size"


def test_it_stays_what_its_header_says_beside_another_column_for_it() -> None:
    assert placed({"Marking": MARKINGS, "Bezeichnung": MARKINGS})["Bezeichnung"] == "title"
    sizes, indices = (list(part) for part in zip(*(text.split(" ")[:2] for text in MARKINGS), strict=True))
    feed = {"Größe": sizes, "LI": [text[:-1] for text in indices], "Bezeichnung": MARKINGS}
    assert placed(feed)["Bezeichnung"] == "title"
    assert placed({"title": MARKINGS})["title"] == "title"  # a field's own name


@pytest.mark.parametrize(
    ("cells", "field"),
    [
        (["40", "50", "30", "65", "40"], "max_speed_kmh"),
        (["25", "31", "19", "40", "25"], "max_speed_mph"),
        (["25", "40", "25", "40", "25"], None),  # A5 and A8, or A8 and D
        (["40", "80", "30", "65", "40"], None),
        (["A8", "B", "A6", "D", "A8"], "speed_symbol"),
    ],
)
def test_top_speeds_of_machines(cells: list[str], field: str | None) -> None:
    assert placed({"Taille": FARM, "Vitesse max.": cells}).get("Vitesse max.") == field
    assert placed({"Taille": MARKINGS, "Max. speed": cells}).get("Max. speed") == (field if "A8" in cells else None)


def test_top_speeds_of_machines_with_symbols() -> None:
    marked = [f"{size} {text}" for size, text in zip(FARM, ("146A8", "155A8", "114A5", "130D", "143D"), strict=True)]
    assert placed({"Size": marked, "Vmax": ["40", "40", "25", "65", "65"]})["Vmax"] == "max_speed_kmh"
    assert placed({"Size": marked, "Vmax": ["25", "25", "16", "40", "40"]})["Vmax"] == "max_speed_mph"


def test_a_letter_for_a_header_says_nothing() -> None:
    letters = {"C": ["C", "B", "A", "C", "B"], "T": ["Red", "Blue", "Red", "Green", "Red"], "R": ["Y", "N"] * 2 + ["Y"]}
    assert placed({"Size": MARKINGS, **letters}) == {"Size": "marking"}
    assert left_out({"Size": MARKINGS, **letters}) == {}


def test_two_letters_say_less_than_the_cells() -> None:
    speeds = ["210", "240", "210", "180", "300"]
    unread = mapping(marking=MARKINGS, MS=speeds).unread
    assert [(left.column, left.fields) for left in unread] == [("MS", ("max_speed_kmh", "max_speed_mph"))]
    assert placed({"Size": MARKINGS * 5, "MS": ["210", "240", "210", "180", "300"] * 5})["MS"] == "max_speed_kmh"
    assert placed({"Size": MARKINGS, "MS": ["Y", "N", "Y", "Y", "N"]})["MS"] == "mud_and_snow"


PRICES = ["65.90", "59.00", "89.90", "45.50", "119.00"]
PIECES = ["12", "4", "7", "33", "21"]


@pytest.mark.parametrize(
    "header", ["IN", "LI", "SI", "SS", "CO", "Sz", "Ad", "MA", "TD", "AR", "PR", "OD", "CV", "XL", "R"]
)
@pytest.mark.parametrize("cells", [PRICES, PIECES])
def test_two_letters_over_prices_or_pieces_are_nothing(header: str, cells: list[str]) -> None:
    feed = {"Artikelnummer": ["A1", "A2", "A3", "A4", "A5"], "Size": MARKINGS, header: cells}
    assert placed(feed) == {"Artikelnummer": "sku", "Size": "marking"}


@pytest.mark.parametrize(
    ("header", "cells", "field"),
    [
        ("LI", ["102", "91", "91", "121", "97"], "load_index"),
        ("SI", ["H", "V", "H", "S", "Y"], "speed_symbol"),
        ("SI", ["A8", "A6", "D", "B", "A8"], "speed_symbol"),
        ("LI/SI", ["102", "91", "91", "121", "97"], "load_index"),
        ("XL", ["", "", "", "", "XL"], "load_version"),
        ("Article", [f"Larkmoor Ridge {marking}" for marking in MARKINGS], "title"),
        ("Omschrijving", [f"Larkmoor Ridge {marking}" for marking in MARKINGS], "title"),
        ("xlFlag", ["SL", "SL", "XL", "SL", "XL"], "load_version"),
        ("cap", ["850", "615", "615", "1450", "730"], None),  # a diameter in Turkish, and loads here
        ("Line", ["1", "2", "3", "4", "5"], None),
    ],
)
def test_values_bear_a_header_out_or_do_not(header: str, cells: list[str], field: str | None) -> None:
    assert placed({"Code": ["A1", "A2", "A3", "A4", "A5"], "Marking": MARKINGS, header: cells}).get(header) == field


def test_an_index_column_of_nothing_but_wrong_ones_is_placed_all_the_same() -> None:
    wrong = ["104", "94", "93", "124", "99"]
    assert placed({"Code": ["A1", "A2", "A3", "A4", "A5"], "Marking": MARKINGS, "LI": wrong})["LI"] == "load_index"


@pytest.mark.parametrize(
    ("header", "cells"),
    [
        ("RTG", ["Y", "N", "Y", "Y", "N"]),  # no letters of plies
        ("SPD", ["Y", "N", "Y", "Y", "N"]),
        ("REG", ["5", "10", "12", "7", "15"]),  # no plies
        ("LBL", ["12", "4", "7", "33", "21"]),  # no classes
        ("VAL", ["PL", "DE", "RO", "CZ", "SK"]),  # no names
        ("SET", ["65.90", "99.00", "89.90", "75.50", "119.00"]),  # no widths
    ],
)
def test_a_short_header_over_other_things_is_nothing(header: str, cells: list[str]) -> None:
    assert placed({"Artikelnummer": ["A1", "A2", "A3", "A4", "A5"], "Size": MARKINGS, header: cells}).keys() == {
        "Artikelnummer",
        "Size",
    }


def test_a_symbol_is_a_speeds_where_its_cells_are() -> None:
    symbols = ["H", "V", "H", "S", "Y"]
    assert placed({"Size": MARKINGS, "Symbol": symbols})["Symbol"] == "speed_symbol"
    assert placed({"Symbol": ["A1", "A2", "A3", "A4", "A5"], "Size": MARKINGS})["Symbol"] == "sku"  # Polish


def test_classes_of_tires_are_no_plies() -> None:
    assert placed({"Size": MARKINGS, "Kat.": ["C1", "C1", "C2", "C1", "C2"]})["Kat."] == "tire_class"
    assert placed({"Size": MARKINGS, "Ply": ["4", "6", "8", "4", "10"]})["Ply"] == "ply_rating"


def test_circles_say_yes_where_they_are_of_one_kind() -> None:
    assert placed({"Size": MARKINGS, "XL": ["○", "", "", "○", "○"]})["XL"] == "load_version"
    assert "3PMSF" not in placed({"Size": MARKINGS, "3PMSF": ["○", "●", "○", "●", "●"]})


def test_one_number_that_is_a_load_as_well_is_no_doubt_about_speeds() -> None:
    symbols = {"P": "150", "J": "100", "L": "120", "H": "210", "S": "180", "M": "130"}
    tires = [f"{width}/80-14 M/C {index}{symbol}" for width, index in ((100, 47), (90, 46)) for symbol in symbols] * 2
    speeds = list(symbols.values()) * 4
    tires[0], tires[4], speeds[0] = "100/80-14 M/C 48P", "100/80-14 M/C 48S", "180"  # 180 kg, as 48 says
    assert placed({"column 1": tires, "column 2": speeds})["column 2"] == "max_speed_kmh"


@pytest.mark.parametrize(
    "cells", [["lato", "zima", "całoroczna"], ["夏", "冬", "オールシーズン"], ["été", "hiver", "été"]]
)
def test_words_for_seasons_under_any_header(cells: list[str]) -> None:
    rows = {"Size": MARKINGS * 3, "Xq": cells * 5}
    assert placed(rows)["Xq"] == "season"
    assert "Stock" not in placed({"Size": MARKINGS * 3, "Stock": cells * 5})
    assert "Xq" not in placed({"Size": MARKINGS * 3, "Xq": cells[:1] * 15})  # what all have is no news of a tire


def test_yes_and_no_under_half_a_name_of_a_mark_for_snow() -> None:
    answers = ["oui", "non", "non", "oui", "non"]
    assert placed({"Size": MARKINGS, "marquage_3pmsf": answers})["marquage_3pmsf"] == "severe_snow"
    assert "marquage_3pmsf" not in placed({"Size": MARKINGS, "marquage_3pmsf": ["a", "b", "c", "d", "e"]})
    assert "emballage_renforce" not in placed({"Size": MARKINGS, "emballage_renforce": answers})


def test_whole_labels_under_any_header() -> None:
    labels = ["C/A/70dB/B", "C/B/70dB/B", "-", "D/B/69dB/B", "B/A/71dB/A"] * 4
    fields = placed({"Size": CARS, "Etyk.": labels})["Etyk."]
    assert fields == "fuel_class"
    assert "Grade" not in placed({"Size": CARS, "Grade": ["A/B", "B/C", "C/A", "A/A", "B/B"] * 4})


@pytest.mark.parametrize("codes", [["XL", "", "C", "", ""], ["XL", "-", "-", "LT", "-"]])
def test_load_versions_beside_the_letters_of_vans(codes: list[str]) -> None:
    assert placed({"Size": CARS, "Ver": codes * 4})["Ver"] == "load_version"


def test_letters_of_load_ranges_are_no_versions() -> None:
    assert "Xq" not in placed({"Size": CARS, "Xq": ["C", "", "C", "", "C"] * 4})


def test_remarks_that_speak_of_the_tire_now_and_then() -> None:
    remarks = ["", "IC 94 = 710 kg par pneu", "SUV", "Camping", "Jusqu'à 210 km/h sur autoroute"]
    more = ["Directeur", "", "1030 kg en simple, 975 kg en jumelé", "Scooter", "Remorque jusqu'à 750 kg"]
    feed = {"Size": CARS, "Title": [f"Torvex Nordik {size}" for size in CARS], "Xq": (remarks + more) * 2}
    assert placed(feed)["Xq"] == "description"
    loads = [f"{load} kg por pneu novo" for load in (615, 670, 615, 975, 750)] * 4
    assert placed({**feed, "Xq": loads}).get("Xq") != "description"


def test_ranges_of_rims_among_single_ones() -> None:
    rims = ["5,5-7,5", "7,0-8,5", "6,00", "6,5-8,5", "8,0-9,5"] * 4
    found = placed({"Size": CARS, "Felge": rims, "Zoll": ["16", "17", "15", "18", "19"] * 4})
    assert found["Felge"] == "rim_width_min_in"


def test_single_rim_widths_are_those_of_the_measuring_rim() -> None:
    assert (
        placed({"Size": CARS, "ancho_rin": ["5.5", "7.0", "6.0", "6.5", "8.0"] * 4})["ancho_rin"] == "measuring_rim_in"
    )


def test_remarks_in_a_language_without_blanks() -> None:
    remarks = [
        "单胎1320公斤,双胎1180公斤",
        "冬季雪地胎,3PMSF认证",
        "最大负荷4500公斤,20层级",
        "快递面包车用,10层级",
        "欧洲市场常用规格",
    ] * 4
    assert placed({"Size": CARS, "备注": remarks})["备注"] == "description"


def test_a_unit_as_an_inner_key() -> None:
    found = placed({"tire.size": CARS, "tire.psi": ["44", "51", "44", "50", "44"] * 4})
    assert found["tire.psi"] == "max_pressure_psi"


def test_ranges_of_rim_widths_under_a_name_of_the_diameter() -> None:
    rims = ["5,5–7,5", "7,0–8,5", "5,5–7,0", "6,5–8,5", "8,0–9,5"] * 4
    assert placed({"Size": CARS, 'Ráfek (")': rims})['Ráfek (")'] == "rim_width_min_in"


def test_plies_by_their_letters() -> None:
    assert placed({"Size": CARS, "ausfuehrung": ["8PR", "10 PR", "", "6PR", "8PR"] * 4})["ausfuehrung"] == "ply_rating"
    assert "Xq" not in placed({"Size": CARS, "Xq": ["8", "10", "", "6", "8"] * 4})


@pytest.mark.parametrize(
    "header",
    ["Uwagi", "비고", "Observações", "備考", "Megjegyzés", "Remarks", "Примечание", "Extra info", "用途・説明"],
)
def test_remarks_under_their_name(header: str) -> None:
    """Whether few of them or none speak of the tire."""
    remarks = ["SUV", "", "Camping", "690 kg", ""] * 4
    assert (
        placed({"Size": CARS, "Title": [f"Torvex {size}" for size in CARS], header: remarks})[header] == "description"
    )


def test_remarks_of_a_feed_without_headers(tmp_path: Path) -> None:
    rows = [
        f"TX{10 + at};Torvex;{size};Nordik;long haul axle, {word};{at}"
        for at, (size, word) in enumerate(
            zip(CARS, ["steel", "front", "rear", "2,150 kg on each tire", "city"] * 4, strict=True)
        )
    ]
    path = tmp_path / "feed.csv"
    path.write_text("\n".join(rows) + "\n")
    assert "description" in {use.fields[0] for use in opened(path).mapping.columns}


def test_loads_in_kilograms_without_a_header() -> None:
    """One that is wrong among them; weights and minimum orders in kilograms are no loads."""
    loads = {"91V": "615 kg", "94W": "670 kg", "91H": "615 kg", "107V": "975 kg", "98Y": "750 kg"}
    cells = [loads[marking.split(" ")[1]] for marking in CARS]
    assert placed({"Size": CARS, "Xq": [*cells[:-1], "1653 kg"]})["Xq"] == "max_load_kg"
    assert "Xq" not in placed({"Size": CARS, "Xq": ["9 kg", "10 kg", "8 kg", "14 kg", "11 kg"] * 4})
