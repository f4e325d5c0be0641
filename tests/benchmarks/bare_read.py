"""The floor: reads the given columns with pyarrow and throws them away.

python -m tests.benchmarks.bare_read FEED [--columns a,b,c] [--threads N]
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pyarrow as pa
import pyarrow.csv as pacsv
import pyarrow.parquet as pq

CSV_BLOCK_BYTES = 1 << 20
# Columns in which nearly every record has a text of its own: a dictionary would only cost.
UNIQUE = frozenset({"sku", "part_number", "gtin", "title", "description"})


def read_parquet(feed: Path, columns: Sequence[str] | None, threads: int) -> int:
    """Reads a Parquet file, row groups in threads, repeated texts as dictionaries; returns its records."""
    whole = pq.ParquetFile(feed)
    names = list(columns) if columns is not None else whole.schema_arrow.names
    repeated = [name for name in names if name not in UNIQUE]
    groups = range(whole.metadata.num_row_groups)

    def read(group: int) -> int:
        # A reader of its own for each thread: one reader must not be shared.
        reader = pq.ParquetFile(feed, read_dictionary=repeated, metadata=whole.metadata)
        return int(reader.read_row_group(group, columns=names, use_threads=False).num_rows)

    with ThreadPoolExecutor(threads) as pool:
        return sum(pool.map(read, groups))


def read_csv(feed: Path, columns: Sequence[str] | None, threads: int) -> int:
    """Streams a CSV file in blocks of 1 MB, every cell as text; returns its records."""
    pa.set_cpu_count(threads)
    with feed.open("rb") as file:
        header = file.readline().decode().rstrip("\r\n").split(",")
    names = list(columns) if columns is not None else header
    options = pacsv.ConvertOptions(
        column_types={name: pa.string() for name in names}, include_columns=names, strings_can_be_null=False
    )
    with pacsv.open_csv(
        feed, read_options=pacsv.ReadOptions(block_size=CSV_BLOCK_BYTES), convert_options=options
    ) as reader:
        return sum(batch.num_rows for batch in reader)


def main() -> None:
    """Reads one feed, or all CSV feeds in a folder."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.bare_read", description=main.__doc__)
    parser.add_argument("feed", type=Path)
    parser.add_argument("--columns", help="names with commas between them (default: all)")
    parser.add_argument("--threads", type=int, default=2)
    given = parser.parse_args()
    columns = given.columns.split(",") if given.columns else None
    read = read_parquet if given.feed.suffix == ".parquet" else read_csv
    feeds = sorted(given.feed.iterdir()) if given.feed.is_dir() else [given.feed]
    print(sum(read(feed, columns, given.threads) for feed in feeds))


if __name__ == "__main__":
    main()
