"""Tables saved as HTML or in the XML of spreadsheets, under the name of a workbook."""

from __future__ import annotations

from pathlib import Path

import pytest

import auditor
from auditor.errors import FeedError
from auditor.feeds.xml_first_bytes import kind_of_tables
from auditor.shell.cli import main
from tests.feeds.reading import everything, opened

HEADER = ("SKU", "Size", "Max load kg")
ROWS = (("A1", "225/65R17 102H", "850"), ("A2", "205/55R16 91V", "700"))  # the second is 615 kg


def html(*rows: tuple[str, ...]) -> str:
    cells = "".join("<tr>" + "".join(f"<td>{cell}</td>" for cell in row) + "</tr>\n" for row in rows)
    return f"<table border=1>{cells}</table>"


def spreadsheet(*sheets: tuple[tuple[str, ...], ...]) -> str:
    bodies = "".join(
        f'<Worksheet ss:Name="S{number}"><Table>'
        + "".join(
            "<Row>" + "".join(f'<Cell><Data ss:Type="String">{cell}</Data></Cell>' for cell in row) + "</Row>"
            for row in sheet
        )
        + "</Table></Worksheet>"
        for number, sheet in enumerate(sheets)
    )
    names = (
        'xmlns="urn:schemas-microsoft-com:office:spreadsheet" xmlns:ss="urn:schemas-microsoft-com:office:spreadsheet"'
    )
    return f'<?xml version="1.0"?>\n<?mso-application progid="Excel.Sheet"?>\n<Workbook {names}>{bodies}</Workbook>'


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("list.xls", f"<html><head><meta charset=utf-8></head><body>{html(HEADER, *ROWS)}</body></html>"),
        ("list.xls", html(("Price list", "", ""), HEADER, *ROWS)),
        ("list.xls", f"<!DOCTYPE html>\n<html>{html(('Contact', 'us'))}<p>{html(HEADER, *ROWS)}</html>"),
        ("list.xls", f"<html><table><tr><td>{html(HEADER, *ROWS)}</td></tr></table></html>"),  # in a frame of its own
        ("list.xls", spreadsheet((HEADER, *ROWS))),
        ("list.xml", spreadsheet((("Call us",),), (HEADER, *ROWS))),
    ],
)
def test_the_table_of_listings_is_read(tmp_path: Path, name: str, text: str) -> None:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    found = auditor.audit(str(path)).findings.to_pylist()
    assert [(row["feed"], row["record"], row["rule"]) for row in found] == [(name, 2, "load-overstated")]


def test_listings_are_parted_as_delimited_text(tmp_path: Path) -> None:
    path = tmp_path / "list.xls"
    path.write_text(html(HEADER, *ROWS), encoding="utf-8")
    assert main(["audit", str(path), "--out", str(tmp_path / "out"), "--quiet"]) == 1
    assert (tmp_path / "out/held/list.xls.csv").read_text() == "SKU,Size,Max load kg\nA2,205/55R16 91V,700\n"
    assert (tmp_path / "out/released/list.xls.csv").read_text() == "SKU,Size,Max load kg\nA1,225/65R17 102H,850\n"


def test_cells_that_reach_over_others_and_signs_that_stand_for_letters(tmp_path: Path) -> None:
    path = tmp_path / "list.xls"
    rows = (
        "<tr><th>SKU</th><th>Size</th><th>Brand</th></tr><tr><td>A1</td><td>225/65R17&nbsp;102H"
        "<td rowspan=2>N&oslash;r<br>va"
        "<tr><td>A2</td><td>205/55R16 91V</td></tr><tr><td colspan=2>B1</td><td>Tor,vik</td></tr>"
    )
    path.write_text(f"<html><table>{rows}</table></html>", encoding="utf-8")
    assert everything(opened(path))[0] == {
        1: ["A1", "225/65R17 102H", "Nør va"],
        2: ["A2", "205/55R16 91V", "Nør va"],
        3: ["B1", "", "Tor,vik"],
    }


def test_gaps_in_a_spreadsheet_keep_their_places(tmp_path: Path) -> None:
    path = tmp_path / "list.xls"
    text = spreadsheet((HEADER, *ROWS)).replace(
        '<Row><Cell><Data ss:Type="String">A2', '<Row ss:Index="4"><Cell><Data>A2'
    )
    text = text.replace('<Cell><Data ss:Type="String">225/65R17 102H</Data></Cell><Cell>', '<Cell ss:Index="3">')
    text = text.replace("<Data>A2</Data>", "<Data>A2</Data><Comment><Data>not this</Data></Comment>")
    path.write_text(text, encoding="utf-8")
    assert everything(opened(path))[0] == {1: ["A1", "", "850"], 2: [""] * 3, 3: ["A2", "205/55R16 91V", "700"]}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (html(("Contact", "us")), "holds no table with a recognized header"),
        (spreadsheet((HEADER, *ROWS), (HEADER, *ROWS)), "holds 2 tables of listings"),
        (spreadsheet((HEADER, *ROWS))[:-30], "the spreadsheet in XML is damaged"),
        (
            '<!DOCTYPE a [<!ENTITY b "bb">]>' + spreadsheet((HEADER, *ROWS)).partition("?>\n")[2],
            "declares entities of its own",
        ),
        (
            "<html><table>" + "<tr><td colspan=1000 rowspan=1000>" * 3 + "<tr><td>" * 3000,
            "asks for more cells than it has room for",
        ),
    ],
)
def test_what_cannot_be_read_is_refused(tmp_path: Path, text: str, message: str) -> None:
    path = tmp_path / "list.xls"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FeedError, match=message):
        opened(path)


@pytest.mark.timeout(20)
def test_many_comments_before_what_is_no_page_take_no_time() -> None:
    """Each comment is parted in one way only; with two, forty of them would take days."""
    comments = b"<!--a-->" * 500
    assert kind_of_tables(comments + b"<feed>", "csv") is None
    assert kind_of_tables(comments + b"<table>", "csv") == "html"
