"""The XML of the workbook's rows, parsed with another library, and its numbers as a spreadsheet program keeps them."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

import pyarrow as pa
import pytest

from auditor.outputs.findings import FINDINGS_SCHEMA
from auditor.outputs.workbook.rows import CELL_LONGEST, COLUMNS, READ, STYLES, rows_xml

NUMBERS = {name: str(position) for position, name in enumerate(STYLES, 3)}
SCHEMA = pa.schema([FINDINGS_SCHEMA.field(name) for name in READ])
PRESERVE = "{http://www.w3.org/XML/1998/namespace}space"


def cells(*findings: dict[str, Any], first: int = 2) -> list[dict[str, ElementTree.Element]]:
    """Column to cell, for each row of the findings."""
    rows = [dict.fromkeys(READ) | {"grade": "major", "record": 1} | finding for finding in findings]
    xml = rows_xml(pa.Table.from_pylist(rows, schema=SCHEMA), first, NUMBERS).to_pybytes()
    parsed = ElementTree.fromstring(b"<all>" + xml + b"</all>")
    assert [row.get("r") for row in parsed] == [str(first + position) for position in range(len(findings))]
    names = {chr(ord("A") + position): name for position, (name, _, _) in enumerate(COLUMNS)}
    found = []
    for row in parsed:
        assert all((cell.get("r") or "")[1:] == row.get("r") for cell in row)
        found.append({names[(cell.get("r") or "?")[0]]: cell for cell in row})
    return found


def text_of(cell: ElementTree.Element) -> str:
    assert cell.get("t") == "inlineStr"
    return cell.findtext("is/t") or ""


def test_empty_cells_are_left_out_and_those_for_people_are_framed() -> None:
    (row,) = cells({"sku": "", "stated": None})
    assert set(row) == {"grade", "decision", "note", "until", "by", "record"}
    assert row["decision"].get("s") == row["note"].get("s") == NUMBERS["decision"]
    assert len(row["decision"]) == 0


@pytest.mark.parametrize(("length", "height"), [(0, 15), (64, 15), (65, 30), (128, 30), (5_000, 240)])
def test_rows_are_as_high_as_their_sentence_needs(length: int, height: int) -> None:
    part = pa.Table.from_pylist([dict.fromkeys(READ) | {"grade": "minor", "message": "ö" * length}], schema=SCHEMA)
    row = ElementTree.fromstring(rows_xml(part, 2, NUMBERS).to_pybytes())
    assert row.get("ht") == str(height)


def test_each_row_has_the_style_of_its_own_grade() -> None:
    rows = cells({"grade": "minor"}, {"grade": "critical"}, {"grade": "major"}, first=90)
    assert [row["grade"].get("s") for row in rows] == [NUMBERS[grade] for grade in ("minor", "critical", "major")]
    assert [text_of(row["grade"]) for row in rows] == ["minor", "critical", "major"]


@pytest.mark.parametrize("text", ["0", "17", "22.5", "-0.5", "123456789012", "12345678901.25"])
def test_numbers_are_numbers(text: str) -> None:
    (row,) = cells({"stated": text})
    assert (row["stated"].get("t"), row["stated"].findtext("v")) == (None, text)


@pytest.mark.parametrize(
    "text", ["017", "22.50", "1,360", "1e5", "+5", "1234567890123", "123456789012.125", "٣", "17 ", "5\n", ".5", "5."]
)
def test_what_a_spreadsheet_program_would_change_stays_text(text: str) -> None:
    (row,) = cells({"stated": text})
    assert text_of(row["stated"]) == text


def test_a_code_stays_text_though_it_looks_like_a_number() -> None:
    (row,) = cells({"gtin": "4012345678901", "sku": "1200"})
    assert (text_of(row["gtin"]), text_of(row["sku"])) == ("4012345678901", "1200")


def test_deviations_are_kept_to_the_last_digit_and_left_out_where_there_is_none() -> None:
    rows = cells({"deviation": 0.1 + 0.2}, {"deviation": float("nan")}, {"deviation": float("inf")}, {})
    assert float(rows[0]["deviation"].findtext("v") or "") == 0.1 + 0.2
    assert rows[0]["deviation"].get("s") == NUMBERS["percent"]
    assert not any("deviation" in row for row in rows[1:])


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("Tire & Tube", "Tire & Tube"),
        ("<r><b>bold</b></r>", "<r><b>bold</b></r>"),  # no markup, whatever it looks like
        ("</t></is></c>", "</t></is></c>"),
        ("=1+1", "=1+1"),
        ("bell\x07 and \x00", "bell_x0007_ and _x0000_"),
        ("line\rbreak\n", "line_x000D_break\n"),
        ("_x000D_", "_x005F_x000D_"),  # a supplier's own characters, not an escape
        ("\ufffe\uffff", "_xFFFE__xFFFF_"),
        ("Größe 🛞 ع", "Größe 🛞 ع"),
    ],
)
def test_hostile_texts_are_read_back_as_they_stand(text: str, written: str) -> None:
    rows = cells({"sku": text, "message": text}, {"sku": "plain", "message": text}, {"message": "plain"})
    assert [text_of(row["message"]) for row in rows] == [written, written, "plain"]
    assert (text_of(rows[0]["sku"]), text_of(rows[1]["sku"])) == (written, "plain")
    assert rows[0]["message"].get("s") == NUMBERS["wrapped"]


@pytest.mark.parametrize(("text", "kept"), [(" A", True), ("A\t", True), ("\nA", True), ("A B", False)])
def test_blanks_at_an_end_are_kept(text: str, kept: bool) -> None:
    (row,) = cells({"stated": text})
    assert text_of(row["stated"]) == text
    assert (row["stated"].find("is/t").get(PRESERVE) == "preserve") is kept  # type: ignore[union-attr]


def test_a_long_cell_is_cut_and_says_so() -> None:
    rows = cells({"stated": "ü" * CELL_LONGEST}, {"stated": "ü" * (CELL_LONGEST + 1)})
    assert text_of(rows[0]["stated"]) == "ü" * CELL_LONGEST
    assert text_of(rows[1]["stated"]) == "ü" * (CELL_LONGEST - 1) + "…"
