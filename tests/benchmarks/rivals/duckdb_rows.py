"""DuckDB: each row's marking and cells go through the patterns, load and speed come from joins."""

from __future__ import annotations

from tests.benchmarks.rivals.common import task
from tests.benchmarks.rivals.duckdb_common import connect, decoded, number, source, write_disagreements
from tests.benchmarks.tables import FIELDS

if __name__ == "__main__":
    given = task()
    kept = ", ".join(("row", *FIELDS))
    stated = {field: number(field) for field in FIELDS}
    write_disagreements(connect(given), f"({decoded(f'({source(given)})', kept)})", given.out, stated)
