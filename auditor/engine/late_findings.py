"""Findings that waited in vain: their column is not folded, so their records are read and worded again."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.engine.across_findings import RecordCursor
from auditor.engine.feed_run import FeedRun
from auditor.engine.folding import ColumnFolder
from auditor.engine.table_files import read_tables, whole_records
from auditor.engine.unit_audit import UnitAuditor
from auditor.feeds.model import Block
from auditor.judging.block.feed_plan import planned_blocks

_RECORDS_AT_ONCE = 8192


def late_findings(run: FeedRun) -> Iterator[pa.Table]:
    """The findings that were worded late, by record, in parts that never end within a record."""
    path = run.habits.late
    if path.exists():
        yield from whole_records(read_tables(path))


def word_late(run: FeedRun, folder: ColumnFolder, auditor: UnitAuditor) -> None:
    """Words the findings of a feed that waited and are not folded."""
    records = _records(run, folder)
    if len(records) == 0:
        return
    units = list(run.feed.units())
    owner = np.searchsorted([unit.first_record for unit in units], records, side="right") - 1
    waiting = RecordCursor(run.habits.spooled("waiting"))
    writer: pa.RecordBatchFileWriter | None = None
    for position in np.unique(owner).tolist():
        wanted = records[owner == position]
        for block in planned_blocks(run.feed, units[position], run.plan):
            for table in _of_block(run, auditor, block, wanted):
                waited = list(waiting.before(table["record"][-1].as_py() + 1))
                mine = _alike(table, pa.concat_tables(waited)) & (folder.places(table) < 0)
                writer = writer or pa.ipc.new_file(str(run.habits.late), table.schema)
                writer.write_table(table.filter(pa.array(mine)).combine_chunks())
    if writer is not None:
        writer.close()


def _records(run: FeedRun, folder: ColumnFolder) -> npt.NDArray[np.int64]:
    """The records with a finding that waited and is not folded."""
    if run.habits.waited <= folder.folded.keys():
        return np.zeros(0, dtype=np.int64)
    found = [np.zeros(0, dtype=np.int64)]
    for table in run.habits.spooled("waiting"):
        found.append(table["record"].to_numpy()[folder.places(table) < 0])
    return np.unique(np.concatenate(found))


def _of_block(run: FeedRun, auditor: UnitAuditor, block: Block, wanted: npt.NDArray[np.int64]) -> Iterator[pa.Table]:
    """The findings of some records of a block, some thousand records at a time."""
    rows = np.flatnonzero(np.isin(block.records, wanted))
    for start in range(0, len(rows), _RECORDS_AT_ONCE):
        some = rows[start : start + _RECORDS_AT_ONCE]
        take = pa.array(some)
        part = Block(block.unit, [column.take(take) for column in block.columns], block.records[some])
        found = auditor.audit(run.plan, part).findings
        if found is not None:
            yield found


def _alike(found: pa.Table, waited: pa.Table) -> npt.NDArray[np.bool_]:
    """Which findings are among those that waited."""

    def names(table: pa.Table) -> pa.Array:
        record, source = (table[name].cast(pa.string()) for name in ("record", "source"))
        return pc.binary_join_element_wise(record, source, table["key"], " ").combine_chunks()

    alike: npt.NDArray[np.bool_] = pc.is_in(names(found), value_set=names(waited)).to_numpy(zero_copy_only=False)
    return alike
