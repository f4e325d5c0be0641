"""Listings to feed files: CSV, gzip CSV, Parquet and workbooks; text, the same bytes for the same
listings.
"""

from __future__ import annotations

import csv
import datetime as dt
import gzip
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import xlsxwriter

FIELDS = (
    "supplier", "sku", "part_number", "gtin", "brand", "model", "title", "description", "marking", "size",
    "service_description", "load_index", "load_index_dual", "speed_symbol", "load_range", "ply_rating",
    "load_version", "construction", "section_width_mm", "section_width_in", "aspect_ratio",
    "rim_diameter_in", "overall_diameter_mm", "overall_diameter_in", "measured_width_mm",
    "measured_width_in", "measuring_rim_in", "rim_width_min_in", "rim_width_max_in", "max_load_kg",
    "max_load_lb", "max_load_dual_kg", "max_load_dual_lb", "max_speed_kmh", "max_speed_mph",
    "max_pressure_kpa", "max_pressure_psi", "max_pressure_bar", "tread_depth_mm", "tread_depth_32nds",
    "tire_weight_kg", "tire_weight_lb", "revs_per_km", "revs_per_mile", "treadwear", "traction",
    "temperature", "utqg", "season", "mud_and_snow", "severe_snow", "tire_class", "fuel_class",
    "wet_grip_class", "noise_db", "noise_class", "substitutes", "replaces",
)  # fmt: skip

IDENTITIES = ("supplier", "sku", "part_number", "gtin", "brand", "model", "title", "description")
_NUMBER = re.compile(r"\d{1,7}(\.\d+)?")


def columns(rows: Sequence[Mapping[str, str]], fields: Sequence[str] = FIELDS) -> dict[str, list[str | None]]:
    """Rows as columns, in the order of `fields`; an empty cell is None, columns empty throughout are left
    out.
    """
    unknown = {name for row in rows for name in row} - set(fields)
    assert not unknown, unknown
    made = {field: [row.get(field) or None for row in rows] for field in fields}
    return {field: cells for field, cells in made.items() if any(cells)}


def table(rows: Sequence[Mapping[str, str]], fields: Sequence[str] = FIELDS) -> pa.Table:
    """Rows as an Arrow table of strings."""
    return pa.table({name: pa.array(cells, pa.string()) for name, cells in columns(rows, fields).items()})


def parquet(path: Path, rows: Sequence[Mapping[str, str]], headers: Mapping[str, str] | None = None) -> None:
    """Write a Parquet feed; `headers` renames fields to the supplier's own headers."""
    made = table(rows)
    if headers:
        made = made.rename_columns([headers.get(name, name) for name in made.column_names])
    pq.write_table(made, path, compression="zstd")


def csv_text(
    rows: Sequence[Mapping[str, str]],
    headers: Mapping[str, str] | None = None,
    delimiter: str = ",",
    line_end: str = "\n",
) -> str:
    """The text of a CSV feed."""
    made = columns(rows)
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, lineterminator=line_end)
    writer.writerow([(headers or {}).get(name, name) for name in made])
    writer.writerows([cell or "" for cell in row] for row in zip(*made.values(), strict=True))
    return out.getvalue()


def text_file(path: Path, data: bytes) -> None:
    """Write a text feed; a name ending in .gz is compressed, without a clock in the file."""
    path.write_bytes(gzip.compress(data, mtime=0) if path.suffix == ".gz" else data)


def workbook(path: Path, sheets: Sequence[tuple[str, Sequence[Mapping[str, str]], Mapping[str, str]]]) -> None:
    """Write a workbook: a line of title above each header, numbers as numbers, identities as text."""
    book = xlsxwriter.Workbook(str(path))
    book.set_properties({"created": dt.datetime(2024, 2, 19), "title": "Price list"})
    for name, rows, headers in sheets:
        sheet = book.add_worksheet(name)
        made = columns(rows)
        sheet.write_string(0, 0, f"{name} tires, all sizes")
        for position, (field, cells) in enumerate(made.items()):
            sheet.write_string(2, position, headers.get(field, field))
            for line, cell in enumerate(cells, 3):
                if cell and field not in IDENTITIES and _NUMBER.fullmatch(cell):
                    sheet.write_number(line, position, float(cell))
                elif cell:
                    sheet.write_string(line, position, cell)
    book.close()


def rows_of(listings: Iterable[object]) -> list[dict[str, str]]:
    """The cells of listings."""
    return [dict(made.cells) for made in listings]
