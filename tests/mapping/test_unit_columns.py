"""Numbers whose unit stands in a column of its own, or under a key beside theirs."""

from __future__ import annotations

import json
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

import auditor
from auditor.errors import RuleBookError
from auditor.feeds.locate import find_feeds
from auditor.mapping.maps import load_maps
from auditor.mapping.opening import open_feeds
from auditor.shell.cli import main
from tests.feeds.reading import opened
from tests.mapping.proposed import read_as_proposed

MARKINGS = ("LT245/75R16 120/116S", "225/65R17 102H", "225/65R17 102H", "205/55R16 91V")
LOADS = ((1400, "kg"), (1874, "lbs"), (1874, "kg"), (615, "KGM"))  # the third is 850 kg
SPEEDS = ((180, "km/h"), (130, "mph"), (130, "km/h"), (240, "km/h"))  # the third is 210 km/h


def units_by_column(path: Path) -> dict[str, str]:
    """By header of the numbers that of their units."""
    feed = opened(path)
    return {use.column: feed.headers[use.unit_column] for use in feed.mapping.columns if use.unit_column is not None}


def csv_of(path: Path, headers: str) -> Path:
    rows = (
        f"A{number},{marking},{load},{of_load},{speed},{of_speed}"
        for number, (marking, (load, of_load), (speed, of_speed)) in enumerate(
            zip(MARKINGS, LOADS, SPEEDS, strict=True)
        )
    )
    path.write_text("\n".join([headers, *rows]) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "headers",
    [
        "SKU,Size,Max Load,Max Load Unit,Max Speed,Speed UOM",
        "SKU,Size,Max Load,UOM,Max Speed,Unit of measure",
        "sku,size,max_load,max_load_unit_of_measure,max_speed,max_speed_units",
        "Artikel,Größe,Tragfähigkeit,Einheit,Höchstgeschwindigkeit,Einheit",
        "SKU,Size,Max Load,,Max Speed,",
    ],
)
def test_units_in_columns_of_their_own_are_those_of_each_record(tmp_path: Path, headers: str) -> None:
    path = csv_of(tmp_path / "feed.csv", headers)
    placed = {use.fields[0] for use in opened(path).mapping.columns}
    assert {"max_load_kg", "max_speed_kmh"} <= placed
    found = auditor.audit(str(path)).findings.to_pylist()
    assert [(row["record"], row["rule"], row["stated"]) for row in found] == [
        (3, "load-overstated", "1874 kg"),
        (3, "speed-understated", "130 km/h"),
    ]


@pytest.mark.parametrize(("value", "unit"), [("value", "unit"), ("amount", "uom"), ("Wert", "Einheit")])
def test_keys_beside_one_another(tmp_path: Path, value: str, unit: str) -> None:
    rows = [
        {
            "sku": f"A{number}",
            "size": marking,
            "maxLoad": {value: load, unit: of_load},
            "maxSpeed": {unit: of_speed, value: speed},
        }
        for number, (marking, (load, of_load), (speed, of_speed)) in enumerate(
            zip(MARKINGS, LOADS, SPEEDS, strict=True)
        )
    ]
    lines, table = tmp_path / "feed.jsonl", tmp_path / "feed.parquet"
    lines.write_text("\n".join(map(json.dumps, rows)) + "\n", encoding="utf-8")
    pq.write_table(pa.Table.from_pylist(rows), table)
    for path in (lines, table):
        assert units_by_column(path) == {
            f"maxLoad.{value}": f"maxLoad.{unit}",
            f"maxSpeed.{value}": f"maxSpeed.{unit}",
        }
        found = auditor.audit(str(path)).findings.to_pylist()
        assert [(row["record"], row["column"]) for row in found] == [(3, f"maxLoad.{value}"), (3, f"maxSpeed.{value}")]


def test_a_number_without_a_unit_stays_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "feed.csv"
    rows = [f"A{number},225/65R17 102H,850,kg" for number in range(6)]
    others = ["B1,205/55R16 91V,615 kg,kg", "B2,195/65R15 91H,615,", "B3,225/65R17 102H,,kg"]
    path.write_text("\n".join(["SKU,Size,Max Load,Unit", *rows, *others]) + "\n")
    assert auditor.audit(str(path)).exit_code == 0


def test_columns_that_only_look_like_units_of_others(tmp_path: Path) -> None:
    """A unit of another quantity, and one that may belong to either of two columns."""
    path = tmp_path / "feed.csv"
    path.write_text(
        "SKU,Size,Price,Pack Unit,Max Load kg,Speed\nA1,225/65R17 102H,99.50,kg,850,H\n"
        "A2,205/55R16 91V,79.50,kg,615,V\nA3,195/65R15 91H,60.00,kg,615,H\n"
    )
    assert units_by_column(path) == {}
    assert auditor.audit(str(path)).exit_code == 0


def test_a_map_names_the_column_of_units(tmp_path: Path) -> None:
    path = csv_of(tmp_path / "ellermoor.csv", "SKU,Size,Last,ME,Max Speed,ME")
    (tmp_path / "maps").mkdir()
    written = tmp_path / "maps" / "ellermoor.toml"
    lines = ['files = ["ellermoor.csv"]', "[[column]]", 'header = "Size"', 'field = "marking"', "[[column]]"]
    lines += ['header = "Last"', 'field = "max_load_kg"', 'unit_column = "me"']
    written.write_text("\n".join(lines), encoding="utf-8")
    (feed,) = open_feeds(find_feeds([str(path)])[0], load_maps(tmp_path / "maps"))
    assert [use.unit_column for use in feed.mapping.columns] == [None, 3]
    written.write_text("\n".join([*lines[:-1], 'unit_column = "Unit"']), encoding="utf-8")
    with pytest.raises(RuleBookError, match=r"ellermoor\.csv has no column 'Unit' with the units of 'Last'"):
        open_feeds(find_feeds([str(path)])[0], load_maps(tmp_path / "maps"))


def test_what_is_proposed_can_be_read_again(tmp_path: Path) -> None:
    path = csv_of(tmp_path / "feed.csv", "SKU,Size,Max Load,UOM,Max Speed,UOM")
    again = read_as_proposed(path, tmp_path / "maps")
    assert [use.unit_column for use in again.mapping.columns] == [None, None, 3, 5]


def test_such_numbers_are_not_corrected_by_themselves(tmp_path: Path) -> None:
    """The suggestion has a unit, which the cell must not get."""
    path = csv_of(tmp_path / "feed.csv", "SKU,Size,Max Load,UOM,Max Speed,UOM")
    assert main(["audit", str(path), "--out", str(tmp_path / "out"), "--apply", "certain", "--quiet"]) == 1
    assert (tmp_path / "out" / "corrected" / "feed.csv").read_text() == path.read_text()
