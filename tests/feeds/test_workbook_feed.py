"""Workbooks: several sheets, titles, merged cells, texts and numbers, dates, formulas; three formats."""

from __future__ import annotations

import zipfile
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xlsxwriter
from openpyxl import load_workbook

import auditor
from auditor.errors import FeedError
from auditor.feeds import workbook_trial
from auditor.feeds.locate import find_feeds
from auditor.feeds.model import HELD, REJECTED, RELEASED, Limits
from auditor.feeds.splitting import split_feeds
from auditor.mapping.maps import load_maps
from auditor.mapping.opening import open_feeds
from tests.feeds.reading import everything, opened

HEADER = ["SKU", "Size", "Load/Speed", "Max Load (kg)"]
ROWS: list[list[Any]] = [
    ["0001", "225/65R17", "102H", 850],
    ["0002", "205/55R16", "91V", 615.0],
    ["0003", "195/65R15", "91H", "615"],
]


def book(path: Path, sheets: dict[str, list[list[Any]]], formulas: bool = False) -> Path:
    with xlsxwriter.Workbook(str(path), {"strings_to_formulas": formulas}) as made:
        day = made.add_format({"num_format": "yyyy-mm-dd"})
        for name, rows in sheets.items():
            sheet = made.add_worksheet(name)
            for number, row in enumerate(rows):
                for position, cell in enumerate(row):
                    if isinstance(cell, date):
                        sheet.write_datetime(number, position, cell, day)
                    else:
                        sheet.write(number, position, cell)
    return path


def values(path: Path, sheet: str) -> list[list[Any]]:
    loaded = load_workbook(path)
    rows = [[cell.value for cell in row] for row in loaded[sheet].iter_rows()]
    loaded.close()
    return rows


def test_two_sheets_are_two_feeds_and_come_out_as_one_workbook(tmp_path: Path) -> None:
    path = book(tmp_path / "two.xlsx", {"Cars": [HEADER, *ROWS], "Notes": [["call us"]], "Vans": [HEADER, ROWS[0]]})
    feeds = open_feeds(find_feeds([str(path)])[0])
    assert [(feed.name, feed.sheet) for feed in feeds] == [("two.xlsx", "Cars"), ("two.xlsx", "Vans")]
    dispositions = [np.array([RELEASED, HELD, RELEASED], np.uint8), np.array([HELD], np.uint8)]
    assert split_feeds(feeds, dispositions, tmp_path / "released", tmp_path / "held") == ["two.xlsx"]
    assert values(tmp_path / "released/two.xlsx", "Cars") == [HEADER, ROWS[0], ROWS[2]]
    assert values(tmp_path / "held/two.xlsx", "Cars") == [HEADER, ROWS[1]]
    assert values(tmp_path / "held/two.xlsx", "Vans") == [HEADER, ROWS[0]]
    assert values(tmp_path / "held/two.xlsx", "Notes") == [["call us"]]


def test_title_rows_numbers_and_texts(tmp_path: Path) -> None:
    path = book(tmp_path / "titled.xlsx", {"List": [["Ellermoor price list"], [], HEADER, *ROWS]})
    feed = opened(path)
    cells, rejected = everything(feed)
    assert feed.headers == tuple(HEADER)
    assert rejected == []
    assert cells == {1: ["0001", "225/65R17", "102H", "850"], 2: ["0002", "205/55R16", "91V", "615"], 3: ROWS[2]}
    feed.split(tmp_path / "r.xlsx", tmp_path / "h.xlsx", np.array([HELD, RELEASED, HELD], np.uint8))
    assert values(tmp_path / "h.xlsx", "List")[0][0] == "Ellermoor price list"
    assert values(tmp_path / "h.xlsx", "List")[2:] == [HEADER, ROWS[0], ROWS[2]]


def test_blank_rows_keep_their_number_and_are_rejected(tmp_path: Path) -> None:
    path = book(tmp_path / "gaps.xlsx", {"List": [HEADER, ROWS[0], [], ROWS[1], [], []]})
    cells, rejected = everything(opened(path))
    assert sorted(cells) == [1, 3]
    assert [(item.record, item.reason) for item in rejected] == [(2, "The row is blank.")]


def test_merged_cells_hold_for_every_row_they_span(tmp_path: Path) -> None:
    path = tmp_path / "merged.xlsx"
    with xlsxwriter.Workbook(str(path)) as made:
        sheet = made.add_worksheet("List")
        sheet.merge_range(0, 0, 0, 3, "Spring list")
        sheet.write_row(1, 0, ["Brand", "SKU", "Size", "Load/Speed"])
        sheet.merge_range(2, 0, 4, 0, "Nordhall")
        for number, row in enumerate(ROWS):
            sheet.write_row(2 + number, 1, row[:3])
    feed = opened(path)
    cells, _ = everything(feed)
    assert [cells[number][0] for number in (1, 2, 3)] == ["Nordhall"] * 3
    feed.split(tmp_path / "r.xlsx", tmp_path / "h.xlsx", np.array([RELEASED, HELD, RELEASED], np.uint8))
    assert values(tmp_path / "h.xlsx", "List")[2] == ["Nordhall", "0002", "205/55R16", "91V"]


def test_parts_under_a_merged_heading_make_one_header(tmp_path: Path) -> None:
    path = tmp_path / "two_rows.xlsx"
    with xlsxwriter.Workbook(str(path)) as made:
        sheet = made.add_worksheet("List")
        sheet.write_row(0, 0, ["SKU", "Tire Marking"])
        sheet.merge_range(0, 2, 0, 3, "Max Load")
        sheet.write_row(1, 2, ["kg", "lb"])
        sheet.write_row(2, 0, ["A", "225/65R17 102H", 850, 1874])
    feed = opened(path)
    assert feed.headers == ("SKU", "Tire Marking", "Max Load kg", "Max Load lb")
    assert {use.fields[0] for use in feed.mapping.columns} == {"sku", "marking", "max_load_kg", "max_load_lb"}
    assert everything(feed)[0] == {1: ["A", "225/65R17 102H", "850", "1874"]}


def test_a_size_turned_into_a_date_is_shown_as_the_date_it_is(tmp_path: Path) -> None:
    path = book(tmp_path / "dates.xlsx", {"List": [HEADER, ["A", date(2031, 10, 5), "109S", 1030], ROWS[0]]})
    feed = opened(path)
    assert everything(feed)[0][1][1] == "2031-10-05"
    feed.split(tmp_path / "r.xlsx", tmp_path / "h.xlsx", np.array([HELD, RELEASED], np.uint8))
    assert values(tmp_path / "h.xlsx", "List")[1][1].date() == date(2031, 10, 5)


def test_formulas_are_not_evaluated_and_texts_like_formulas_stay_texts(tmp_path: Path) -> None:
    path = book(tmp_path / "formulas.xlsx", {"List": [HEADER, ["=1+1", "225/65R17", "102H", 850]]})
    feed = opened(path)
    assert everything(feed)[0][1][0] == "=1+1"
    feed.split(tmp_path / "r.xlsx", tmp_path / "h.xlsx", np.array([HELD], np.uint8))
    cell = load_workbook(tmp_path / "h.xlsx")["List"]["A2"]
    assert (cell.value, cell.data_type) == ("=1+1", "s")


def test_same_workbook_gives_same_bytes(tmp_path: Path) -> None:
    feed = opened(book(tmp_path / "same.xlsx", {"List": [HEADER, *ROWS]}))
    disposition = np.array([RELEASED, HELD, REJECTED], np.uint8)
    for name in ("one", "two"):
        feed.split(tmp_path / f"{name}_r.xlsx", tmp_path / f"{name}_h.xlsx", disposition)
    assert (tmp_path / "one_r.xlsx").read_bytes() == (tmp_path / "two_r.xlsx").read_bytes()


def test_old_excel_format_comes_out_as_xlsx(tmp_path: Path) -> None:
    import xlwt

    made = xlwt.Workbook()
    sheet = made.add_sheet("List")
    for number, row in enumerate([HEADER, *ROWS]):
        for position, cell in enumerate(row):
            sheet.write(number, position, cell)
    path = tmp_path / "old.xls"
    made.save(str(path))
    feed = opened(path)
    assert (feed.format, feed.output_name) == ("xls", "old.xlsx")
    assert everything(feed)[0][2] == ["0002", "205/55R16", "91V", "615"]
    feed.split(tmp_path / "r.xlsx", tmp_path / "h.xlsx", np.array([HELD, RELEASED, HELD], np.uint8))
    assert values(tmp_path / "h.xlsx", "List") == [HEADER, ROWS[0], ROWS[2]]


def test_open_document_sheet_comes_out_as_xlsx(tmp_path: Path) -> None:
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    made = OpenDocumentSpreadsheet()
    sheet = Table(name="List")
    for row in [HEADER, *ROWS]:
        line = TableRow()
        for cell in row:
            numeric = isinstance(cell, int | float)
            item = TableCell(valuetype="float", value=cell) if numeric else TableCell(valuetype="string")
            item.addElement(P(text=str(cell)))
            line.addElement(item)
        sheet.addElement(line)
    made.spreadsheet.addElement(sheet)
    path = tmp_path / "open.ods"
    made.save(str(path))
    feed = opened(path)
    assert (feed.format, feed.output_name) == ("ods", "open.xlsx")
    assert everything(feed)[0] == {
        1: ["0001", "225/65R17", "102H", "850"],
        2: ["0002", "205/55R16", "91V", "615"],
        3: ["0003", "195/65R15", "91H", "615"],
    }


def test_workbook_named_as_csv_is_recognized(tmp_path: Path) -> None:
    path = book(tmp_path / "real.xlsx", {"List": [HEADER, *ROWS]}).rename(tmp_path / "really_xlsx.csv")
    assert opened(path).format == "xlsx"


def test_damaged_workbook_is_one_sentence(tmp_path: Path) -> None:
    whole = book(tmp_path / "whole.xlsx", {"List": [HEADER, *ROWS]})
    path = tmp_path / "cut.xlsx"
    path.write_bytes(whole.read_bytes()[:2000])
    with pytest.raises(FeedError, match=r"cut\.xlsx: cannot be opened as a workbook"):
        opened(path)


def test_a_damaged_sheet_is_rejected_and_the_others_are_read(tmp_path: Path) -> None:
    whole = book(tmp_path / "whole.xlsx", {"Cars": [HEADER, *ROWS], "Vans": [HEADER, ROWS[0]]})
    path = tmp_path / "damaged.xlsx"
    with zipfile.ZipFile(whole) as source, zipfile.ZipFile(path, "w") as target:
        for info in source.infolist():
            content = source.read(info)
            target.writestr(info, content[:300] + b"<<" if info.filename.endswith("sheet2.xml") else content)
    feeds = open_feeds(find_feeds([str(path)])[0])
    assert [feed.sheet for feed in feeds] == ["Cars", "Vans"]
    assert len(everything(feeds[0])[0]) == 3
    cells, rejected = everything(feeds[1])
    assert (cells, len(rejected), rejected[0].sheet) == ({}, 1, "Vans")
    assert rejected[0].reason.startswith("The sheet is damaged and cannot be read")
    dispositions = [np.array([HELD] * 3, np.uint8), np.array([REJECTED], np.uint8)]
    split_feeds(feeds, dispositions, tmp_path / "released", tmp_path / "held")
    assert values(tmp_path / "held/damaged.xlsx", "Cars") == [HEADER, *ROWS]


def test_a_map_per_sheet(tmp_path: Path) -> None:
    path = book(
        tmp_path / "two.xlsx", {"Cars": [["X", "Y"], ["1", "225/65R17 102H"]], "Vans": [["Y"], ["195R15C 106/104R"]]}
    )
    maps = tmp_path / "maps"
    maps.mkdir()
    for sheet in ("Vans", "Cars"):
        text = f'files = ["two.xlsx"]\nsheet = "{sheet}"\n[[column]]\nheader = "Y"\nfield = "marking"\n'
        (maps / f"{sheet}.toml").write_text(text)
    feeds = open_feeds(find_feeds([str(path)])[0], load_maps(maps))
    assert [(feed.sheet, feed.mapping.name) for feed in feeds] == [("Cars", "Cars.toml"), ("Vans", "Vans.toml")]


def test_workbook_without_listings(tmp_path: Path) -> None:
    with pytest.raises(FeedError, match="no sheet holds a table with a recognized header"):
        opened(book(tmp_path / "notes.xlsx", {"Notes": [["hello"], ["world"]]}))


def test_workbook_that_unpacks_too_far(tmp_path: Path) -> None:
    path = book(tmp_path / "big.xlsx", {"List": [HEADER, *ROWS]})
    with pytest.raises(FeedError, match="beyond the limit"):
        opened(path, Limits(workbook_bytes=1000))


def test_a_stray_cell_in_the_last_corner_costs_its_feed_alone(tmp_path: Path) -> None:
    path = tmp_path / "stray.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["sku", "marking"])
        sheet.write_row(1, 0, ["1", "225/65R17 102H"])
        sheet.write(1_048_575, 16_383, "x")  # XFD1048576
    with pytest.raises(FeedError, match=r"stray\.xlsx: opening the workbook takes more than .* bytes of memory"):
        opened(path)


def test_a_workbook_that_takes_too_long(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "slow.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        book.add_worksheet().write_row(0, 0, ["sku", "marking"])
    workbook_trial.end_child()
    monkeypatch.setattr(workbook_trial, "_CHILD", "import time; time.sleep(60)")
    with pytest.raises(FeedError, match="or 1 seconds"):
        opened(path, Limits(workbook_seconds=1))


def test_a_heading_over_merged_cells_is_no_listing(tmp_path: Path) -> None:
    path = tmp_path / "agro.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet()
        for place, header in enumerate(("SKU", "Size", "Load index", "Max load kg", "Max speed km/h")):
            sheet.write(0, place, header)
        for number in range(3):
            first = 1 + 7 * number
            sheet.merge_range(first, 0, first, 4, f"RADIAL - DRIVE, SERIES {65 + 10 * number}")
            for row in range(first + 1, first + 7):
                for place, cell in enumerate((f"A{row}", "320/85R28", "124A8", "1600", "40")):
                    sheet.write(row, place, cell)
    totals = auditor.audit(str(path)).summary["totals"]
    assert (totals["records"], totals["furniture"], totals["held"]) == (21, 3, 0)
