"""Polars, lazy with the streaming engine: each row's marking and cells go through the patterns."""

from __future__ import annotations

import os

from tests.benchmarks.rivals.common import task
from tests.benchmarks.tables import FIELDS

if __name__ == "__main__":
    given = task()
    os.environ["POLARS_MAX_THREADS"] = str(given.threads)  # read when polars is imported

    from tests.benchmarks.rivals.polars_common import disagreements, expected_columns, number, scan, write

    listings = scan(given).with_columns(**expected_columns())
    stated = {field: number(field) for field in FIELDS}
    write(disagreements(listings, stated).collect(engine="streaming"), given.out)
