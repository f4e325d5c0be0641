"""Small feeds whose columns mean the same, audited in one block, and what is found taken apart again by feed.

Nothing that is found depends on it: a record is judged by itself, and what is counted is counted by feed.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.across.block_offers import BlockOffers
from auditor.across.facts import BlockFacts, KeysNeeded, block_facts
from auditor.across.habits import BlockHabits, Filled, HabitCount
from auditor.engine.pieces import Audited
from auditor.engine.shifted_rows import shifted_rows
from auditor.engine.unit_audit import UnitAuditor, UnitResult
from auditor.engine.worst_cells import worst_cells
from auditor.feeds.model import Block, Feed, WorkUnit
from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.block.hits import BlockCollector
from auditor.judging.block.joined_feeds import JoinedFeeds, feed_and_supplier
from auditor.rulebook.book import RuleBook
from auditor.rulebook.rule import Rule

MOST_RECORDS = 512  # of a feed that is audited with others
MOST_BYTES = 1 << 20
RECORDS_TOGETHER = 4096
_ROOM = 1 << 20  # record numbers for each feed: more than it has, and whole stretches of those whose cells are kept


def may_join(book: RuleBook) -> bool:
    """Whether feeds may be audited in one block: own rules may ask for anything."""
    return book.own.folder is None


def joined_by(feed: Feed, plan: FeedPlan, unit: WorkUnit) -> Hashable | None:
    """What feeds have in common that may be audited in one block; None for one that had better be audited alone."""
    if unit.records is None or not 0 < unit.records <= MOST_RECORDS or feed.sheet is not None:
        return None
    if feed.size_bytes() > MOST_BYTES:
        return None
    return plan.sources, tuple(use.reads() for use in plan.uses), plan.positions, plan.further_texts, plan.constants


@dataclass(slots=True)
class _Told(BlockCollector):
    """Counts by feed where rules cannot tell."""

    joined: JoinedFeeds = field(kw_only=True)
    untold: list[dict[str, int]] = field(default_factory=list)  # by feed

    def could_not_tell(self, rule: Rule, where: Any) -> None:
        feeds = self.joined.of_record[np.broadcast_to(where, len(self.joined.of_record))]
        counts = np.bincount(feeds, minlength=len(self.joined.plans))
        for place in np.flatnonzero(counts).tolist():
            of_feed = self.untold[place]
            of_feed[rule.id] = of_feed.get(rule.id, 0) + int(counts[place])


def audited_together(
    blocks: Sequence[Block], plans: Sequence[FeedPlan], auditor: UnitAuditor, want: KeysNeeded | None
) -> Iterator[Audited]:
    """Audits blocks of several feeds as one, and yields what each of them gives."""
    plan, whole = plans[0], _joined(blocks)
    sizes = [len(block.records) for block in blocks]
    joined = JoinedFeeds(plans, np.repeat(np.arange(len(blocks), dtype=np.int64), sizes))
    st = auditor.statements(plan, whole, joined)
    told = _Told(joined=joined, untold=[{} for _ in blocks])
    result = auditor.audit_statements(plan, st, whole, out=told)
    folds = auditor.book.taker("whole-column") is not None
    shifts = shifted_rows(auditor, plan, st, whole, result) if folds else []
    facts = None if want is None else block_facts(plan, st, whole.records, want)
    facts_of = _facts_by_feed(facts, len(blocks))
    cells = worst_cells(whole, result)
    suppliers, filled, habits = _suppliers(result), _filled(result.filled), _habits(result)
    ends = np.cumsum(sizes).tolist()
    for place, block in enumerate(blocks):
        first = place * _ROOM
        mine = UnitResult(
            unit=block.unit,
            records=block.records,
            worst=result.worst[ends[place] - sizes[place] : ends[place]],
            findings=_rows(result.findings, first),
            waiting=None,
            samples=None,
            could_not_tell=told.untold[place],
            also={},
            habits=BlockHabits([], [], habits.get(place, []), np.zeros(0, np.int64), result.habits.readable_as),
            filled=filled.get(place, Filled([], {})),
            suppliers=suppliers[place] if place in suppliers else result.suppliers.slice(0, 0),
            shifts=[one._replace(record=one.record - first) for one in shifts if 0 < one.record - first <= _ROOM],
        )
        light = replace(block, columns=())
        yield Audited(light, mine, facts_of[place], _rows(cells, first))


def _joined(blocks: Sequence[Block]) -> Block:
    columns = [
        pa.concat_arrays([column.cast(pa.string()) for column in same])
        for same in zip(*(block.columns for block in blocks), strict=True)
    ]
    records = [block.records + place * _ROOM for place, block in enumerate(blocks)]
    return Block(0, columns, np.concatenate(records))


def _stretch(records: npt.NDArray[np.int64], first: int) -> tuple[int, int]:
    start, stop = np.searchsorted(records, [first + 1, first + _ROOM + 1]).tolist()
    return start, stop


def _rows(table: pa.Table | None, first: int) -> pa.Table | None:
    """The rows of one feed, with its own record numbers."""
    if table is None:
        return None
    records = table["record"].to_numpy()
    start, stop = _stretch(records, first)
    if start == stop:
        return None
    mine = table.slice(start, stop - start)
    return mine.set_column(table.column_names.index("record"), "record", pa.array(records[start:stop] - first))


def _facts_by_feed(facts: BlockFacts | None, feeds: int) -> list[BlockFacts | None]:
    """The rows and offers of each feed; the tires of all stand with the first, and are looked up by their numbers."""
    if facts is None:
        return [None] * feeds
    found: list[BlockFacts | None] = []
    tires = facts.offers
    for place in range(feeds):
        first = place * _ROOM
        start, stop = _stretch(facts.rows["record"], first)
        if start == stop:
            found.append(None)
            continue
        rows = facts.rows[start:stop].copy()
        rows["record"] -= first
        offers = None
        if tires is not None:
            entries = tires.entries[(tires.entries["row"] >= start) & (tires.entries["row"] < stop)]
            entries["row"] -= start
            offers = BlockOffers(rows["tire"], tires.ids, tires.texts, entries)
            tires = tires._replace(ids=tires.ids[:0], texts=tires.texts.slice(0, 0))
        found.append(BlockFacts(rows, offers))
    return found


def _suppliers(result: UnitResult) -> dict[int, pa.Table]:
    """The counts of suppliers by place of their feed."""
    table = result.suppliers
    known = [feed_and_supplier(name) for name in table["supplier"].to_pylist()]
    table = table.set_column(0, "supplier", pa.array([name for _, name in known], pa.string()))
    rows: dict[int, list[int]] = {}
    for row, (feed, _) in enumerate(known):
        rows.setdefault(feed, []).append(row)
    return {feed: table.take(pa.array(some)) for feed, some in rows.items()}


def _filled(filled: Filled) -> dict[int, Filled]:
    known = [feed_and_supplier(name) for name in filled.names]
    places: dict[int, list[int]] = {}
    for place, (feed, _) in enumerate(known):
        places.setdefault(feed, []).append(place)
    return {
        feed: Filled([known[one][1] for one in some], {key: counts[some] for key, counts in filled.counts.items()})
        for feed, some in places.items()
    }


def _habits(result: UnitResult) -> dict[int, list[HabitCount]]:
    found: dict[int, list[HabitCount]] = {}
    for one in result.habits.counts:
        feed, supplier = feed_and_supplier(one.habit.supplier)
        found.setdefault(feed, []).append(one._replace(habit=one.habit._replace(supplier=supplier)))
    return found
