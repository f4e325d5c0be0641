"""One feed through the auditor: its findings spooled in record order, its grades and counts kept."""

from __future__ import annotations

import pickle
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.across.facts import KeysNeeded, block_facts
from auditor.across.habits import HabitsSoFar
from auditor.across.offers import OfferCounts
from auditor.engine.feed_habits import FeedHabits
from auditor.engine.furniture import Furniture, furniture_of
from auditor.engine.pool import streamed
from auditor.engine.shifted_rows import shifted_rows
from auditor.engine.table_files import read_tables, whole_records
from auditor.engine.unit_audit import UnitAuditor, UnitResult
from auditor.feeds.accounts import check_count
from auditor.feeds.model import Block, Feed, Rejected, WorkUnit
from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.block.hits import NO_GRADE, TooManyFindingsError

_CELLS_KEPT = (150, 60, 10)  # records per stretch by worst grade
_STRETCH = 1 << 17  # records
_SPOOLED_ROWS = 1 << 15  # findings in one piece of the spool: a block may hold a million
MOST_FINDINGS = 40_000  # worded at once, and waiting to be taken in
FIRST_RECORDS = 8192  # audited to see how many findings they have, before larger pieces are begun
FEWEST_RECORDS = 256  # audited at once, however many findings they have
_PIECE_SHARE = 0.8  # of the most findings that the next piece is expected to have
REJECTED_RECORD, FURNITURE_RECORD = 9, 10  # in the array of worst grades


@dataclass(slots=True)
class FeedRun:
    """What is known of a feed once all its records are audited."""

    number: int
    feed: Feed
    plan: FeedPlan
    spool: Path
    cells_kept: WorstCells
    habits: FeedHabits
    worst: npt.NDArray[np.int8] = field(default_factory=lambda: np.zeros(0, dtype=np.int8))
    could_not_tell: Counter[str] = field(default_factory=Counter)
    also: Counter[str] = field(default_factory=Counter)  # own rule -> findings of others on whose cell it fails too
    suppliers: Counter[tuple[str, int]] = field(default_factory=Counter)  # supplier, worst grade
    holding: npt.NDArray[np.int8] | None = None  # worst grades without what decisions accept, where there are any
    let_through: Counter[str] = field(default_factory=Counter)  # supplier -> listings that decisions release
    rejected: int = 0
    furniture: int = 0
    findings: int = 0
    offers: OfferCounts | None = None  # what became of its substitutes
    _sha256: str = ""

    def sha256(self) -> str:
        """SHA-256 of the file as sent; read once, however often it is asked for."""
        if not self._sha256:
            self._sha256 = self.feed.sha256()
        return self._sha256

    @property
    def records(self) -> int:
        return len(self.worst)


Audited = tuple[Block, UnitResult, Any, "pa.Table | None"]


class PieceSizes:
    """How many records are audited at once: fewer where there are many findings, which take more room than records."""

    def __init__(self) -> None:
        self._density = _PIECE_SHARE * MOST_FINDINGS / FIRST_RECORDS  # findings per record, as last seen

    def next_size(self) -> int:
        """Records in the next piece."""
        return max(FEWEST_RECORDS, int(_PIECE_SHARE * MOST_FINDINGS / max(self._density, 1e-9)))

    def learn(self, records: int, findings: int) -> None:
        """Remembers how many findings some records had."""
        self._density = findings / max(records, 1)


class Pieces(NamedTuple):
    """What the pieces of a feed teach each other: their size, and which findings may wait; no more than cost."""

    sizes: PieceSizes
    so_far: HabitsSoFar | None


def audit_unit(
    unit: WorkUnit,
    feed: Feed,
    plan: FeedPlan,
    auditor: UnitAuditor,
    across: KeysNeeded | None,
    pieces: Pieces,
    furniture: Furniture,
) -> Iterator[Audited]:
    """Reads and audits one unit of a feed, a piece at a time; where pieces end changes nothing that is found."""
    for block in feed.blocks(unit, plan.positions):
        block = furniture.set_aside(block, feed, unit)
        yield from _audit_block(block, plan, auditor, across, pieces)
        del block  # before the next one is read


def _audit_block(
    block: Block, plan: FeedPlan, auditor: UnitAuditor, across: KeysNeeded | None, pieces: Pieces
) -> Iterator[Audited]:
    sizes = pieces.sizes
    start, count = 0, len(block.records)
    while True:
        size = min(count - start, sizes.next_size())
        piece = block if size == count else slice_block(block, start, size)
        try:
            most = MOST_FINDINGS if size > FEWEST_RECORDS else None
            audited = _audit_piece(piece, plan, auditor, across, pieces.so_far, most)
        except TooManyFindingsError as many:
            sizes.learn(size, many.count)
            continue
        sizes.learn(size, _finding_count(audited[1]))
        yield audited
        del audited
        start += size
        if start >= count:
            return


def _audit_piece(
    block: Block,
    plan: FeedPlan,
    auditor: UnitAuditor,
    across: KeysNeeded | None,
    so_far: HabitsSoFar | None,
    most: int | None,
) -> Audited:
    st = auditor.statements(plan, block)
    result = auditor.audit_statements(plan, st, block, most, so_far)
    if so_far is not None:
        result.shifts.extend(shifted_rows(auditor, plan, st, block, result))
    facts = None
    if across is not None:
        facts = block_facts(plan, st, block.records, across)
    light = Block(block.unit, (), block.records, block.rejected, block.breaks)
    return light, result, facts, worst_cells(block, result)


def slice_block(block: Block, start: int, size: int) -> Block:
    """Some records of a block, with what was rejected before the next piece begins."""
    records = block.records[start : start + size]
    after = int(block.records[start - 1]) if start else 0
    last = start + size == len(block.records)
    rejected = tuple(
        one
        for one in block.rejected
        if (last if one.record is None else one.record > after and (last or one.record <= records[-1]))
    )
    columns = [column.slice(start, size) for column in block.columns]
    return Block(block.unit, columns, records, rejected, block.breaks if last else 0)


def _finding_count(result: UnitResult) -> int:
    return 0 if result.findings is None else result.findings.num_rows


def _weight(audited: Audited) -> int:
    return _finding_count(audited[1])


@dataclass(frozen=True, slots=True)
class FeedTask:
    """A feed to audit: its number in the run, and what is read of it."""

    number: int
    feed: Feed
    plan: FeedPlan
    compared_by: KeysNeeded | None = None  # None where no rule looks at more than one listing


def audit_feed(
    task: FeedTask,
    auditor: UnitAuditor,
    folder: Path,
    workers: int,
    take_facts: Callable[[int, Any], None] | None,
    advance: Callable[[int, int], None],
) -> FeedRun:
    """Audits a whole feed and spools its findings under `folder`.

    `take_facts` gets what listings are compared by, `advance` the records done and their findings.
    """
    number, feed, plan = task.number, task.feed, task.plan
    habits = FeedHabits(folder, number, auditor.book.taker("whole-column") is not None)
    cells_kept = WorstCells(folder / f"cells-{number}.arrow")
    run = FeedRun(number, feed, plan, folder / f"findings-{number}.arrow", cells_kept, habits)
    pieces = Pieces(PieceSizes(), habits.so_far if habits.folds else None)
    aside = furniture_of(feed, plan, auditor.contract)
    about = {"feed": feed, "plan": plan, "auditor": auditor, "across": task.compared_by}
    work = partial(audit_unit, **about, pieces=pieces, furniture=aside)  # type: ignore[arg-type]
    worst = bytearray()  # one byte per record is all that grows with the feed
    last = breaks = read = 0
    writer: pa.RecordBatchFileWriter | None = None
    with (folder / f"rejected-{number}.pickle").open("wb") as rejected:
        for block, result, facts, cells in streamed(work, feed.units(), workers, _weight, MOST_FINDINGS):
            for record in block.rejected:
                run.furniture += record.furniture
                if not record.furniture:
                    pickle.dump(record, rejected)
                    run.rejected += 1
            part, last = _dispositions(block, result, last)
            worst += part.tobytes()
            run.findings += _finding_count(result)
            if result.findings is not None:
                if writer is None:
                    writer = pa.ipc.new_file(str(run.spool), result.findings.schema)
                writer.write_table(result.findings.combine_chunks(), max_chunksize=_SPOOLED_ROWS)
            if facts is not None and take_facts is not None:
                take_facts(number, facts)
            if cells is not None:
                run.cells_kept.add(cells)
            _count(run, result)
            breaks += block.breaks
            read += len(block.records) + len(block.rejected)
            advance(len(part), _finding_count(result))
            del block, result, facts, cells
    if writer is not None:
        writer.close()
    run.cells_kept.close()
    run.habits.close()
    run.worst = np.frombuffer(worst, dtype=np.int8)
    check_count(read, feed.counted_records(breaks))
    check_count(read, run.records)  # a record that no block holds would count as one without a finding
    return run


def worst_cells(block: Block, result: UnitResult) -> pa.Table | None:
    """The raw cells of the worst few records of a block, so that a report can show whole listings."""
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


class WorstCells:
    """Keeps the first few of each stretch and grade in a file, wherever blocks end; tables come in record order."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._kept: Counter[tuple[int, int]] = Counter()
        self._writer: pa.RecordBatchFileWriter | None = None

    def add(self, table: pa.Table) -> None:
        """Keeps those of a block's worst records for which there is still room."""
        keys = zip(((table["record"].to_numpy() - 1) // _STRETCH).tolist(), table["worst"].to_pylist(), strict=True)
        rows = []
        for row, key in enumerate(keys):
            if self._kept[key] < _CELLS_KEPT[key[1]]:
                self._kept[key] += 1
                rows.append(row)
        if rows:
            if self._writer is None:
                self._writer = pa.ipc.new_file(str(self._path), table.schema)
            some = table if len(rows) == table.num_rows else table.take(pa.array(rows))
            self._writer.write_table(some.combine_chunks())

    def close(self) -> None:
        """No more records come."""
        if self._writer is not None:
            self._writer.close()

    def tables(self) -> Iterator[pa.Table]:
        """What was kept, once it is closed."""
        if self._writer is not None:
            yield from read_tables(self._path)


def _dispositions(block: Block, result: UnitResult, last: int) -> tuple[npt.NDArray[np.int8], int]:
    """Worst grade of every record from `last` + 1 to the block's last one; rejected ones are marked."""
    numbers = [int(block.records[-1])] if len(block.records) else []
    numbers += [record.record for record in block.rejected if record.record is not None]
    end = max(numbers, default=last)
    part = np.full(max(end - last, 0), NO_GRADE, dtype=np.int8)
    for record in block.rejected:
        if record.record is not None and record.record > last:
            part[record.record - last - 1] = FURNITURE_RECORD if record.furniture else REJECTED_RECORD
    part[block.records - last - 1] = result.worst
    return part, max(end, last)


def _count(run: FeedRun, result: UnitResult) -> None:
    run.could_not_tell.update(result.could_not_tell)
    run.also.update(result.also)
    run.habits.take(result)
    table = result.suppliers
    for supplier, worst, count in zip(*(table[name].to_pylist() for name in table.column_names), strict=True):
        run.suppliers[(supplier, worst)] += count


def spooled_findings(run: FeedRun) -> Iterator[pa.Table]:
    """The feed's findings in record order, some thousand at a time; those of one record are never parted."""
    if not run.spool.exists():
        return
    yield from whole_records(read_tables(run.spool))


def spooled_rejected(folder: Path, number: int) -> Iterator[Rejected]:
    """The feed's rejected records, in order."""
    with (folder / f"rejected-{number}.pickle").open("rb") as file:
        while True:
            try:
                yield pickle.load(file)
            except EOFError:
                return
