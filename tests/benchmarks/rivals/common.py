"""What all rivals share: their command line, and how answers are written."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Task:
    """One run of a rival: a .csv or .parquet feed, where the answer goes, and how many threads it may use."""

    feed: str
    out: str
    threads: int

    @property
    def is_parquet(self) -> bool:
        return self.feed.endswith(".parquet")


def task() -> Task:
    """Reads the command line."""
    parser = argparse.ArgumentParser()
    parser.add_argument("input")
    parser.add_argument("out")
    parser.add_argument("--threads", type=int, default=2)
    given = parser.parse_args()
    return Task(given.input, given.out, given.threads)


def write_answer(columns: Mapping[str, Sequence[Any]], out: str) -> None:
    """Writes `row`, `field`, `stated`, `expected` as Parquet."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    types = {"row": pa.int64(), "field": pa.string(), "stated": pa.string(), "expected": pa.float64()}
    pq.write_table(pa.table(dict(columns), schema=pa.schema(list(types.items()))), out, compression="zstd")
