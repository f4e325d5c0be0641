"""The distinct tires of a run by number: their markings in a file, their facts made when they are compared."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.substitution.facts import TireFacts
from auditor.substitution.offers import facts_of
from auditor.trade.tables import Tables

Numbers = npt.NDArray[np.uint64]
_SCHEMA = pa.schema([("id", pa.uint64()), ("marking", pa.string())])
_MOST_KEPT = 50_000  # facts of tires


class FactTable(NamedTuple):
    """The facts of some tires, a row for each fact."""

    columns: npt.NDArray[np.float64]

    def at(self, places: npt.NDArray[np.int64]) -> TireFacts:
        """The facts of tires at some places, as columns."""
        return TireFacts(*np.take(self.columns, places, axis=1))


class TireTable:
    """Takes the tires of a run, each once, and gives their markings and facts."""

    def __init__(self, folder: Path, tables: Tables) -> None:
        self._path = folder / "tires.arrow"
        self._tables = tables
        self._seen: Numbers = np.zeros(0, dtype=np.uint64)  # in order
        self._writer: pa.RecordBatchFileWriter | None = None
        self._ids: Numbers = np.zeros(0, dtype=np.uint64)  # of the tires whose facts are kept, in order
        self._rows: npt.NDArray[np.float64] = np.zeros((0, len(TireFacts._fields)))

    def add(self, ids: Numbers, texts: pa.Array) -> None:
        """Keeps the tires that were not seen before; 0 is no tire."""
        ids, first = np.unique(ids, return_index=True)
        at = np.searchsorted(self._seen, ids)
        new = (ids != 0) & (np.append(self._seen, np.uint64(0))[at] != ids)  # behind the last one stands no tire
        if not new.any():
            return
        self._seen = np.insert(self._seen, at[new], ids[new])  # in order still
        if self._writer is None:
            self._writer = pa.ipc.new_file(str(self._path), _SCHEMA)
        self._writer.write_table(pa.table([pa.array(ids[new]), texts.take(pa.array(first[new]))], schema=_SCHEMA))

    def markings(self, ids: Numbers) -> list[str]:
        """The markings of tires; "" of 0."""
        if self._writer is not None:
            self._writer.close()
            self._writer = None
        found = dict.fromkeys(ids.tolist(), "")
        if self._path.exists():
            wanted = pa.array(np.unique(ids))
            with pa.ipc.open_file(pa.memory_map(str(self._path))) as reader:
                for number in range(reader.num_record_batches):
                    batch = reader.get_batch(number)
                    some = batch.filter(pc.is_in(batch["id"], value_set=wanted))
                    found.update(zip(some["id"].to_pylist(), some["marking"].to_pylist(), strict=True))
        return [found[number] for number in ids.tolist()]

    def facts(self, ids: Numbers) -> FactTable:
        """The facts of distinct tires, in their order."""
        unknown = ids[~np.isin(ids, self._ids, assume_unique=True)]
        if len(self._ids) + len(unknown) > _MOST_KEPT:
            self._ids, self._rows, unknown = self._ids[:0], self._rows[:0], ids
        if len(unknown):
            self._learn(unknown)
        return FactTable(np.ascontiguousarray(self._rows[np.searchsorted(self._ids, ids)].T))

    def _learn(self, ids: Numbers) -> None:
        rows = [facts_of(text, self._tables) for text in self.markings(ids)]
        all_ids = np.concatenate([self._ids, ids])
        order = np.argsort(all_ids)
        self._ids = all_ids[order]
        self._rows = np.concatenate([self._rows, np.array(rows, dtype=np.float64)])[order]
