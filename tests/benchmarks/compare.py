"""Says whether two answers to the core question are the same: `python -m tests.benchmarks.compare A B`."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

_NAMES = ("row", "field", "stated")
_TOLERANCE = 1e-6


def difference(first: Path, second: Path) -> str | None:
    """The first difference between two answers in a sentence, or None; order is free, values within 1e-6."""
    a, b = _sorted(first), _sorted(second)
    if a.num_rows != b.num_rows:
        return f"{first.name} has {a.num_rows:,} findings, {second.name} has {b.num_rows:,}"
    if a.num_rows == 0:
        return None
    for name in _NAMES:
        unlike = pc.not_equal(a[name], b[name])
        if pc.any(unlike).as_py():
            return _sentence(a, b, pc.index(unlike, True).as_py(), first, second)
    values = (table["expected"].to_numpy() for table in (a, b))
    unlike = ~np.isclose(*values, rtol=0, atol=_TOLERANCE)
    if unlike.any():
        return _sentence(a, b, int(unlike.argmax()), first, second)
    return None


def _sorted(path: Path) -> pa.Table:
    table = pq.ParquetFile(path).read([*_NAMES, "expected"])
    types = (pa.int64(), pa.string(), pa.string(), pa.float64())
    plain = table.cast(pa.schema(list(zip(table.column_names, types, strict=True))))
    return plain.sort_by([("row", "ascending"), ("field", "ascending")]).combine_chunks()


def _sentence(a: pa.Table, b: pa.Table, at: int, first: Path, second: Path) -> str:
    one, other = a.slice(at, 1).to_pylist()[0], b.slice(at, 1).to_pylist()[0]
    return f"{first.name} says {one} where {second.name} says {other}"


def main() -> None:
    """Prints the difference and exits 1, or says that there is none."""
    if len(sys.argv) != 3:
        sys.exit("usage: python -m tests.benchmarks.compare A.parquet B.parquet")
    found = difference(Path(sys.argv[1]), Path(sys.argv[2]))
    if found:
        sys.exit(found)
    print("same answer")


if __name__ == "__main__":
    main()
