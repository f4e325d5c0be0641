"""Headers in two rows, as merged cells leave them in text and in workbooks."""

from __future__ import annotations

from pathlib import Path

import pytest
import xlsxwriter

import auditor
from auditor.feeds.two_row_headers import joined_headers
from tests.feeds.reading import opened

ABOVE = ["SKU", "Size", "", "", "Max load (kg)", "", "Title"]
BELOW = ["", "Width", "Aspect", "Rim", "Single", "Dual", ""]
HEADERS = ("SKU", "Size Width", "Size Aspect", "Size Rim", "Max load (kg) Single", "Max load (kg) Dual", "Title")
RECORDS = [
    ["A1", "225", "65", "16", "1120", "1060", "Tarn 225/65R16C 112/110R"],
    ["A2", "225", "65", "16", "1220", "1060", "Tarn 225/65R16C 112/110R"],
]


def test_headings_and_their_parts_are_joined() -> None:
    assert joined_headers(ABOVE, BELOW) == list(HEADERS)


@pytest.mark.parametrize(
    ("above", "below"),
    [
        (["SKU", "Size", "Load"], ["A1", "225/65R17", "850"]),
        (["SKU", "Title", "", ""], ["A1", "Tarn", "red", "big"]),
        (["SKU", "Size", ""], ["", "225", "65"]),
        (["SKU", "Size", ""], ["", "Width", "Width"]),
        (["SKU", "Size", ""], ["", "Width", ""]),
        (["SKU", "Size", "Load"], ["", "", ""]),
    ],
)
def test_a_record_is_no_part_of_a_header(above: list[str], below: list[str]) -> None:
    assert joined_headers(above, below) is None


@pytest.mark.parametrize("title", [[], ["Price list;;;;;;", ""], ["Price list;;;valid from May;;;"]])
def test_text_with_a_header_in_two_rows(tmp_path: Path, title: list[str]) -> None:
    path = tmp_path / "north.csv"
    path.write_text("\n".join([*title, *(";".join(row) for row in (ABOVE, BELOW, *RECORDS))]) + "\n", encoding="utf-8")
    assert opened(path).headers == HEADERS
    result = auditor.audit(str(path), str(tmp_path / "out"))
    assert [row["record"] for row in result.findings.to_pylist() if row["grade"] == "critical"] == [2]
    assert ";".join(BELOW) in (tmp_path / "out" / "held" / "north.csv").read_text()


def test_workbook_with_merged_headings(tmp_path: Path) -> None:
    path = tmp_path / "north.xlsx"
    with xlsxwriter.Workbook(str(path)) as workbook:
        sheet = workbook.add_worksheet()
        for number, row in enumerate([["Price list"], ABOVE, BELOW, *RECORDS]):
            sheet.write_row(number, 0, row)
        sheet.merge_range(1, 1, 1, 3, "Size")
        sheet.merge_range(1, 4, 1, 5, "Max load (kg)")
    assert opened(path).headers == HEADERS


def test_a_title_above_a_header_is_no_heading(tmp_path: Path) -> None:
    path = tmp_path / "north.csv"
    lines = ["Tarn Ltd;;May;", "SKU;Size;Max load (kg);Title", "A1;225/65R17;850;Tarn 225/65R17 102H"]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert opened(path).headers == ("SKU", "Size", "Max load (kg)", "Title")


def test_a_second_byte_order_mark_is_no_part_of_a_header(tmp_path: Path) -> None:
    path = tmp_path / "north.csv"
    path.write_bytes(b"\xef\xbb\xbf" * 2 + b"SKU;Size\nA1;225/65R17\n")
    assert opened(path).headers == ("SKU", "Size")


def test_names_for_programs_below_those_for_people(tmp_path: Path) -> None:
    """Templates of markets have both; listings begin below the second row, which is none."""
    path = tmp_path / "template.txt"
    people = ("Seller SKU", "Product Name", "Section Width", "Aspect Ratio", "Rim Diameter", "Load Index")
    programs = ("item_sku", "item_name", "section_width", "aspect_ratio", "rim_diameter", "load_index")
    head = "\t".join([*people, "Maximum Speed", "Maximum Speed Unit"])
    names = "\t".join([*programs, "maximum_speed", "maximum_speed_unit"])
    rows = [f"T{n}\tTarnholt 205/55R16 91V\t205\t55\t16\t91\t149\tmiles_per_hour" for n in range(4)]
    path.write_text("\n".join([head, names, *rows]) + "\n")
    result = auditor.audit(str(path))
    assert (result.summary["totals"]["records"], result.summary["totals"]["held"]) == (4, 0)
    placed = {use.column: use.fields[0] for use in opened(path).mapping.columns}
    assert placed["maximum_speed"] == "max_speed_mph"
