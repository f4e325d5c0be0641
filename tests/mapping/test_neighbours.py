"""Columns told by those beside them, by one system of units, and by the numbers of rims and widths."""

from __future__ import annotations

import pytest

from auditor.feeds.column_evidence import Column
from auditor.mapping.loose_columns import are_index_pairs
from auditor.mapping.season_codes import season_codes
from auditor.rulebook.built_in import load_contract
from tests.mapping.test_proposal import MARKINGS, placed

CARS = ["205/55R16 91V", "225/45R17 94W", "195/65R15 91H", "235/60R18 107V", "245/40R19 98Y"] * 4
VANS = ["215/65R16C 109/107T", "195/70R15C 104/102R", "225/70R15C 112/110S", "235/65R16C 115/113R"] * 5
TRUCKS = ["315/80R22.5 156/150L", "385/65R22.5 160K", "295/80R22.5 152/148M", "315/70R22.5 154/150L"] * 5


def test_classes_beside_the_noise_stand_in_the_order_of_the_label() -> None:
    feed = {
        "Size": CARS,
        "Xq": ["C", "B"] * 10,
        "Xw": ["A", "B"] * 10,
        "Noise": ["71 dB", "67 dB"] * 10,
        "Xn": ["B", "A"] * 10,
    }
    found = placed(feed)
    assert (found["Xq"], found["Xw"], found["Xn"]) == ("fuel_class", "wet_grip_class", "noise_class")
    feed = {"Size": CARS, "Xq": ["C", "B"] * 10, "Wet grip": ["A", "B"] * 10, "Noise": ["71 dB", "70 dB"] * 10}
    assert placed(feed)["Xq"] == "fuel_class"


@pytest.mark.parametrize("header", ["Lager", "Price group"])
def test_classes_of_other_business_are_none(header: str) -> None:
    feed = {"Size": CARS, header: ["C", "B"] * 10, "Wet grip": ["A", "B"] * 10, "Noise": ["71 dB", "70 dB"] * 10}
    assert header not in placed(feed)


def test_letters_far_from_the_label_are_no_classes() -> None:
    feed = {
        "Xq": ["C", "B"] * 10,
        "Size": CARS,
        "EAN": [""] * 20,
        "Xa": ["1"] * 20,
        "Xb": [""] * 20,
        "Noise": ["71 dB"] * 20,
    }
    assert "Xq" not in placed(feed)


def test_tire_grades_side_by_side() -> None:
    grades = {"A1": ["500", "440"] * 10, "A2": ["A", "AA"] * 10, "A3": ["A", "B"] * 10}
    found = placed({"Size": CARS, **grades})
    assert [found[header] for header in grades] == ["treadwear", "traction", "temperature"]
    grades["A2"] = ["A", "B"] * 10  # two columns of such letters may be classes of anything
    assert not grades.keys() & placed({"Size": CARS, **grades}).keys()


@pytest.mark.parametrize(("first", "second"), [("Load 1", "Load 2"), ("Max load1", "Max load2")])
def test_the_second_of_two_loads_is_that_of_dual_tires(first: str, second: str) -> None:
    loads, duals = ["1030 kg", "900 kg", "1120 kg", "1215 kg"] * 5, ["975 kg", "850 kg", "1060 kg", "1150 kg"] * 5
    found = placed({"Size": VANS, first: loads, second: duals})
    assert (found[first], found[second]) == ("max_load_kg", "max_load_dual_kg")
    assert second not in placed({"Size": VANS, first: loads, second: ["8 kg", "9 kg", "2000 kg", "12 kg"] * 5})


def test_letters_behind_the_load_index_are_speed_symbols() -> None:
    size, service = zip(*(text.split(" ") for text in CARS), strict=True)
    feed = {"Size": list(size), "LI": [text[:-1] for text in service], "Qx": [text[-1] for text in service]}
    assert placed(feed)["Qx"] == "speed_symbol"
    assert "Qx" not in placed({**feed, "Qx": ["R", "D"] * 10})  # radial and diagonal


def test_names_that_each_brand_has_of_its_own_are_models() -> None:
    feed = {"Brand": ["Norvane", "Norvane", "Torvik", "Torvik"] * 5, "Type": ["Eco", "Sport", "Cargo", "City"] * 5}
    assert placed({**feed, "Size": CARS})["Type"] == "model"
    feed["Type"] = ["Car", "Van", "Car", "Van"] * 5
    assert "Type" not in placed({**feed, "Size": CARS})
    brands = ["Norvane", "Torvik", "Kordane", "Larkmoor"] * 5
    assert "Type" not in placed({"Brand": brands, "Type": ["Premium", "Budget", "Middle", "Own"] * 5, "Size": CARS})


@pytest.mark.parametrize(
    ("codes", "said"),
    [
        (["S", "W", "G"], {"s": "summer", "w": "winter", "g": "all-season"}),
        (["L", "Z", "C"], {"l": "summer", "z": "winter", "c": "all-season"}),
        (["Z", "W"], {"z": "summer", "w": "winter"}),  # Dutch
        (["N", "T", "4É"], {"n": "summer", "t": "winter", "4é": "all-season"}),
        (["Θ", "Χ", "4"], {"θ": "summer", "χ": "winter", "4": "all-season"}),
        (["SO", "WI", "GJ"], {"so": "summer", "wi": "winter", "gj": "all-season"}),
        (["SOM", "WIN"], {"som": "summer", "win": "winter"}),
        (["SO", "XQ"], {}),
        (["A", "B", "C"], {}),
        (["1", "2", "3"], {}),
        (["W", "W"], {}),
    ],
)
def test_letters_of_seasons(codes: list[str], said: dict[str, str]) -> None:
    assert season_codes(Column(0, "Season", codes * 3), load_contract()) == said


def test_a_column_of_season_letters_is_read_by_them() -> None:
    assert placed({"Size": CARS, "Saison": ["S", "W", "G", "S"] * 5})["Saison"] == "season"


def test_a_weight_without_its_unit_is_in_that_of_the_feed() -> None:
    loads = {"Size": CARS, "Max load": ["1356 lb", "1477 lb"] * 10, "Max speed": ["149 mph", "168 mph"] * 10}
    assert placed({**loads, "Weight": ["22.1", "19.8"] * 10})["Weight"] == "tire_weight_lb"
    loads = {"Size": CARS, "Max load": ["615 kg", "670 kg"] * 10, "Max speed": ["240 km/h", "270 km/h"] * 10}
    assert placed({**loads, "Weight": ["9.1", "8.8"] * 10})["Weight"] == "tire_weight_kg"
    mixed = {"Size": CARS, "Max load": ["615 kg", "670 kg"] * 10, "Max speed": ["149 mph", "168 mph"] * 10}
    assert "Weight" not in placed({**mixed, "Weight": ["9.1", "8.8"] * 10})


def test_dual_loads_are_in_the_unit_of_single_ones() -> None:
    feed = {
        "Size": VANS,
        "Load": ["1030 kg", "900 kg", "1120 kg", "1215 kg"] * 5,
        "Twin load": ["975", "-", "-", "-"] * 5,
    }
    assert placed(feed)["Twin load"] == "max_load_dual_kg"


def test_dual_loads_that_are_far_from_single_ones_are_in_another_unit() -> None:
    """Kilograms beside pounds; none is assumed, and the column is said to be unread."""
    feed = {
        "Size": VANS,
        "Load (lb)": ["2271", "1984", "2469", "2679"] * 5,
        "Twin load": ["975", "850", "-", "-"] * 5,
    }
    assert "Twin load" not in placed(feed)


@pytest.mark.parametrize(
    ("cells", "field"),
    [
        (["8.5 bar", "125 psi", "9 bar", "8.75 bar"], "max_pressure_bar"),
        (["15.5 mm", "18 mm", "13.5 mm", "20 mm"], "tread_depth_mm"),
        (["120 km/h", "110 km/h", "130 km/h", "120 km/h"], "max_speed_kmh"),
        (["130 mm", "180 mm", "135 mm", "200 mm"], None),
        (["15 kg", "18 kg", "13 kg", "20 kg"], None),
    ],
)
def test_cells_in_a_unit_that_nothing_else_of_a_tire_is_in(cells: list[str], field: str | None) -> None:
    assert placed({"Size": TRUCKS, "Qzx": cells * 5}).get("Qzx") == field


def test_a_rim_of_widths_is_the_measuring_rim() -> None:
    assert placed({"Size": TRUCKS, "Rim": ["9.00", "11.75", "9.00", "9.00"] * 5})["Rim"] == "measuring_rim_in"
    assert placed({"Size": TRUCKS, "Rim": ["22.5"] * 20})["Rim"] == "rim_diameter_in"
    farm = ["520/85R38", "420/85R30", "320/85R24", "340/85R28"] * 5
    assert placed({"Size": farm, "Rim": ["DW16", "DW15", "W10", "W11"] * 5})["Rim"] == "measuring_rim_in"
    mixed = {
        "Size": [*farm, "400/60-15.5", "500/50-17"],
        "Rim": [*["DW16", "DW15", "W10", "W11"] * 5, "13.00x15.5", "16.00x17"],
    }
    assert placed(mixed)["Rim"] == "measuring_rim_in"


def test_ranges_of_rim_widths_under_any_header() -> None:
    ranges = ["5.5-7.5", "7.0-8.5", "5.5-7.0", "6.5-8.5", "8.0-9.5"] * 4
    assert placed({"Size": CARS, "Qzx": ranges})["Qzx"] == "rim_width_min_in"
    bolts = ["5-4.5", "6-5.5", "5-4.5", "8-6.5", "6-5.5"] * 4  # holes and the circle they lie on
    assert "Qzx" not in placed({"Size": CARS, "Qzx": bolts})


def test_numbers_near_the_nominal_widths_are_measured_ones() -> None:
    sizes = ["315/80R22.5 156/150L", "385/65R22.5 160K", "295/80R22.5 152/148M", "255/70R22.5 140/137M"] * 6
    assert placed({"Size": sizes, "Qzx": ["312", "389", "298", "251"] * 6})["Qzx"] == "measured_width_mm"
    assert "Qzx" not in placed({"Size": sizes, "Qzx": ["262", "327", "250", "215"] * 6})  # of the tread


def test_speeds_with_their_symbols_are_symbols() -> None:
    cells = ["V - up to 240 km/h", "W (270)", "H - up to 210 km/h", "V (240)", "Y - up to 300 km/h"] * 4
    assert placed({"Size": [text.split(" ")[0] for text in CARS], "Speed max.": cells})["Speed max."] == "speed_symbol"


def test_a_long_text_of_each_tire_is_its_description() -> None:
    texts = [f"Quiet on wet roads and light on fuel, tread {number}." for number in range(20)]
    assert placed({"Size": CARS, "Qzx": texts})["Qzx"] == "description"
    assert "Delivery" not in placed({"Size": CARS, "Delivery": texts})
    assert "Qzx" not in placed({"Size": CARS, "Qzx": ["Prices are without tax and may change."] * 20})
    assert "Qzx" not in placed(
        {"Size": CARS, "Qzx": [f"https://shop.example/tires of kind {n} and more" for n in range(20)]}
    )


@pytest.mark.parametrize(
    ("header", "cells", "field"),
    [
        ("Brand/Pattern", ["Norvane Eco", "Norvane Sport", "Torvik Cargo", "Torvik City", "Norvane Eco"], "model"),
        ("LR/Plies", ["C/6", "D/8", "E/10", "D/8", "E/10"], "load_range"),
        ("新胎外径", ["632", "634", "635", "739", "679"], "overall_diameter_mm"),
        ("PR相当", ["(6PR)", "8PR相当", "6PR相当", "(8PR)", "10PR相当"], "ply_rating"),
        ("LI単", ["91", "94", "91", "107", "98"], "load_index"),
    ],
)
def test_headers_of_two_names_and_of_scripts_without_blanks(header: str, cells: list[str], field: str) -> None:
    sizes = [text.split(" ")[0] for text in CARS[:5]]
    assert placed({"Size": sizes * 4, header: cells * 4})[header] == field


@pytest.mark.parametrize("header", ["Dispo", "RFT", "Dost.", "Pkg kg"])
def test_words_short_for_other_business(header: str) -> None:
    cells = {"Dost.": ["na zam.", "3 dni", "od ręki", "3 dni"], "Pkg kg": ["9", "10", "11", "12"]}
    assert header not in placed({"Size": CARS, header: cells.get(header, ["1", "0", "12", "4"]) * 5})


def test_a_single_load_is_none_of_dual_tires() -> None:
    single, dual = "Noś. poj. [kg]", "Noś. bliź. [kg]"
    found = placed(
        {"Size": VANS, single: ["1030", "900", "1120", "1215"] * 5, dual: ["975", "850", "1060", "1150"] * 5}
    )
    assert (found[single], found[dual]) == ("max_load_kg", "max_load_dual_kg")


def test_markings_alone_take_nothing_from_their_neighbours() -> None:
    assert placed({"Size": MARKINGS}) == {"Size": "marking"}


def test_names_of_a_feed_without_headers() -> None:
    feed = {
        "column 1": [f"NO{number:05}" for number in range(20)],
        "column 2": ["NORVANE", "NORVANE", "TORVIK", "TORVIK"] * 5,
        "column 3": ["ECO 2", "SPORT", "CARGO", "CITY 4"] * 5,
        "column 4": CARS,
        "column 5": ["Front", "Rear"] * 10,
    }
    names = {"column 1": "sku", "column 2": "brand", "column 3": "model", "column 4": "marking"}
    assert placed(feed) == names
    assert "column 2" not in placed({**feed, "column 3": ["ECO", "SPORT", "CARGO", "CITY"] * 5})  # countries and brands
    assert "column 2" not in placed({**feed, "column 3": ["ECO 2", "SPORT", "ECO 2", "CITY 4"] * 5})  # of two brands
    assert "X2" not in placed({header.replace("column ", "X"): cells for header, cells in feed.items()})


def test_pairs_of_load_indices_under_an_abbreviation() -> None:
    sizes, services = (list(part) for part in zip(*(text.split(" ") for text in TRUCKS), strict=True))
    indices = [text[:-1] for text in services]
    feed = {"Medida": sizes, "I. carga": indices, "C. vel.": [text[-1] for text in services]}
    assert placed(feed)["I. carga"] == "load_index"
    assert not are_index_pairs(Column(0, "", ["156/120", "160/90", "152/99", "154/88"] * 5))
    assert not are_index_pairs(Column(0, "", ["4000/3350", "1030/975"] * 5))


def test_a_second_number_of_articles_is_the_makers_where_it_is_a_code() -> None:
    feed = {"SKU": [f"{number}" for number in range(700, 720)], "Article": [f"N17{number}-A" for number in range(20)]}
    found = placed({**feed, "Size": CARS})
    assert (found["SKU"], found["Article"]) == ("sku", "part_number")
    assert "Article" not in placed({**feed, "Article": [f"{number}" for number in range(20)], "Size": CARS})
    assert placed({**feed, "Part number": feed["Article"], "Size": CARS}).get("Article") is None


def test_symbols_of_the_markings_under_any_header() -> None:
    symbols = [text[-1] for text in CARS]
    symbols[0] = "T"  # one is wrong
    assert placed({"Size": CARS, "Qx": symbols})["Qx"] == "speed_symbol"
    assert "Qx" not in placed({"Size": CARS, "Qx": ["A", "C", "W", "H", "V"] * 4})


def test_widths_in_mm_are_of_every_system() -> None:
    sizes, services = (list(part) for part in zip(*(text.split(" ") for text in CARS), strict=True))
    feed = {"Size": sizes, "Sect w": [text[:3] for text in sizes], "Svc": services, "Tread 32nds": ["10", "11"] * 10}
    feed |= {"Max mph": [{"V": "149", "W": "168", "H": "130", "Y": "186"}[text[-1]] for text in services]}
    assert placed({**feed, "Wt": ["18.9", "21.4", "17.8", "28.1", "25.5"] * 4})["Wt"] == "tire_weight_lb"


TIRES = [("195/70R15C", "104", "102", "R"), ("215/65R16C", "109", "107", "T"), ("225/70R15C", "112", "110", "S"),
         ("235/65R16C", "115", "113", "R"), ("205/65R16C", "107", "105", "T"), ("225/75R16C", "121", "120", "R"),
         ("205/55R16", "91", "", "V"), ("225/45R17", "94", "", "W"), ("195/65R15", "88", "", "H")]  # fmt: skip
NAMELESS = {
    "column 1": [f"V{number}" for number in range(27)],
    "column 2": ["Norvane", "Tolvane", "Orvek"] * 9,
    "column 3": [
        f"Pneu {brand} {size} {index}/{dual}{symbol}".replace("/V", "V").replace("/W", "W").replace("/H", "H")
        for brand, (size, index, dual, symbol) in zip(["Norvane", "TOLVANE", "Orvek"] * 9, TIRES * 3, strict=True)
    ],
    "load_index": [tire[1] for tire in TIRES * 3],
    **{f"column {place}": [tire[place - 3] for tire in TIRES * 3] for place in (5, 6)},
}


def test_without_headers_brands_stand_in_their_titles_and_dual_indices_behind_the_index() -> None:
    found = placed(NAMELESS)
    assert (found["column 2"], found["column 3"]) == ("brand", "title")
    assert tuple(found[name] for name in ("load_index", "column 5", "column 6")) == (
        "load_index",
        "load_index_dual",
        "speed_symbol",
    )


def test_names_that_titles_lack_and_numbers_far_from_the_index_are_neither() -> None:
    found = placed({**NAMELESS, "column 2": ["Berlin", "Tolvane", "Riga"] * 9, "column 5": ["4", "60", "7"] * 9})
    assert "column 2" not in found and found.get("column 5") != "load_index_dual"
    assert "Xq" not in placed({"Load index": ["109", "104"] * 10, "Xq": ["107", "102"] * 10, "Title": VANS})


def test_a_second_load_whose_first_the_markings_tell() -> None:
    loads, duals = ["1030", "900", "1120", "1215"] * 5, ["975", "850", "1060", "1150"] * 5
    found = placed({"Size": VANS, "TK1": loads, "TK2": duals})
    assert (found["TK1"], found["TK2"]) == ("max_load_kg", "max_load_dual_kg")


def test_several_vendors_without_a_brand_are_brands() -> None:
    makers = ["Norvane", "Torvex", "Kelmor", "Dravel", "Norvane"] * 4
    assert placed({"Size": CARS, "Vendor": makers})["Vendor"] == "brand"
    assert placed({"Size": CARS, "Vendor": makers, "Brand": makers})["Vendor"] == "supplier"
    assert placed({"Size": CARS, "Vendor": ["Norvane"] * 20})["Vendor"] == "supplier"


def test_a_price_is_no_weight() -> None:
    prices = ["51,64", "63,20", "58,90", "88,38", "71,05"] * 4
    assert "NETTO" not in placed({"Size": CARS, "NETTO": prices})


def test_depths_with_fractions_are_millimeters_however_deep_some_are() -> None:
    metric = {"Load kg": ["615", "670", "615", "975", "750"] * 4, "OD mm": ["632", "634", "635", "739", "679"] * 4}
    depths = ["7.5", "8", "7.8", "50", "44"] * 4
    assert placed({"Size": CARS, **metric, "Tread": depths})["Tread"] == "tread_depth_mm"
    assert "Tread" not in placed({"Size": CARS, **metric, "Tread": ["11", "12", "10", "50", "44"] * 4})
