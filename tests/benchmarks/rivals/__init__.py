"""The core question answered with other tools, as a capable user would write it today.

Each module runs as `python -m tests.benchmarks.rivals.NAME INPUT OUT.parquet [--threads N]` and writes its
findings: `row` (int64, 0-based data row), `field`, `stated` (as written), `expected` (double), sorted by row,
then field.
"""

from __future__ import annotations

RIVALS: dict[str, str] = {
    "duckdb_rows": "DuckDB, per row",
    "duckdb_distinct": "DuckDB, distinct values joined back",
    "polars_rows": "Polars lazy, per row",
    "polars_distinct": "Polars, distinct values joined back",
    "pandas_vectorised": "pandas, vectorised",
    "pandas_object": "pandas, vectorised on object strings",
    "pandera_schema": "pandera schema",
    "pandas_apply": "pandas, row by row",
}
NEEDS: dict[str, str] = {
    "duckdb_rows": "duckdb",
    "duckdb_distinct": "duckdb",
    "polars_rows": "polars",
    "polars_distinct": "polars",
    "pandas_vectorised": "pandas",
    "pandas_object": "pandas",
    "pandera_schema": "pandera",
    "pandas_apply": "pandas",
}
SLOW = ("pandas_vectorised", "pandas_object", "pandera_schema", "pandas_apply")
