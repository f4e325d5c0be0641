"""DuckDB: distinct markings and distinct cells are read once and joined back to the rows.

Rows without a disagreement are dropped before lists are built of the others.
"""

from __future__ import annotations

import duckdb

from tests.benchmarks.rivals.common import Task, task
from tests.benchmarks.rivals.duckdb_common import (
    connect,
    decoded,
    disagrees,
    number,
    source,
    write_disagreements,
)
from tests.benchmarks.tables import COLUMNS, FIELDS

STATED = {field: f"number_{field}" for field in FIELDS}


def listings(connection: duckdb.DuckDBPyConnection, given: Task) -> str:
    """A relation of the needed columns that may be read several times."""
    if given.is_parquet:
        return f"({source(given)})"
    # Reading text again costs more than keeping it; a table knows its row numbers, and loads in parallel.
    read = f"read_csv('{given.feed}', all_varchar = true, header = true)"
    connection.execute(f"create temp table listings as select {', '.join(COLUMNS)} from {read}")
    return "(select rowid as row, * from listings)"


def joined(connection: duckdb.DuckDBPyConnection, feed: str) -> str:
    """A relation of the rows that disagree, with what each marking says and the number in each cell."""
    markings = decoded(f"(select distinct marking from {feed})", "marking")
    connection.execute(f"create temp table says as {markings}")
    for field in FIELDS:
        cells = f"(select distinct {field} from {feed} where {field} is not null)"
        numbers = f"select {field}, {number(field)} as {STATED[field]} from {cells}"
        connection.execute(f"create temp table cells_of_{field} as {numbers}")
    joins = " ".join(f"left join cells_of_{field} using ({field})" for field in FIELDS)
    apart = " or ".join(disagrees(field, STATED[field]) for field in FIELDS)
    names = ", ".join(("row", *FIELDS, *STATED.values(), "kg", "kmh", "width", "aspect", "rim"))
    return f"(select {names} from {feed} join says using (marking) {joins} where {apart})"


if __name__ == "__main__":
    given = task()
    connection = connect(given)
    write_disagreements(connection, joined(connection, listings(connection, given)), given.out, STATED)
