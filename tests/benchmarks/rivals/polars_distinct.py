"""Polars: distinct markings and distinct cells are read once and joined back to the rows."""

from __future__ import annotations

import os

from tests.benchmarks.rivals.common import task
from tests.benchmarks.tables import FIELDS

if __name__ == "__main__":
    given = task()
    os.environ["POLARS_MAX_THREADS"] = str(given.threads)  # read when polars is imported

    import polars as pl

    from tests.benchmarks.rivals.polars_common import disagreements, expected_columns, number, scan, write

    # Scanning once and keeping the needed columns is quicker than scanning again for each of them.
    listings = scan(given).collect(engine="streaming").lazy()
    says = listings.select(pl.col("marking").unique()).with_columns(**expected_columns()).collect().lazy()
    joined = listings.join(says, on="marking", how="inner")
    for field in FIELDS:
        cells = listings.select(pl.col(field).unique()).with_columns(number(field).alias(f"number_{field}"))
        joined = joined.join(cells.collect().lazy(), on=field, how="left")
    stated = {field: pl.col(f"number_{field}") for field in FIELDS}
    write(disagreements(joined, stated).collect(engine="streaming"), given.out)
