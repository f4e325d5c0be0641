"""Units that stand below the header, in a workbook's number formats, and what else a workbook or an object says."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import xlsxwriter

import auditor
from auditor.rulebook.built_in import load_contract
from auditor.rulebook.header_words import is_row_of_units
from tests.feeds.reading import opened

MARKINGS = ("225/65R17 102H", "205/55R16 91V", "195/65R15 91H")
KG = (850, 615, 615)


def test_a_unit_row_under_the_header_settles_the_units(tmp_path: Path) -> None:
    rows = [
        f"A{number};{marking};{kg};{psi}"
        for number, (marking, kg, psi) in enumerate(zip(MARKINGS, KG, (44, 51, 44), strict=True))
    ]
    path = tmp_path / "feed.csv"
    path.write_text("\n".join(["SKU;Size;Max. Load;Max. Pressure", ";;[kg];psi", *rows]) + "\n")
    placed = {use.column: use.fields[0] for use in opened(path).mapping.columns}
    assert (placed["Max. Load"], placed["Max. Pressure"]) == ("max_load_kg", "max_pressure_psi")
    result = auditor.audit(str(path))
    assert (result.exit_code, result.summary["totals"]["furniture"]) == (0, 1)


def test_money_in_a_row_of_units_is_one_of_its_words(tmp_path: Path) -> None:
    rows = [f"A{number};{marking};{kg};12.5" for number, (marking, kg) in enumerate(zip(MARKINGS, KG, strict=True))]
    path = tmp_path / "feed.csv"
    path.write_text(
        "\n".join(
            [
                "SKU;Size;Carga máx.;Velocidad máx.;Precio",
                ";;kg;km/h;US$",
                *(f"{row.rsplit(';', 1)[0]};210;12.5" for row in rows),
            ]
        )
        + "\n"
    )
    placed = {use.column: use.fields[0] for use in opened(path).mapping.columns}
    assert (placed["Carga máx."], placed["Velocidad máx."]) == ("max_load_kg", "max_speed_kmh")
    assert auditor.audit(str(path)).summary["totals"]["furniture"] == 1


@pytest.mark.parametrize(
    ("texts", "are_units"),
    [
        (["kg", "lb", "US$"], True),
        (["kg", "US$"], False),
        (["kg", "lb", "12"], False),
        (["kg", "lb", "WinterGrip"], False),
        (["kg", "kg", "RM", "S/"], False),
        (["recommended", "mm", "mm", "kg", "km/h", "€/pc", "pcs"], True),
        (["PR", "kg (single/dual)", "km/h", "psi", "inch", "mm", "incl. tax", "%"], True),
        (["recommended", "preferred", "mm", "kg", "km/h"], False),
        (["kg", "km/h", "mm", "mm", "SX-500"], False),
    ],
)
def test_rows_of_units(texts: list[str], are_units: bool) -> None:
    contract = load_contract()
    assert is_row_of_units(texts, contract.units, contract.beside_units) == are_units


def test_a_remark_among_units_leaves_a_row_of_units_no_listing(tmp_path: Path) -> None:
    head = "Code;Size;LI/SS;PR;Type;Max load;Max speed;Max pressure;OD;Rim width;Tread depth;Price"
    units = ";;;;TT/TL;kg;kmph;psi;mm;in;mm;Rs. (incl. tax)"
    rows = [f"A{number};10.00-20;146/143K;16;TT;3000;110;110;1052;7.50;14;100" for number in range(3)]
    path = tmp_path / "feed.csv"
    path.write_text("\n".join([head, units, *rows]) + "\n")
    totals = auditor.audit(str(path)).summary["totals"]
    assert (totals["furniture"], totals["held"], totals["records"]) == (1, 0, 4)


def workbook(path: Path, load_format: str, hidden: bool = False) -> Path:
    with xlsxwriter.Workbook(str(path)) as book:
        sheet, other = book.add_worksheet("List"), book.add_worksheet("Cover")
        other.write(0, 0, "Spring list")
        padded, load = book.add_format({"num_format": "0000000"}), book.add_format({"num_format": load_format})
        for position, header in enumerate(("Part number", "Size", "Load")):
            sheet.write(0, position, header)
        for row, (marking, kg) in enumerate(zip(MARKINGS, KG, strict=True), 1):
            sheet.write_number(row, 0, 12340 + row, padded)
            sheet.write_string(row, 1, marking)
            sheet.write_number(row, 2, kg, load)
        if hidden:
            other.activate()
            sheet.hide()
    return path


def test_a_unit_in_the_number_format_counts_as_part_of_the_cell(tmp_path: Path) -> None:
    feed = opened(workbook(tmp_path / "kg.xlsx", '#,##0" kg"'))
    assert [use.fields[0] for use in feed.mapping.columns] == ["part_number", "marking", "max_load_kg"]
    assert feed.sample(1)[2] == ["850 kg"]
    assert opened(workbook(tmp_path / "lb.xlsx", "0\\ \\l\\b\\s")).sample(1)[2] == ["850 lbs"]
    plain = opened(workbook(tmp_path / "none.xlsx", "#,##0"))
    assert [left.column for left in plain.mapping.unread] == ["Load"]


def test_zero_padded_numbers_keep_their_zeros(tmp_path: Path) -> None:
    assert opened(workbook(tmp_path / "kg.xlsx", "0")).sample(3)[0] == ["0012341", "0012342", "0012343"]


def test_a_hidden_sheet_is_named_as_such(tmp_path: Path) -> None:
    feed = opened(workbook(tmp_path / "hidden.xlsx", "0", hidden=True))
    assert feed.mapping.warnings == ("The sheet 'List' is hidden in its workbook.",)


def test_a_delivery_of_a_header_alone_is_said(tmp_path: Path) -> None:
    path = tmp_path / "feed.csv"
    path.write_text("sku,marking,max_load_kg\n")
    result = auditor.audit(str(path))
    assert result.summary["feeds"][0]["map"]["warnings"] == ["It holds a header, and no listing."]


def test_names_and_values_in_a_list_are_columns(tmp_path: Path) -> None:
    path = tmp_path / "feed.json"
    attributes = [{"name": "Max load", "value": "950 kg"}, {"name": "Color", "value": "black"}]
    path.write_text(
        json.dumps([{"sku": str(n), "marking": "225/65R17 102H", "attributes": attributes} for n in range(6)])
    )
    assert {use.column: use.fields[0] for use in opened(path).mapping.columns}["attributes.Max load"] == "max_load_kg"
