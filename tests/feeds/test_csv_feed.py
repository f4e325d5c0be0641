"""Delimited text: whatever cells hold and wherever stretches are cut, no record moves or is lost."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from auditor.feeds import csv_feed, csv_units
from auditor.feeds.model import HELD, REJECTED, RELEASED
from tests.feeds.reading import everything, opened, split_texts

HEADER = ["sku", "marking", "title"]
CELLS = st.text(alphabet='ab9 ",\n\r/é;', max_size=9)
ROWS = st.lists(st.tuples(CELLS, CELLS, CELLS), min_size=1, max_size=25)


def small_stretches(monkeypatch: pytest.MonkeyPatch, chunk: int) -> None:
    monkeypatch.setattr(csv_units, "CHUNK_BYTES", chunk)
    monkeypatch.setattr(csv_units, "PIECE_BYTES", chunk * 2)
    monkeypatch.setattr(csv_units, "UNIT_RECORDS", 7)


@given(
    rows=ROWS,
    chunk=st.sampled_from([16, 31, 64, 1000]),
    line_end=st.sampled_from(["\n", "\r\n"]),
    every_cell_quoted=st.booleans(),
)
@settings(max_examples=80)
def test_cells_come_back_as_python_reads_them(
    tmp_path_factory: pytest.TempPathFactory,
    rows: list[tuple[str, str, str]],
    chunk: int,
    line_end: str,
    every_cell_quoted: bool,
) -> None:
    if not every_cell_quoted:  # Python's writer leaves a lone carriage return unquoted
        rows = [(one.replace("\r", ""), two.replace("\r", ""), three.replace("\r", "")) for one, two, three in rows]
    quoting = csv.QUOTE_ALL if every_cell_quoted else csv.QUOTE_MINIMAL
    folder = tmp_path_factory.mktemp("csv")
    text = io.StringIO()
    csv.writer(text, quoting=quoting, lineterminator=line_end).writerows([HEADER, *rows])
    path = folder / "feed.csv"
    path.write_bytes(text.getvalue().encode())
    with pytest.MonkeyPatch.context() as monkeypatch:
        small_stretches(monkeypatch, chunk)
        feed = opened(path)
        cells, rejected = everything(feed)
        assert rejected == []
        assert [cells[number] for number in sorted(cells)] == [list(row) for row in rows]
        disposition = [HELD if position % 3 == 0 else RELEASED for position in range(len(rows))]
        released, held = split_texts(feed, disposition, folder)
    for part, wanted in ((released, RELEASED), (held, HELD)):
        back = list(csv.reader(io.StringIO(part.decode(), newline="")))
        assert back == [HEADER, *[list(row) for row, what in zip(rows, disposition, strict=True) if what == wanted]]


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_a_last_record_of_several_lines_needs_no_line_end(tmp_path: Path, line_end: str) -> None:
    path = tmp_path / "feed.csv"
    path.write_bytes(f'sku,marking,title{line_end}"a{line_end}b",c,d'.encode())
    assert everything(opened(path)) == ({1: [f"a{line_end}b", "c", "d"]}, [])


RAW = st.lists(
    st.sampled_from(
        [
            b"a,b,c",
            b'a,"b",c',
            b'16",b,c',
            b'a,"x\ny",c',
            b'"16" rim,b,c',
            b'a,"b,c',
            b"a,b",
            b"",
            b"a,\0,c",
            b"a,b\xff,c",
            b"a,b,c,d",
            b'a,"q"" r",c',
            b"a\rb,c,d",
            b'"",b,c',
        ]
    ),
    min_size=1,
    max_size=30,
)


@given(lines=RAW, chunk=st.sampled_from([16, 40, 100]))
@settings(max_examples=100)
def test_faulty_lines_cost_only_themselves_wherever_the_stretches_are_cut(
    tmp_path_factory: pytest.TempPathFactory, lines: list[bytes], chunk: int
) -> None:
    folder = tmp_path_factory.mktemp("faulty")
    path = folder / "feed.csv"
    path.write_bytes(b"sku,marking,title\n" + "é,b,c\n".encode() + b"\n".join([*lines, b"last,b,c"]) + b"\n")
    whole = everything(opened(path))
    with pytest.MonkeyPatch.context() as monkeypatch:
        small_stretches(monkeypatch, chunk)
        feed = opened(path)
        cells, rejected = everything(feed)
        assert (cells, rejected) == whole
        records = max([*cells, *(item.record or 0 for item in rejected)])
        assert cells[records] == ["last", "b", "c"]
        disposition = [
            REJECTED if number in {item.record for item in rejected} else HELD for number in range(1, records + 1)
        ]
        _, held = split_texts(feed, disposition, folder)
    sound = list(csv.reader(io.StringIO(held.decode(), newline="")))
    assert sound[1:] == [cells[number] for number in sorted(cells)]


@pytest.mark.parametrize("budget", [1, 40, 1 << 20])
def test_blocks_hold_the_records_of_a_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, budget: int) -> None:
    small_stretches(monkeypatch, 64)
    monkeypatch.setattr(csv_units, "UNIT_RECORDS", 100)
    monkeypatch.setattr(csv_feed, "BLOCK_CELL_BYTES", budget)
    path = tmp_path / "feed.csv"
    rows = [f'{number},m{number},"t\n{number}"' if number % 5 else "short" for number in range(150)]
    path.write_text("\n".join([",".join(HEADER), *rows]))
    feed = opened(path)
    sizes = []
    for unit in feed.units():
        whole, blocks = feed.read(unit, [2, 0]), list(feed.blocks(unit, [2, 0]))
        assert [number for block in blocks for number in block.records.tolist()] == whole.records.tolist()
        assert [fault for block in blocks for fault in block.rejected] == list(whole.rejected)
        for position, column in enumerate(whole.columns):
            assert [text for block in blocks for text in block.columns[position].to_pylist()] == column.to_pylist()
        sizes.append(len(blocks))
    assert (max(sizes) == 1) == (budget == 1 << 20)


def test_a_title_with_a_size_beside_numbers_is_a_listing(tmp_path: Path) -> None:
    path = tmp_path / "feed.csv"
    lines = [
        f"A{number}|Pneu Norvane 205/55 R16 91V {word}|205|55|R|16|{word}"
        for number, word in enumerate(["", "XL", ""] * 4)
    ]
    path.write_text("\n".join(lines) + "\n", "utf-8")
    feed = opened(path)
    assert feed.headers[0] == "column 1" and len(everything(feed)[0]) == 12


def test_a_feed_without_headers_begins_with_its_first_listing(tmp_path: Path) -> None:
    path = tmp_path / "rows.txt"
    rows = ["A1|Norvane|205/55R16|91V||70 dB", "A2|Norvane|205/55R16|94V|XL|70 dB", "A3|Torvik|195/65R15|91H||71 dB"]
    path.write_text("\n".join(rows * 4), "utf-8")  # the second row has a word that headers have
    feed = opened(path)
    assert feed.headers[0] == "column 1"
    assert everything(feed)[0][1][:3] == ["A1", "Norvane", "205/55R16"]
