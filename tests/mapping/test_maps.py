"""Feed maps: what a good one does, and the sentence that each wrong one gets."""

from __future__ import annotations

from pathlib import Path

import pytest

from auditor.errors import RuleBookError
from auditor.feeds.locate import find_feeds
from auditor.feeds.model import Feed
from auditor.mapping.maps import load_maps
from auditor.mapping.opening import open_feeds
from tests.feeds.reading import everything

GOOD = """\
files = ["ellermoor*.csv"]
supplier = "Ellermoor Tire Supply"
key = ["part_number"]
decimal = ","

[text]
encoding = "windows-1252"
delimiter = ";"
header_row = 2

[[column]]
header = "Nr"
field = "part_number"

[[column]]
header = "Dim"
field = "marking"

[[column]]
header = "Last"
fields = ["max_load_kg", "max_load_dual_kg"]
unit = "kg"

[[column]]
header = "Zeit"
field = "season"
translate = { "W" = "winter", "S" = "summer" }

[[column]]
header = "Farbe"
field = "model"
optional = true

[constants]
tire_class = "C2"
"""
FEED = "Liste Köln;;;\nNr;Dim;Last;Zeit\n1;LT265/70R17 121/118S;1450/1320;W\n"


def with_map(folder: Path, text: str, name: str = "ellermoor_0701.csv", feed: str = FEED) -> Feed:
    maps = folder / "maps"
    maps.mkdir(exist_ok=True)
    (maps / "ellermoor.toml").write_text(text, encoding="utf-8")
    path = folder / name
    path.write_bytes(feed.encode("windows-1252"))
    return open_feeds(find_feeds([str(path)])[0], load_maps(maps))[0]


def test_a_good_map_is_followed_to_the_letter(tmp_path: Path) -> None:
    feed = with_map(tmp_path, GOOD)
    mapping = feed.mapping
    assert (mapping.name, mapping.supplier, feed.supplier) == ("ellermoor.toml", "Ellermoor Tire Supply", feed.supplier)
    assert mapping.key == ("part_number",)
    assert mapping.constants == {"tire_class": "C2"}
    assert [(use.column, use.fields, use.unit, use.decimal) for use in mapping.columns] == [
        ("Nr", ("part_number",), None, ","),
        ("Dim", ("marking",), None, ","),
        ("Last", ("max_load_kg", "max_load_dual_kg"), "kg", ","),
        ("Zeit", ("season",), None, ","),
    ]
    assert mapping.columns[3].translate == {"w": "winter", "s": "summer"}
    assert everything(feed)[0] == {1: ["1", "LT265/70R17 121/118S", "1450/1320", "W"]}


def test_a_feed_that_no_map_covers_is_proposed_for(tmp_path: Path) -> None:
    feed = with_map(tmp_path, GOOD, "other.csv", "sku,marking\n1,225/65R17 102H\n")
    assert feed.mapping.name == "proposed"


def test_the_map_with_the_narrower_pattern_and_the_right_headers_is_picked(tmp_path: Path) -> None:
    maps = tmp_path / "maps"
    maps.mkdir()
    column = '[[column]]\nheader = "{}"\nfield = "marking"\n'
    (maps / "a_wide.toml").write_text('files = ["*.csv"]\n' + column.format("Dim"))
    (maps / "b_narrow.toml").write_text('files = ["ellermoor*.csv"]\n' + column.format("Other"))
    path = tmp_path / "ellermoor.csv"
    path.write_text("sku,Dim\n1,225/65R17 102H\n")
    assert open_feeds(find_feeds([str(path)])[0], load_maps(maps))[0].mapping.name == "a_wide.toml"


def changed(old: str, new: str) -> str:
    assert old in GOOD
    return GOOD.replace(old, new, 1)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            changed('"marking"', '"markin"'),
            "ellermoor.toml, line 17: there is no field 'markin'; did you mean 'marking'.",
        ),
        (
            changed("optional", "optionl"),
            "ellermoor.toml, line 32: there is no key 'optionl' here; did you mean 'optional'.",
        ),
        (changed('unit = "kg"', 'unit = "kgs"'), "ellermoor.toml, line 22: unit cannot be 'kgs'; did you mean 'kg'"),
        (changed("tire_class", "tire_clas"), "line 35: there is no field 'tire_clas'; did you mean 'tire_class'."),
        (
            changed('"windows-1252"', '"windows-1242"'),
            "line 7: there is no encoding 'windows-1242'; did you mean 'windows-1252'.",
        ),
        (
            changed('header = "Dim"', 'header = "Dimm"'),
            "line 15: ellermoor_0701.csv has no column 'Dimm'; did you mean 'Dim'; ",
        ),
        (changed("header_row = 2", "header_row = -1"), "line 9: text.header_row: -1 is less than the minimum of 0."),
        (changed('field = "season"\n', ""), "line 24: column.3 needs either 'field' or 'fields'."),
        (changed('files = ["ellermoor*.csv"]\n', ""), "line 1: the map: 'files' is a required property."),
        (changed("[constants]", "[constants"), "the feed map is not valid TOML"),
    ],
)
def test_a_wrong_map_is_told_by_line_and_nearest_name(tmp_path: Path, text: str, sentence: str) -> None:
    with pytest.raises(RuleBookError) as caught:
        with_map(tmp_path, text)
    assert sentence in str(caught.value)
    assert caught.value.exit_code == 2


def test_a_folder_without_maps(tmp_path: Path) -> None:
    with pytest.raises(RuleBookError, match="holds no feed map"):
        load_maps(tmp_path)
    with pytest.raises(RuleBookError, match="no such folder of feed maps"):
        load_maps(tmp_path / "none")


def test_a_map_without_a_header_row_finds_it_by_its_own_headers(tmp_path: Path) -> None:
    text = GOOD.replace("header_row = 2\n", "")
    assert everything(with_map(tmp_path, text))[0] == {1: ["1", "LT265/70R17 121/118S", "1450/1320", "W"]}


def test_the_sample_catalogs_maps_fit_their_feeds() -> None:
    catalogs = Path("sample_catalogs")
    maps = load_maps(catalogs / "maps")
    used = {
        feed.mapping.name
        for located in find_feeds([str(catalogs)])
        for feed in open_feeds(located, maps)
        if feed.mapping.name != "proposed"
    }
    assert used == {found.path.name for found in maps.maps}
