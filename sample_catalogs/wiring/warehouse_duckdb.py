"""A verdict on every row of a DuckDB query, batch by batch: warehouse_duckdb.py DATABASE QUERY NEW_TABLE.

The query names its columns as the listing contract does (`auditor schema listing`); others are passed on.
"""

import sys

import duckdb
import pyarrow as pa

from auditor import verdict_batches


def main(database: str, query: str, table: str) -> None:
    connection = duckdb.connect(database)
    asked = connection.cursor().sql(query)  # a cursor of its own: the table is written while it is read
    batches = verdict_batches(pa.RecordBatchReader.from_stream(asked))
    first = next(batches)
    judged = pa.RecordBatchReader.from_batches(first.schema, (batch for part in ([first], batches) for batch in part))
    connection.register("judged", judged)
    connection.execute(f'CREATE TABLE "{table}" AS SELECT * FROM judged')


if __name__ == "__main__":
    main(*sys.argv[1:4])
