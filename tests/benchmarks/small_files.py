"""Folders of many small files, as a market place gets them: few listings each, several layouts, texts that differ."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pyarrow as pa

from tests.benchmarks.generator import FeedPlan, chunks, write_csv

SMALL_RECORDS = 50
LAYOUTS = (28, 22, 16)  # columns; file after file in turn


def write_small_files(plan: FeedPlan, folder: Path, files: int) -> None:
    """Writes `files` CSV files of a plan's listings; the folder appears once all are there."""
    aside = folder.with_name(folder.name + ".part")
    aside.mkdir(parents=True, exist_ok=True)
    headers = [replace(plan, columns=columns).header for columns in LAYOUTS]
    number, rest = 0, None
    for listings, _ in chunks(replace(plan, records=files * SMALL_RECORDS)):
        known = listings if rest is None else pa.concat_tables([rest, listings])
        whole = known.num_rows - known.num_rows % SMALL_RECORDS
        for start in range(0, whole, SMALL_RECORDS):
            part = known.slice(start, SMALL_RECORDS).select(headers[number % len(headers)])
            write_csv(part, aside / f"delivery_{number:05}.csv")
            number += 1
        rest = known.slice(whole)  # a chunk does not end where a file does
    aside.replace(folder)
