"""Audits one unit of a feed, some records at a time, so that memory stays flat however many findings they have."""

from __future__ import annotations

from collections.abc import Iterator
from threading import Lock
from typing import Any, NamedTuple

import pyarrow as pa

from auditor.across.facts import KeysNeeded, block_facts
from auditor.across.habits import HabitsSoFar
from auditor.engine.shifted_rows import shifted_rows
from auditor.engine.unit_audit import UnitAuditor, UnitResult
from auditor.engine.worst_cells import worst_cells
from auditor.feeds.model import Block
from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.block.hits import TooManyFindingsError

MOST_FINDINGS = 40_000  # worded at once
FIRST_RECORDS = 8192  # audited to see how many findings they have, before larger pieces are begun
MOST_RECORDS = 1 << 20
# The most records audited at once where another process of the machine does the same, and where several do: a piece
# costs some 100 ms whatever it holds, but twice the records take 50 MiB more in each of them.
BESIDE_ONE, BESIDE_OTHERS = 1 << 15, 1 << 14
FEWEST_RECORDS = 256  # audited at once, however many findings they have
# Sentences that are new, of one piece.  Each takes some 3 KiB until texts are begun anew, which is between two pieces;
# by findings alone a feed whose titles are all different would take hundreds of MiB.
MOST_SENTENCES = 10_300
_PIECE_SHARE = 0.8  # of the most findings, or sentences, that the next piece is expected to have


class PieceSizes:
    """How many records are audited at once: fewer where findings or texts are many, which take more room."""

    def __init__(self, most: int = MOST_RECORDS) -> None:
        """`most` records are audited at once, however few findings they have."""
        self._most = most
        self._density = _PIECE_SHARE * MOST_FINDINGS / FIRST_RECORDS  # findings per record, as last seen
        self._new = 0.0  # new sentences per record, as last seen

    def next_size(self) -> int:
        """Records in the next piece."""
        fitting = int(_PIECE_SHARE * MOST_FINDINGS / max(self._density, 1e-9))
        held = max(FIRST_RECORDS, int(_PIECE_SHARE * MOST_SENTENCES / max(self._new, 1e-9)))
        return max(FEWEST_RECORDS, min(self._most, fitting, held))

    def learn(self, records: int, findings: int, sentences: int | None = None) -> None:
        """Remembers how many findings some records had, and how many new sentences, where these are known."""
        self._density = findings / max(records, 1)
        if sentences is not None:
            self._new = sentences / max(records, 1)


class Pieces:
    """What the pieces of a feed teach each other: their size, and which findings may wait; no more than cost.

    So each process may learn by itself, from the units that it comes to see.
    """

    def __init__(self, folds: bool, most: int = MOST_RECORDS) -> None:
        """`folds` tells whether findings may come to be folded under one for their column; `most` is a size."""
        self.sizes = PieceSizes(most)
        self.so_far = HabitsSoFar() if folds else None
        self._learning = Lock()

    def learn(self, result: UnitResult) -> None:
        """Takes in what a piece showed."""
        if self.so_far is not None:
            with self._learning:
                self.so_far.learn(result.habits, result.sampled)


class Audited(NamedTuple):
    """A piece of a unit: its records without their cells, what was found, and what else is kept of it."""

    block: Block
    result: UnitResult
    facts: Any  # what listings are compared by
    cells: pa.Table | None
    sentences: int = 0  # of titles and sales texts that were new

    @property
    def findings(self) -> int:
        """Findings that are worded."""
        return 0 if self.result.findings is None else self.result.findings.num_rows


def audited_pieces(
    block: Block, plan: FeedPlan, auditor: UnitAuditor, across: KeysNeeded | None, pieces: Pieces
) -> Iterator[Audited]:
    """Audits a block, a piece at a time; where pieces end changes nothing that is found."""
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
        sizes.learn(size, audited.findings, audited.sentences)
        pieces.learn(audited.result)
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
    return Audited(light, result, facts, worst_cells(block, result), st.new_sentences)


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
