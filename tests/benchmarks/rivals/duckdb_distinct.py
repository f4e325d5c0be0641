"""DuckDB: the distinct markings are decoded once and joined back to the rows."""

from __future__ import annotations

from tests.benchmarks.rivals.common import task
from tests.benchmarks.rivals.duckdb_common import connect, decoded, source, write_disagreements
from tests.benchmarks.tables import FIELDS

if __name__ == "__main__":
    given = task()
    connection = connect(given)
    if given.is_parquet:
        markings = f"select distinct marking from read_parquet('{given.feed}')"
        listings = f"({source(given)})"
    else:
        # Reading text twice costs more than keeping the needed columns.
        connection.execute(f"create temp table listings as {source(given)}")
        markings, listings = "select distinct marking from listings", "listings"
    connection.execute(f"create temp table says as {decoded(f'({markings})', 'marking')}")
    fields = ", ".join(("row", *FIELDS, "kg", "kmh", "width", "aspect", "rim"))
    joined = f"(select {fields} from {listings} join says using (marking))"
    write_disagreements(connection, joined, given.out)
