"""Polars: the distinct markings are decoded once and joined back to the rows."""

from __future__ import annotations

import os

from tests.benchmarks.rivals.common import task

if __name__ == "__main__":
    given = task()
    os.environ["POLARS_MAX_THREADS"] = str(given.threads)  # read when polars is imported

    import polars as pl

    from tests.benchmarks.rivals.polars_common import disagreements, expected_columns, scan, write

    listings = scan(given)
    if not given.is_parquet:
        # Reading text twice costs more than keeping the needed columns.
        listings = listings.collect(engine="streaming").lazy()
    says = listings.select(pl.col("marking").unique()).with_columns(**expected_columns())
    joined = listings.join(says.collect(engine="streaming").lazy(), on="marking", how="inner")
    write(disagreements(joined).collect(engine="streaming"), given.out)
