"""Certain suggestions put into the feeds: only those cells change, in every format."""

from __future__ import annotations

import codecs
import csv
import gzip
import json
from pathlib import Path
from typing import Any

import openpyxl
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from auditor.feeds.locate import find_feeds
from auditor.mapping.opening import open_feeds
from auditor.outputs.corrected.json_feeds import member_spans
from auditor.outputs.corrected.text_feeds import cell_spans
from auditor.outputs.corrected.writer import write_corrected
from auditor.outputs.findings import FINDINGS_SCHEMA, FindingsWriter

HEADERS = ("sku", "size", "max_load_kg", "max_speed_kmh", "note")
ROWS = (
    ("A-1", "225/65R17 102H", "1874", "210", "plain"),
    ("A-2", "205/55R16 91V", "615", "270", 'says "hi", twice'),
    ("A-3", "225/65R17 102H", "1,900 kg", "210", "Größe"),
    ("A-4", "225/65R17 102H", "850", "210", "right"),
)


def finding(record: int, column: str, stated: str, suggestion: str, **more: Any) -> dict[str, Any]:
    return {
        "feed": "feed",
        "record": record,
        "sku": f"A-{record}",
        "key": f"k{record}",
        "rule": "load-overstated",
        "grade": "critical",
        "field": column,
        "column": column,
        "stated": stated,
        "suggestion": suggestion,
        "message": "It differs.",
    } | more


CERTAIN = (
    finding(1, "max_load_kg", "1874", "850"),
    finding(2, "max_speed_kmh", "270", "240"),
    finding(3, "max_load_kg", "1,900 kg", "850 kg"),
)


def correct(source: Path, folder: Path, *findings: dict[str, Any]) -> tuple[Path, list[dict[str, str]]]:
    """Puts the findings' suggestions into the feed at `source`; the corrected file and the listed changes."""
    feeds = open_feeds(find_feeds([str(source)])[0])
    named = [row | {"feed": feeds[0].name} | {"sheet": feeds[0].sheet} for row in findings]
    with FindingsWriter(folder) as writer:
        writer.append(pa.Table.from_pylist(named, FINDINGS_SCHEMA))
    count = write_corrected(feeds, writer.parquet_path, folder)
    with (folder / "changes.csv").open(encoding="utf-8", newline="") as file:
        changes = list(csv.DictReader(file))
    assert len(changes) == count
    return folder / "corrected" / feeds[0].output_name, changes


def as_csv(delimiter: str = ",", line_end: str = "\r\n") -> str:
    lines = [delimiter.join(HEADERS)]
    for sku, size, load, speed, note in ROWS:
        load = f'"{load}"' if delimiter in load else load
        quoted = note.replace('"', '""')
        lines.append(delimiter.join((sku, f'"{size}"', load, f" {speed} ", f'"{quoted}"')))
    return line_end.join(lines) + line_end + line_end


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_only_the_changed_cells_of_a_delimited_text_change(tmp_path: Path, encoding: str, delimiter: str) -> None:
    source = tmp_path / "feed.csv"
    text = as_csv(delimiter)
    source.write_bytes(text.encode(encoding))
    target, changes = correct(source, tmp_path, *CERTAIN)
    expected = text.replace("1874", "850").replace(" 270 ", " 240 ").replace("1,900 kg", "850 kg")
    written = target.read_bytes()
    assert written.startswith(codecs.BOM_UTF8) == (encoding == "utf-8-sig")
    assert written.decode(encoding) == expected
    assert [(row["record"], row["column"], row["before"], row["after"]) for row in changes] == [
        ("1", "max_load_kg", "1874", "850"),
        ("2", "max_speed_kmh", "270", "240"),
        ("3", "max_load_kg", "1,900 kg", "850 kg"),
    ]


def test_nothing_certain_leaves_the_feed_byte_for_byte(tmp_path: Path) -> None:
    source = tmp_path / "feed.csv"
    source.write_bytes(as_csv().encode())
    target, changes = correct(source, tmp_path, finding(1, "max_load_kg", "1874", ""))
    assert target.read_bytes() == source.read_bytes()
    assert changes == []


@pytest.mark.parametrize(
    "doubtful",
    [
        [finding(1, "size", "225/65R17 102H", "205/55R16 91V")],
        [finding(1, "size", "225/65R17 102H", "17", field="rim_diameter_in")],
        [finding(1, "max_load_kg", "999", "850")],
        [finding(1, "max_load_kg", "1874", "850"), finding(1, "max_load_kg", "1874", "800")],
        [finding(99, "max_load_kg", "1874", "850")],
        [finding(1, "no_such_column", "1874", "850")],
    ],
    ids=["marking", "column-of-the-marking", "cell-differs", "two-suggestions", "no-such-record", "no-such-column"],
)
def test_what_is_not_certain_is_not_changed(tmp_path: Path, doubtful: list[dict[str, Any]]) -> None:
    source = tmp_path / "feed.csv"
    source.write_bytes(as_csv().encode())
    target, changes = correct(source, tmp_path, *doubtful)
    assert target.read_bytes() == source.read_bytes()
    assert changes == []


def test_a_packed_text_stays_packed(tmp_path: Path) -> None:
    source = tmp_path / "feed.csv.gz"
    source.write_bytes(gzip.compress(as_csv().encode()))
    target, changes = correct(source, tmp_path, *CERTAIN)
    assert gzip.decompress(target.read_bytes()).decode() == as_csv().replace("1874", "850").replace(
        " 270 ", " 240 "
    ).replace("1,900 kg", "850 kg")
    assert len(changes) == 3


def test_parquet_keeps_schema_types_and_groups(tmp_path: Path) -> None:
    columns = {name: [row[position] for row in ROWS] for position, name in enumerate(HEADERS)}
    table = pa.table(columns).set_column(3, "max_speed_kmh", pa.array([210, 270, 210, 210], pa.int16()))
    table = table.set_column(2, "max_load_kg", table["max_load_kg"].combine_chunks().dictionary_encode())
    source = tmp_path / "feed.parquet"
    pq.write_table(table, source, row_group_size=2, compression="zstd")
    target, changes = correct(source, tmp_path, *CERTAIN, finding(4, "max_speed_kmh", "210", "fast"))
    written = pq.read_table(target)
    assert written.schema.equals(pq.read_schema(source))
    assert pq.read_metadata(target).num_row_groups == 2
    assert written["max_load_kg"].to_pylist() == ["850", "615", "850 kg", "850"]
    assert written["max_speed_kmh"].to_pylist() == [210, 240, 210, 210]
    assert written.drop_columns(["max_load_kg", "max_speed_kmh"]).equals(
        table.drop_columns(["max_load_kg", "max_speed_kmh"])
    )
    assert len(changes) == 3


@pytest.mark.parametrize("form", ["jsonl", "json"])
def test_json_keeps_everything_else_as_written(tmp_path: Path, form: str) -> None:
    lines = [
        json.dumps(dict(zip(HEADERS, row, strict=True)), ensure_ascii=False)
        .replace('"210"', "210")
        .replace('"270"', "270.0")
        for row in ROWS
    ]
    source = tmp_path / f"feed.{form}"
    source.write_text("\n".join(lines) + "\n" if form == "jsonl" else "[" + ",\n".join(lines) + "]", encoding="utf-8")
    target, changes = correct(source, tmp_path, CERTAIN[0], finding(2, "max_speed_kmh", "270", "240"), CERTAIN[2])
    written = target.read_text(encoding="utf-8")
    rows = json.loads(written) if form == "json" else [json.loads(line) for line in written.splitlines()]
    assert [row["max_load_kg"] for row in rows] == ["850", "615", "850 kg", "850"]
    assert [row["max_speed_kmh"] for row in rows] == [210, 240, 210, 210]
    assert "Größe" in written
    assert len(changes) == 3


def test_workbook_keeps_numbers_as_numbers_and_other_sheets(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Tires"
    sheet.append(HEADERS)
    for sku, size, load, speed, note in ROWS:
        sheet.append((sku, size, int(load) if load.isdigit() else load, int(speed), note))
    book.create_sheet("Notes").append(("kept",))
    source = tmp_path / "feed.xlsx"
    book.save(source)
    target, changes = correct(source, tmp_path, *CERTAIN)
    written = openpyxl.load_workbook(target)
    assert [row[2] for row in written["Tires"].iter_rows(values_only=True)][1:] == [850, 615, "850 kg", 850]
    assert [row[3] for row in written["Tires"].iter_rows(values_only=True)][1:] == [210, 240, 210, 210]
    assert written["Notes"]["A1"].value == "kept"
    assert len(changes) == 3


@pytest.mark.parametrize(
    ("record", "cells"),
    [
        (b"a,b,c\r\n", ["a", "b", "c"]),
        (b'"a,1","b""x",\n', ['"a,1"', '"b""x"', ""]),
        (b'16" rim,b', ['16" rim', "b"]),
        (b'"line\nbreak",b\n', ['"line\nbreak"', "b"]),
        (b"\n", [""]),
    ],
)
def test_cells_are_found_in_their_record(record: bytes, cells: list[str]) -> None:
    spans = cell_spans(record, b",", b'"')
    assert spans is not None
    assert [record[start:stop].decode() for start, stop in spans] == cells


@pytest.mark.parametrize("record", [b'"a', b'"a"b,c'])
def test_broken_quotes_are_left_alone(record: bytes) -> None:
    assert cell_spans(record, b",", b'"') is None


def test_members_of_json_are_found_as_deep_as_the_feed_has_columns() -> None:
    text = '{"a" : 1.50 , "b":{"c":"x","d":{"e":1}, "g": {}}, "f":[1]}'
    spans = {key: text[start:stop] for key, (start, stop) in member_spans(text).items()}
    assert spans == {"a": "1.50", "b.c": '"x"', "b.d.e": "1", "f": "[1]"}
    few = {key: text[start:stop] for key, (start, stop) in member_spans(text, levels=2).items()}
    assert few == {"a": "1.50", "b.c": '"x"', "b.d": '{"e":1}', "b.g": "{}", "f": "[1]"}


@pytest.mark.parametrize("form", ["jsonl", "json"])
def test_a_value_within_objects_is_changed_in_its_place(tmp_path: Path, form: str) -> None:
    lines = [
        f'{{"sku": "{sku}", "size": "{size}", "spec": {{"load": {{"single": {{"kg": "{load}"}}, "dual" : null}}}}}}'
        for sku, size, load, _, _ in ROWS
    ]
    source = tmp_path / f"feed.{form}"
    text = "\n".join(lines) + "\n" if form == "jsonl" else "[\n" + ",\n".join(lines) + "\n]"
    source.write_text(text, encoding="utf-8")
    target, changes = correct(source, tmp_path, finding(1, "spec.load.single.kg", "1874", "850", field="max_load_kg"))
    assert target.read_text(encoding="utf-8") == text.replace("1874", "850")
    assert [row["column"] for row in changes] == ["spec.load.single.kg"]
