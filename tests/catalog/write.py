"""Listings to feed files: CSV, gzip CSV and Parquet, all columns text, the same bytes for the same
listings.
"""

from __future__ import annotations

import csv
import gzip
import io
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq

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
    "wet_grip_class", "noise_db", "noise_class",
)  # fmt: skip


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


def csv_file(
    path: Path,
    rows: Sequence[Mapping[str, str]],
    headers: Mapping[str, str] | None = None,
    delimiter: str = ",",
    encoding: str = "utf-8",
    line_end: str = "\n",
) -> None:
    """Write a CSV feed; a name ending in .gz is compressed, without a clock in the file."""
    data = csv_text(rows, headers, delimiter, line_end).encode(encoding)
    if path.suffix == ".gz":
        data = gzip.compress(data, mtime=0)
    path.write_bytes(data)


def rows_of(listings: Iterable[object]) -> list[dict[str, str]]:
    """The cells of listings."""
    return [dict(made.cells) for made in listings]
