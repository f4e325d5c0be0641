"""The raw cells of the worst few records of each stretch of a feed, so that a report can show whole listings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

import numpy as np
import pyarrow as pa

from auditor.engine.unit_audit import UnitResult
from auditor.feeds.model import Block

_CELLS_KEPT = (150, 60, 10)  # records per stretch by worst grade
_STRETCH = 1 << 17  # records


def worst_cells(block: Block, result: UnitResult) -> pa.Table | None:
    """The cells of a block's worst records."""
    stretches = (block.records - 1) // _STRETCH
    chosen = [
        np.flatnonzero((result.worst == grade) & (stretches == stretch))[:most]
        for stretch in np.unique(stretches)
        for grade, most in enumerate(_CELLS_KEPT)
    ]
    rows = np.sort(np.concatenate(chosen)) if chosen else np.zeros(0, dtype=np.int64)
    if len(rows) == 0:
        return None
    take = pa.array(rows)
    columns = {str(position): column.take(take).cast(pa.string()) for position, column in enumerate(block.columns)}
    return pa.table({"record": pa.array(block.records[rows]), "worst": pa.array(result.worst[rows]), **columns})


class FirstCells:
    """Lets the first few of each stretch and grade through, wherever the tables end that they come in."""

    def __init__(self) -> None:
        self._kept: Counter[tuple[int, int]] = Counter()

    def of(self, table: pa.Table | None) -> pa.Table | None:
        """Those of some of the worst records for which there is still room."""
        if table is None:
            return None
        keys = zip(((table["record"].to_numpy() - 1) // _STRETCH).tolist(), table["worst"].to_pylist(), strict=True)
        rows = []
        for row, key in enumerate(keys):
            if self._kept[key] < _CELLS_KEPT[key[1]]:
                self._kept[key] += 1
                rows.append(row)
        if not rows:
            return None
        return table if len(rows) == table.num_rows else table.take(pa.array(rows))


def first_cells(tables: Iterable[pa.Table]) -> Iterator[pa.Table]:
    """The cells that are kept of a feed, of those kept of each of its units."""
    first = FirstCells()
    for table in tables:
        some = first.of(table)
        if some is not None:
            yield some
