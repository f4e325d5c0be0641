"""The expressions that both Polars rivals share."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from tests.benchmarks.rivals.common import Task
from tests.benchmarks.tables import (
    COLUMNS,
    FIELDS,
    FLOTATION,
    LB_PER_KG,
    LOAD_KG,
    METRIC,
    MM_PER_INCH,
    MPH_PER_KMH,
    NUMBER,
    SPEED_KMH,
    TOL,
)


def scan(task: Task) -> pl.LazyFrame:
    """The needed columns as text, with the 0-based data row."""
    feed = pl.scan_parquet(task.feed) if task.is_parquet else pl.scan_csv(task.feed, infer_schema=False)
    return feed.select(COLUMNS).with_row_index("row")


def expected_columns() -> dict[str, pl.Expr]:
    """What a marking says about each field, as `says_FIELD`."""
    metric = pl.col("marking").str.extract_groups(METRIC).struct
    flotation = pl.col("marking").str.extract_groups(FLOTATION).struct
    index = pl.coalesce(metric.field("li"), flotation.field("li")).cast(pl.Int64, strict=False)
    symbol = pl.coalesce(metric.field("sp"), flotation.field("sp"))
    kg = index.replace_strict(LOAD_KG, default=None, return_dtype=pl.Float64)
    kmh = symbol.replace_strict(SPEED_KMH, default=None, return_dtype=pl.Float64)
    values = {
        "max_load_kg": kg,
        "max_load_lb": kg * LB_PER_KG,
        "max_speed_kmh": kmh,
        "max_speed_mph": kmh * MPH_PER_KMH,
        "section_width_mm": pl.coalesce(_number(metric.field("w")), _number(flotation.field("wi")) * MM_PER_INCH),
        "aspect_ratio": _number(metric.field("a")),
        "rim_diameter_in": pl.coalesce(_number(metric.field("r")), _number(flotation.field("r"))),
    }
    return {f"says_{field}": value for field, value in values.items()}


def disagreements(listings: pl.LazyFrame, stated: Mapping[str, pl.Expr]) -> pl.LazyFrame:
    """The listings with a cell apart from its marking, with a mark `apart_FIELD` for each field.

    `stated` has the expression of the number in each field's cell.
    """
    apart = [((stated[field] - pl.col(f"says_{field}")).abs() > TOL[field]).alias(f"apart_{field}") for field in FIELDS]
    said = [f"says_{field}" for field in FIELDS]
    marked = listings.select("row", *FIELDS, *said, *apart)
    return marked.filter(pl.any_horizontal([pl.col(f"apart_{field}") for field in FIELDS]))


def write(found: pl.DataFrame, out: str) -> None:
    """Writes one row per cell that disagrees."""
    parts = [
        found.filter(pl.col(f"apart_{field}")).select(
            pl.col("row").cast(pl.Int64),
            pl.lit(field).alias("field"),
            pl.col(field).alias("stated"),
            pl.col(f"says_{field}").alias("expected"),
            pl.lit(position).alias("place"),
        )
        for position, field in enumerate(FIELDS)
    ]
    pl.concat(parts).sort("row", "place").drop("place").write_parquet(out, compression="zstd")


def _number(text: pl.Expr) -> pl.Expr:
    return text.cast(pl.Float64, strict=False)


def number(field: str) -> pl.Expr:
    """The number in a field's cell."""
    return _number(pl.col(field).str.extract(NUMBER, 1).str.replace_all(",", "", literal=True))
