"""Tables that lie in a file until they are wanted, a piece at a time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
import pyarrow as pa


def read_tables(path: Path) -> Iterator[pa.Table]:
    """What was written to a file, a piece at a time."""
    with pa.OSFile(str(path)) as file:
        reader = pa.ipc.open_file(file)
        for position in range(reader.num_record_batches):
            yield pa.Table.from_batches([reader.get_batch(position)])


def whole_records(tables: Iterable[pa.Table]) -> Iterator[pa.Table]:
    """Findings by record, in parts that never end within a record."""
    kept: list[pa.Table] = []  # those of the last record read, of which the next piece may hold more
    for piece in tables:
        table = pa.concat_tables([*kept, piece])
        records = table["record"].to_numpy()
        whole = int(np.searchsorted(records, records[-1]))
        if whole:
            yield table.slice(0, whole)
        kept = [table.slice(whole)]
    yield from kept
