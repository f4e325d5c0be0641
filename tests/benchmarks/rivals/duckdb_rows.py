"""DuckDB: each row's marking goes through the patterns, load and speed come from joins."""

from __future__ import annotations

from tests.benchmarks.rivals.common import task
from tests.benchmarks.rivals.duckdb_common import connect, decoded, source, write_disagreements
from tests.benchmarks.tables import FIELDS

if __name__ == "__main__":
    given = task()
    connection = connect(given)
    kept = ", ".join(("row", *FIELDS))
    write_disagreements(connection, f"({decoded(f'({source(given)})', kept)})", given.out)
