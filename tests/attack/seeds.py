"""Sound feeds of every format, from which hostile ones are made.  All suppliers, brands and models are invented."""

from __future__ import annotations

import bz2
import gzip
import io
import json
import sqlite3
import tempfile
from pathlib import Path
from xml.sax.saxutils import escape

import pyarrow as pa
import pyarrow.parquet as pq
import xlsxwriter
import zstandard

from tests.feeds.traps import STORED, zipped

HEADER = [
    "sku",
    "supplier",
    "marking",
    "load_index",
    "speed_symbol",
    "max_load_kg",
    "max_speed_kmh",
    "rim_diameter_in",
    "title",
]
TIRES = [
    ("225/65R17 102H", "102", "H", "850", "210", "17"),
    ("205/55R16 91V", "91", "V", "615", "240", "16"),
    ("LT265/70R17 121/118S E", "121", "S", "1450", "180", "17"),
    ("245/40ZR19 (98Y) XL", "98", "Y", "750", "300", "19"),
    ("31x10.50R15LT 109S C", "109", "S", "1030", "180", "15"),
    ("ST225/75R15 117/112M E", "117", "M", "1285", "130", "15"),
    ("11R22.5 144/142L G", "144", "L", "2800", "120", "22.5"),
]
ROWS = [
    [f"S{number}", "Larkmoor", *TIRES[number % len(TIRES)], f"Nordhall Weg {TIRES[number % len(TIRES)][0]}, {number}"]
    for number in range(24)
]
LISTINGS = [dict(zip(HEADER, row, strict=True)) for row in ROWS]


def text(mark: str = ",", end: str = "\n", quoted: bool = False) -> str:
    """The rows as delimited text."""

    def cell(value: str) -> str:
        return f'"{value}"' if quoted or mark in value else value

    return "".join(mark.join(map(cell, row)) + end for row in [HEADER, *ROWS])


def parquet(groups: int = 8, **how: object) -> bytes:
    """The rows as Parquet."""
    out = io.BytesIO()
    pq.write_table(pa.Table.from_pylist(LISTINGS), out, row_group_size=groups, **how)
    return out.getvalue()


def typed_parquet() -> bytes:
    """Numbers, dates and a struct as types of their own."""
    out = io.BytesIO()
    loads = pa.array([int(row[5]) for row in ROWS])
    table = pa.table(
        {
            "marking": [row[2] for row in ROWS],
            "max_load_kg": loads,
            "tread_depth_mm": pa.array([8.5] * len(ROWS)),
            "more": pa.StructArray.from_arrays([loads], ["note"]),
            "day": pa.array([20_000] * len(ROWS), pa.date32()),
        }
    )
    pq.write_table(table, out, compression="zstd")
    return out.getvalue()


def workbook() -> bytes:
    """The rows as a workbook of two sheets, numbers as numbers."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as book:
        for name in ("Cars", "Vans"):
            sheet = book.add_worksheet(name)
            sheet.write_row(0, 0, ["Price list of Larkmoor"])
            for number, row in enumerate([HEADER, *ROWS], 2):
                for position, value in enumerate(row):
                    sheet.write(number, position, int(value) if value.isdecimal() else value)
    return out.getvalue()


def database() -> bytes:
    """The rows as a table of SQLite."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "feed.db"
        with sqlite3.connect(path) as connection:
            connection.execute(f"CREATE TABLE feed ({', '.join(HEADER)})")
            connection.executemany(f"INSERT INTO feed VALUES ({', '.join('?' * len(HEADER))})", ROWS)
        connection.close()
        return path.read_bytes()


def xml() -> bytes:
    """A document with an element per listing, an attribute and a reference to a sign."""
    rows = "".join(
        f'<tire n="{number}">'
        + "".join(f"<{name}>{escape(str(value))}</{name}>" for name, value in listing.items())
        + "</tire>\n"
        for number, listing in enumerate(LISTINGS)
    )
    return f'<?xml version="1.0" encoding="utf-8"?>\n<tires sent="today">\n{rows}<!-- &#233; --></tires>\n'.encode()


def sound_feeds() -> dict[str, bytes]:
    """File name to content."""
    plain = text().encode()
    lines = "".join(json.dumps(listing) + "\n" for listing in LISTINGS).encode()
    document = json.dumps({"sent": "today", "listings": LISTINGS, "count": len(LISTINGS)}).encode()
    feeds = {
        "plain.csv": plain,
        "semicolons.csv": text(";", "\r\n", quoted=True).encode("windows-1252"),
        "tabs.tsv": text("\t").encode(),
        "wide.csv": text().encode("utf-16"),
        "packed.csv.gz": gzip.compress(plain, mtime=0),
        "packed.csv.bz2": bz2.compress(plain),
        "packed.csv.zst": zstandard.ZstdCompressor().compress(plain),
        "night.zip": zipped({"a.csv": plain, "b/c.jsonl": lines, "notes.md": b"x"}),
        "lines.jsonl": lines,
        "document.json": document,
        "list.json": json.dumps(LISTINGS, indent=1).encode(),
        "document.xml": xml(),
        "table.parquet": parquet(),
        "plain.parquet": parquet(24, compression="none", use_dictionary=False),
        "typed.parquet": typed_parquet(),
        "book.xlsx": workbook(),
        "lines.jsonl.zst": zstandard.ZstdCompressor().compress(lines),
        "feed.db": database(),
    }
    return feeds | {trap.file: trap.build() for trap in STORED if trap.file.endswith((".csv", ".json", ".jsonl"))}
