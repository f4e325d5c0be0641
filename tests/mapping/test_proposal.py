"""Proposals: headers in many languages, values that decide, votes on units, and a map that can be used as it is."""

from __future__ import annotations

from pathlib import Path

import pytest

from auditor.feeds.locate import find_feeds
from auditor.mapping.maps import load_maps
from auditor.mapping.opening import open_feeds, propose_for
from auditor.mapping.proposal import Sample, propose
from auditor.mapping.proposal_text import format_proposal
from auditor.rulebook.built_in import load_contract
from auditor.rulebook.headers import read_header
from tests.feeds.reading import opened

MARKINGS = ["225/65R17 102H", "205/55R16 91V", "195/65R15 91H", "LT265/70R17 121/118S E", "245/40R18 97Y"]
LOADS_KG = [850, 615, 615, 1450, 730]
CONTRACT = load_contract()


def placed(headers: dict[str, list[str]]) -> dict[str, str]:
    mapping = propose(Sample(tuple(headers), tuple(map(tuple, headers.values()))), CONTRACT).mapping
    return {use.column: use.fields[0] for use in mapping.columns}


def left_out(headers: dict[str, list[str]]) -> dict[str, str]:
    mapping = propose(Sample(tuple(headers), tuple(map(tuple, headers.values()))), CONTRACT).mapping
    return {item.column: item.why for item in mapping.left_out}


@pytest.mark.parametrize(
    ("header", "group", "unit"),
    [
        ("Max. Load (kg)", "max_load", "kg"),
        ("MAX LOAD LBS", "max_load", "lb"),
        ("maxLoadKg", "max_load", "kg"),
        ("Tragfähigkeit in kg", "max_load", "kg"),
        ("Tragfaehigkeit", "max_load", None),
        ("Höchstgeschw. (km/h)", "max_speed", "km/h"),
        ("Profondeur de sculpture (mm)", "tread_depth", "mm"),
        ("Índice de carga", "load_index", None),
        ("Indice di velocità", "speed_symbol", None),
        ("Buitendiameter mm", "overall_diameter", "mm"),
        ("Nośność (kg)", "max_load", "kg"),
        ("Średnica felgi", "rim_diameter", None),
        ("Tread Depth (32nds)", "tread_depth", "32nds"),
        ('Tread Depth /32"', "tread_depth", "32nds"),
        ("Max. Inflation (kPa)", "max_pressure", "kPa"),
        ("Noise (dB)", "noise_db", "dB"),
        ("Mfr Part #", "part_number", None),
        ("Revs/Mile", "revs", "/mile"),
        ("Lod Index", "load_index", None),
    ],
)
def test_headers(header: str, group: str, unit: str | None) -> None:
    reading = read_header(header, CONTRACT)
    assert reading.groups[0] == group
    assert reading.units == ((unit,) if unit else ())


def test_kinds_are_told_by_their_cells() -> None:
    """A column headed "type", or with codes that only the supplier knows."""
    sizes = ["205/55R16", "225/65R17", "245/75R16", "195/65R15"] * 3
    for header, cells, group in (
        ("Type", ["LT", "P", "ST", "Passenger"], "size_prefix"),
        ("Service Type", ["LT", "", "ST", "LT"], "size_prefix"),
        ("Type", ["Summer", "Winter", "All season", "Winter"], "season"),
        ("Typ", ["Radial", "Diagonal", "Radial", "Radial"], "construction"),
        ("Type", ["Vista 4", "Road 5", "Alp X", "Alp X"], "model"),
        ("Type", ["Passenger", "SUV", "Van", "SUV"], None),
        ("Type", ["0", "1", "2", "1"], None),
        ("Season", ["0", "1", "2", "1"], None),
        ("season", ["0", "1", "2", "1"], None),
        ("loadRating", ["91", "102", "111", "91"], "load_index"),
        ("Désign.", ["Larkmoor Vista 205/55R16 91V"] * 4, "title"),
        ("Hst.", ["Larkmoor", "Tressal", "Kordane", "Larkmoor"], "brand"),
    ):
        found = placed({"Size": sizes, header: cells * 3})
        assert found.get(header) == group, header


@pytest.mark.parametrize("header", ["Price", "Stock", "Warehouse", "Image URL", "Delivery time", "x", ""])
def test_headers_of_other_business(header: str) -> None:
    assert placed({"marking": ["225/65R17 102H"], header: ["1"]}) == {"marking": "marking"}


def test_every_spelling_leads_to_its_group() -> None:
    for phrase, groups in CONTRACT.phrases.items():
        assert read_header(phrase, CONTRACT).groups[0] in groups


def test_no_spelling_is_claimed_by_two_groups_save_those_that_values_decide() -> None:
    double = {phrase for phrase, groups in CONTRACT.phrases.items() if len(groups) > 1}
    assert double == {"tread", "profil", "type", "tire type", "typ", "tipo"}


def test_a_load_without_unit_is_settled_by_20_agreeing_values() -> None:
    markings = MARKINGS * 50
    kg = [str(load) for load in LOADS_KG] * 50
    pounds = [str(round(load / 0.45359237)) for load in LOADS_KG] * 50
    assert placed({"marking": markings, "Max Load": kg})["Max Load"] == "max_load_kg"
    assert placed({"marking": markings, "Max Load": pounds})["Max Load"] == "max_load_lb"
    few = {"marking": markings[:19], "Max Load": kg[:19]}
    assert "Max Load" not in placed(few)
    assert left_out(few)["Max Load"].startswith("Neither the header nor the cells say whether this is kg or lb")


def test_a_load_column_with_one_value_in_three_wrong_is_still_plain() -> None:
    loads = [str(load if position % 3 else load + 150) for position, load in enumerate(LOADS_KG * 6)]
    assert placed({"marking": MARKINGS * 6, "Max Load": loads})["Max Load"] == "max_load_kg"


def test_a_load_column_of_two_units_is_left_out() -> None:
    mixed = [str(load if position % 2 else round(load / 0.45359237)) for position, load in enumerate(LOADS_KG * 8)]
    assert "Max Load" not in placed({"marking": MARKINGS * 8, "Max Load": mixed})


def test_a_speed_above_186_can_only_be_in_kmh() -> None:
    assert (
        placed({"marking": MARKINGS, "Max Speed": ["210", "240", "210", "180", "300"]})["Max Speed"] == "max_speed_kmh"
    )
    assert "Max Speed" not in placed({"marking": MARKINGS, "Max Speed": ["130", "149", "130", "112", "186"]})


def test_size_and_split_columns_serve_as_the_marking_of_the_vote() -> None:
    sizes = ["225/65R17", "205/55R16", "195/65R15"] * 70
    indexes, symbols = ["102", "91", "91"] * 70, ["H", "V", "H"] * 70
    headers = {"Size": sizes, "LI": indexes, "SS": symbols, "Load": ["850", "615", "615"] * 70}
    assert placed(headers)["Load"] == "max_load_kg"


def test_unknown_headers_are_placed_by_what_their_values_are() -> None:
    headers = {
        "c1": MARKINGS * 6,
        "c2": [str(load) for load in LOADS_KG] * 6,
        "c3": ["210", "240", "210", "180", "300"] * 6,
        "c4": ["17", "16", "15", "17", "18"] * 6,
        "c5": ["red", "blue", "green", "red", "blue"] * 6,
    }
    assert placed(headers) == {"c1": "marking", "c2": "max_load_kg", "c3": "max_speed_kmh", "c4": "rim_diameter_in"}


def test_loads_and_speeds_of_the_markings_are_placed_though_some_are_wrong() -> None:
    for every, expected in (
        (10, {"Size": "marking", "c2": "max_load_kg", "c3": "max_speed_kmh"}),
        (4, {"Size": "marking"}),
    ):
        loads = [str(load if at % every else load + 85) for at, load in enumerate(LOADS_KG * 6)]
        speeds = [str(kmh if at % every else 160) for at, kmh in enumerate([210, 240, 210, 180, 300] * 6)]
        assert placed({"Size": MARKINGS * 6, "c2": loads, "c3": speeds}) == expected


def test_vietnamese_headers_are_known_without_their_marks() -> None:
    headers = {"Size": MARKINGS, "tai_toi_da": [f"{load} kg" for load in LOADS_KG]}
    assert placed(headers)["tai_toi_da"] == "max_load_kg"


def test_a_sure_header_keeps_its_word_whatever_its_values() -> None:
    pounds = [str(round(load / 0.45359237)) for load in LOADS_KG] * 50
    assert placed({"marking": MARKINGS * 50, "Max Load (kg)": pounds})["Max Load (kg)"] == "max_load_kg"


def test_pressures_tell_their_unit_by_size() -> None:
    assert (
        placed({"marking": MARKINGS, "Pressure": ["350", "300", "340", "550", "300"]})["Pressure"] == "max_pressure_kpa"
    )
    assert placed({"marking": MARKINGS, "Pressure": ["51", "44", "50", "80", "44"]})["Pressure"] == "max_pressure_psi"
    assert (
        placed({"marking": MARKINGS, "Pressure": ["3,5", "3,0", "3,4", "5,5", "3,0"]})["Pressure"] == "max_pressure_bar"
    )


def test_a_header_that_no_cell_bears_out_is_left_out_by_name() -> None:
    headers = {"marking": MARKINGS, "Load Range": ["BSW", "OWL", "RWL", "BSW", "OWL"], "Reifenart": ["PKW"] * 5}
    assert placed(headers) == {"marking": "marking", "Load Range": "load_range"}  # a field's own name is kept
    assert left_out(headers) == {"Reifenart": "The header says season, but hardly a cell can be read as that."}


def test_prices_under_an_abbreviation_of_plies_are_no_plies() -> None:
    sizes = ["205/55R16 91V", "225/45R17 94W", "195/65R15 91H", "185/65R15 88T", "215/60R16 99V"] * 2
    prices = ["40", "41", "42", "57", "43", "44", "45", "63", "46", "71"]
    assert "PR" in left_out({"Size": sizes, "PR": prices})
    assert placed({"Size": sizes, "PR": ["4", "6", "8", "10", "6"] * 2})["PR"] == "ply_rating"


def test_load_versions_are_no_names_of_suppliers() -> None:
    sizes = ["205/55R16 91V", "225/45R17 94W", "195/65R15 91H", "185/65R15 88T", "215/60R16 99V"] * 2
    assert placed({"Size": sizes, "LV": ["XL", "", "XL", "SL", ""] * 2}).get("LV") in (None, "load_version")


def test_four_headers_never_seen_are_placed() -> None:
    headers = {
        "Dimension pneu": ["225/65R17", "205/55R16"], "Ind. charge": ["102", "91"], "Ind. vitesse": ["H", "V"],
        "Marque": ["Valbrune", "Valbrune"], "Charge maxi (kg)": ["850", "615"], "Poids (kg)": ["12,5", "9,8"],
        "Saisonnalité": ["Été", "Hiver"], "Bruit (dB)": ["71", "70"], "Classe bruit": ["B", "A"],
        "Vitesse max. (km/h)": ["210", "240"], "Code EAN": ["4012345678901", "4012345678918"],
    }  # fmt: skip
    assert len(placed(headers)) == len(headers)


def test_a_combined_column_names_all_its_fields() -> None:
    mapping = propose(Sample(("marking", "Load (kg)"), ((MARKINGS[3],) * 3, ("1450/1320",) * 3)), CONTRACT).mapping
    assert mapping.columns[1].fields == ("max_load_kg", "max_load_dual_kg")


def test_a_proposal_is_a_feed_map_that_gives_the_same_mapping(tmp_path: Path) -> None:
    for path in sorted(Path("sample_catalogs").iterdir()):
        if not path.is_file():
            continue
        for number, (feed, proposal) in enumerate(propose_for(find_feeds([str(path)])[0])):
            maps = tmp_path / f"{path.name}.{number}"
            maps.mkdir()
            (maps / "proposed.toml").write_text(format_proposal(feed, proposal), encoding="utf-8")
            again = open_feeds(find_feeds([str(path)])[0], load_maps(maps))[0]
            assert again.sheet == feed.sheet
            wanted = [(use.position, use.fields, use.unit) for use in proposal.mapping.columns]
            assert [(use.position, use.fields, use.unit) for use in again.mapping.columns] == wanted
            marks = {use.position: use.decimal for use in again.mapping.columns}
            assert all(marks[use.position] == use.decimal for use in proposal.mapping.columns if use.decimal)
            assert len(wanted) >= 0.9 * len(feed.headers)


def test_the_text_of_a_proposal(tmp_path: Path) -> None:
    path = tmp_path / "valbrune_2031.csv"
    path.write_text("Ref;Dimension;Max Load;Couleur\n01;225/65R17 102H;850;noir\n", encoding="utf-8")
    ((feed, proposal),) = propose_for(find_feeds([str(path)])[0])
    assert format_proposal(feed, proposal) == (
        "# Proposed feed map for valbrune_2031.csv: 2 of 4 columns placed, from 1 sampled records.\n"
        "# Correct it where it is wrong, save it as a .toml file in a folder of its own, and name that folder\n"
        "# with `auditor audit --maps`.\n"
        "\n"
        'files = ["valbrune_*.csv"]\n'
        '# supplier = "..."\n'
        "\n"
        "[text]\n"
        'encoding = "utf-8"\n'
        'delimiter = ";"\n'
        "header_row = 1\n"
        "\n"
        "[[column]]\n"
        'header = "Ref"\n'
        'field = "sku"\n'
        '# confidence 0.95; "01"\n'
        "\n"
        "[[column]]\n"
        'header = "Dimension"\n'
        'field = "marking"\n'
        '# confidence 0.95; "225/65R17 102H"\n'
        "\n"
        "# Not placed: these columns are carried through untouched.\n"
        '#   Max Load: "850"  (Neither the header nor the cells say whether this is kg or lb, and the values do not'
        " settle it. To read it, name it in a feed map as max_load_kg or max_load_lb.)\n"
        '#   Couleur: "noir"\n'
    )


def test_a_proposal_shows_confidence_and_samples(tmp_path: Path) -> None:
    path = tmp_path / "feed.csv"
    path.write_text("sku,Tire Size\n1,225/65R17 102H\n2,205/55R16 91V\n", encoding="utf-8")
    ((_, proposal),) = propose_for(find_feeds([str(path)])[0])
    use = proposal.mapping.columns[1]
    assert (use.confidence, use.samples) == (0.95, ("225/65R17 102H", "205/55R16 91V"))


def test_feeds_of_one_layout_share_what_they_have_in_common(tmp_path: Path) -> None:
    feeds = []
    for number, header in enumerate(("Tire Size", "Tire Size", "tire size")):
        path = tmp_path / f"feed_{number}.csv"
        path.write_text(f"sku,{header}\n{number},225/65R17 102H\n", encoding="utf-8")
        feeds.append(opened(path))
    one, same, other = feeds
    assert one.headers is same.headers
    assert one.mapping.columns is same.mapping.columns
    assert other.headers == ("sku", "tire size")
    assert [use.column for use in other.mapping.columns] == ["sku", "tire size"]


@pytest.mark.parametrize(
    ("header", "group", "unit"),
    [
        ("LOADKG", "max_load", "kg"),
        ("MAXLOADLBS", "max_load", "lb"),
        ("speedcode", "speed_symbol", None),
        ("rimwidth", "rim_width_range", None),
        ("LI (S/D)", "load_index", None),
        ("Tragf. E/Z kg", "max_load", "kg"),
        ("Portata kg (sing./gem.)", "max_load", "kg"),
        ("Max load (single/dual) lbs", "max_load", "lb"),
        ("Charge simple/jumelé kg", "max_load", "kg"),
        ("Max load dual kg", "max_load_dual", "kg"),
        ("Våtgrepp", "wet_grip_class", None),
        ("Rullmotstånd", "fuel_class", None),
    ],
)
def test_words_written_as_one_or_short_and_words_for_both_mountings(header: str, group: str, unit: str | None) -> None:
    reading = read_header(header, CONTRACT)
    assert (reading.groups[0], reading.units) == (group, (unit,) if unit else ())


def test_depths_of_the_tread_are_told_from_models_and_32nds() -> None:
    depths = ["7.5", "8.0", "7.2", "8.1", "7.9"]
    assert placed({"Size": MARKINGS, "Battistrada mm": depths})["Battistrada mm"] == "tread_depth_mm"
    assert placed({"Size": MARKINGS, "Profiltiefe": depths})["Profiltiefe"] == "tread_depth_mm"
    assert "Profiltiefe" not in placed({"Size": MARKINGS, "Profiltiefe": ["10", "11", "9", "16", "8"]})


@pytest.mark.parametrize(
    ("header", "group"),
    [("misura.larghezza", "generic_width"), ("produttore.marchio", "brand"), ("specs.tyre.loadIndex", "load_index"),
     ("dual.maxLoadKg", "max_load_dual"), ("twin.loadIndex", "load_index_dual"), ("measured.width", "measured_width"),
     ("LIZwilling", "load_index_dual"), ("TragkraftEinzel", "max_load"), ("Belastung (Zwilling)", "max_load_dual"),
     ("Δ.Φ. διπλά", "load_index_dual"), ("EANCode", "gtin"), ("spec.load.dual", "max_load_dual"),
     ("規格.最大負荷能力.複輪", "max_load_dual"), ("規格.最大負荷能力.単輪", "max_load"),
     ("technik.zwilling.werte.tragfaehigkeit.kg", "max_load_dual"), ("dual.max_load_kg", "max_load_dual"),
     ("a.single.load_index", "load_index"), ("data.load_index.twin.value", "load_index_dual"),
     ("wheels.rim.max", "rim_width_max"), ("ficha.construcao", "construction"), ("data.tech.trdDpth", "tread_depth"),
     ("specs.maxlast.zw", "max_load_dual"), ("a.b.c.ytterdiam", "overall_diameter")],
)  # fmt: skip
def test_keys_within_keys_and_words_run_together_say_what_their_words_say(header: str, group: str) -> None:
    assert read_header(header, CONTRACT).groups[:1] == (group,)


@pytest.mark.parametrize(
    ("header", "cells", "field"),
    [("Azami Hız", ["210 km/s", "240 km/s", "210 km/s", "160 km/s", "270 km/s"], "max_speed_kmh"),
     ("Max. rychlost", ["210 km/hod", "240 km/hod", "210 km/hod", "160 km/hod", "270 km/hod"], "max_speed_kmh"),
     ("Hız (km/s)", ["210", "240", "210", "160", "270"], "max_speed_kmh"),
     ("重量", ["約10.4kg", "約9.2kg", "約8.8kg", "約21kg", "約10.1kg"], "tire_weight_kg"),
     ("Вес, кг", ["ок. 10,4", "ок. 9,2", "ок. 8,8", "ок. 21", "ок. 10,1"], "tire_weight_kg")],
)  # fmt: skip
def test_speeds_by_the_hour_and_figures_with_about_are_placed(header: str, cells: list[str], field: str) -> None:
    assert placed({"Size": MARKINGS, header: cells})[header] == field


def test_widths_with_flanges_are_the_measuring_rim() -> None:
    loaders = ["17.5R25 176A2", "20.5R25 186A2", "23.5R25 195A2", "26.5R25 202A2", "15.5R25 169A2"]
    widths = ["14.00/1.5", "17.00/2.0", "19.50/2.5", "22.00/3.0", "12.00/1.3"]
    assert placed({"Size": loaders, "Messfelge": widths})["Messfelge"] == "measuring_rim_in"


def test_keys_within_keys_that_are_anybodys_say_nothing() -> None:
    assert not {"title", "sku"} & set(read_header("category.name", CONTRACT).groups)
    assert not {"title", "sku"} & set(read_header("data.category.nme", CONTRACT).groups)
    assert not read_header("pallet.wdth", CONTRACT).groups


def test_the_width_of_a_parcel_is_no_tires() -> None:
    headers = ("article", "size", "packaging.width")
    cells = [(f"A-{number}", "225/65R17 102H", str(640 + number % 3)) for number in range(20)]
    mapping = propose(Sample(headers, tuple(zip(*cells, strict=True))), CONTRACT).mapping
    assert not [use for use in mapping.columns if use.column == "packaging.width"]
