"""What was not read is said first: which columns matter, why they were left out, and what it takes to read them."""

from __future__ import annotations

from pathlib import Path

import pytest

from auditor.errors import RuleBookError
from auditor.feeds.model import Mapping
from auditor.mapping.proposal import Sample, propose
from auditor.rulebook.built_in import load_contract
from tests.mapping.test_maps import with_map

MARKINGS = ["225/65R17 102H", "205/55R16 91V", "195/65R15 91H", "LT265/70R17 121/118S E", "245/40R18 97Y"] * 2
KG = ["850", "615", "615", "1450", "730"] * 2
CONTRACT = load_contract()


def mapping(**columns: list[str]) -> Mapping:
    headers = tuple(header.replace("_", " ") for header in columns)
    return propose(Sample(headers, tuple(map(tuple, columns.values()))), CONTRACT).mapping


def unread(**columns: list[str]) -> dict[str, str]:
    records = len(next(iter(columns.values())))
    return {left.column: left.takes for left in mapping(marking=MARKINGS[:records], **columns).unread}


def test_a_load_without_a_unit_is_unread_and_says_what_it_takes() -> None:
    assert unread(Max_Load=KG[:5]) == {"Max Load": "name it in a feed map as max_load_kg or max_load_lb"}


@pytest.mark.parametrize("header", ["c7", "Zzz", "attr 12"])
def test_a_column_that_looks_like_a_load_by_its_values_is_unread(header: str) -> None:
    assert list(unread(**{header: KG[:5]})) == [header]


def test_two_columns_of_one_field_leave_one_unread_unless_it_says_the_same() -> None:
    other = [str(int(load) + 40) for load in KG]
    assert unread(max_load_kg=KG, Maximum_Load_kg=other).keys() == {"Maximum Load kg"}
    assert unread(max_load_kg=KG, Maximum_Load_kg=KG) == {}


def test_a_column_without_a_cell_leaves_nothing_unread() -> None:
    assert unread(Max_Load=[""] * 10) == {}


def test_a_column_of_other_business_is_no_unread_one() -> None:
    prices = [f"{89 + number}.90" for number in range(10)]
    assert unread(Price=prices, Qty=["12"] * 10, Lead_days=["3"] * 10, Tread_depth=["8"] * 10) == {}


def test_a_header_that_the_cells_contradict_is_unread() -> None:
    assert unread(Maximum_Load_kg=["see sidewall"] * 10).keys() == {"Maximum Load kg"}


@pytest.mark.parametrize(
    ("header", "cells", "placed"),
    [
        ("Vel. max (km/h)", ["210", "240", "210", "180", "300"] * 2, "max_speed_kmh"),
        ("Max inflation load kg", KG, None),
        ("Max Load Twin kg", ["", "", "", "1320", ""] * 2, "max_load_dual_kg"),
        ("Carga gemelo kg", ["", "", "", "1320", ""] * 2, "max_load_dual_kg"),
        ("Zwilling Tragl. kg", ["", "", "", "1320", ""] * 2, "max_load_dual_kg"),
        ("LI kg", KG, "max_load_kg"),
        ("Load index (lbs)", [str(round(int(kg) / 0.45359237)) for kg in KG], "max_load_lb"),
        ("Speed rating mph", ["130", "149", "130", "112", "186"] * 2, "max_speed_mph"),
    ],
)
def test_a_unit_in_the_header_vetoes_another_quantity(header: str, cells: list[str], placed: str | None) -> None:
    found = propose(Sample(("marking", header), (tuple(MARKINGS), tuple(cells))), CONTRACT).mapping
    uses = {use.column: use.fields[0] for use in found.columns}
    if placed is not None:
        assert uses[header] == placed
    else:
        assert "pressure" not in uses.get(header, "") and (header in uses or header in {u.column for u in found.unread})


COLUMN = '[[column]]\nheader = "{}"\nfield = "{}"\n'
SKU_AND_SIZE = 'files = ["*.csv"]\n{}' + COLUMN.format("sku", "sku") + COLUMN.format("size", "marking")


def in_map(tmp_path: Path, head: str, extra: str, headers: str, cells: str) -> Mapping:
    records = "".join(f"{number},{MARKINGS[number]},{cells.format(kg=KG[number])}\n" for number in range(10))
    return with_map(tmp_path, SKU_AND_SIZE.format(head) + extra, "feed.csv", f"sku,size,{headers}\n{records}").mapping


@pytest.mark.parametrize(
    ("header", "field", "says"),
    [
        ("Vel. max (km/h)", "rim_width_max_in", "its header says km/h"),
        ("Max inflation load kg", "max_pressure_kpa", "its header says kg"),
        ("LI kg", "load_index", "its header says kg"),
        ("Max Load Twin kg", "max_load_kg", "it is of twin tires; correct it to max_load_dual_kg"),
    ],
)
def test_a_written_map_is_vetoed_too(tmp_path: Path, header: str, field: str, says: str) -> None:
    with pytest.raises(RuleBookError) as caught:
        in_map(tmp_path, "", COLUMN.format(header, field), header, "{kg}")
    assert says in str(caught.value)


def test_a_column_that_a_map_does_not_name_is_unread_and_one_it_ignores_is_listed(tmp_path: Path) -> None:
    left = in_map(tmp_path, "", "", "Max load kg,Color", "{kg},red")
    assert [(item.column, item.takes) for item in left.unread] == [
        ("Max load kg", "name it in ellermoor.toml, or list its header under ignore")
    ]
    passed = in_map(tmp_path, 'ignore = ["max load KG", "Color"]\n', "", "Max load kg,Color", "{kg},red")
    assert (passed.unread, passed.ignored) == ((), ("Max load kg", "Color"))


@pytest.mark.parametrize("header", ["MAX LOAD  kg", "Max_Load_kg", "maxload kg", "Maximal Load kg", "Max Payload kg"])
def test_a_header_that_is_written_a_little_otherwise_keeps_the_map(tmp_path: Path, header: str) -> None:
    found = in_map(tmp_path, "", COLUMN.format("Max load kg", "max_load_kg"), header, "{kg}")
    assert [use.fields[0] for use in found.columns] == ["sku", "marking", "max_load_kg"]
    assert found.warnings == (f"ellermoor.toml names 'Max load kg'; the feed heads it {header!r}.",)


@pytest.mark.parametrize(
    "header", ["Max load lb", "Dual load kg", "Max speed kg", "Max pressure kg", "Min load kg", "kg"]
)
def test_a_header_of_something_else_does_not(tmp_path: Path, header: str) -> None:
    with pytest.raises(RuleBookError, match="has no column 'Max load kg'"):
        in_map(tmp_path, "", COLUMN.format("Max load kg", "max_load_kg"), header, "{kg}")


SIZES = ["225/65R17", "205/55R16", "195/65R15", "265/70R17", "245/40R18"] * 2


@pytest.mark.parametrize(
    ("header", "cells", "said"),
    [
        ("Zulast (kg)", KG, "Its unit and values are those of max_load_kg"),
        ("Pallet (kg)", KG, None),
        ("Xyz (kg)", ["8.1", "9.5", "12.0", "14.2", "10.3"] * 2, None),  # what a tire weighs
        ("SW", ["BSW", "OWL", "BSW", "RBL", "BSW"] * 2, None),
    ],
)
def test_a_unit_over_usual_values_is_unread_where_no_marking_has_an_index(
    header: str, cells: list[str], said: str | None
) -> None:
    found = propose(Sample(("size", header), (tuple(SIZES), tuple(cells))), CONTRACT).mapping
    told = {left.column: left.why for left in found.unread}
    assert (said is None and not told) or told[header].startswith(said or "?")


@pytest.mark.parametrize(
    ("header", "cells", "fields"),
    [
        ("Rango", ["SL", "XL", "SL", "SL", "XL"] * 2, ("load_range", "load_version")),
        ("Prov.", ["Larkfield", "Larkfield", "Bolton", "Bolton", "Bolton"] * 2, ("supplier",)),
        (
            "最大负荷 单胎/双胎 (kg)",
            ["850/800", "615", "615", "1450/1320", "730"] * 2,
            ("max_load_kg", "max_load_dual_kg"),
        ),
        ("適用リム幅", ["6.5～8.5", "5〜7", "5.5~7", "7～9", "8～9"] * 2, ("rim_width_min_in", "rim_width_max_in")),
        ("Azami Hız (km/s)", ["210", "240", "190", "180", "270"] * 2, ("max_speed_kmh",)),
        ("商品名", ["アルファ", "ベータ", "ガンマ", "デルタ", "イプシロン"] * 2, ("model",)),
    ],
)
def test_headers_of_more_languages_and_of_both_mountings(
    header: str, cells: list[str], fields: tuple[str, ...]
) -> None:
    found = propose(Sample(("size", header), (tuple(SIZES), tuple(cells))), CONTRACT).mapping
    assert {use.column: use.fields for use in found.columns}[header] == fields


def test_a_rim_column_without_a_known_header_is_told_by_sizes_and_service_descriptions() -> None:
    columns = {
        "Section": ["205", "275", "235", "235", "265"] * 4,
        "Series": ["55", "70", "85", "80", "65"] * 4,
        "Zzq": ["16", "18", "16", "17", "17"] * 4,
        "Svc Desc": ["91V", "125/122S", "132/127M", "120/117R", "110S"] * 4,
        "Ply": ["", "10", "14", "10", ""] * 4,
    }
    found = propose(Sample(tuple(columns), tuple(map(tuple, columns.values()))), CONTRACT).mapping
    assert {use.column: use.fields[0] for use in found.columns}["Zzq"] == "rim_diameter_in"
