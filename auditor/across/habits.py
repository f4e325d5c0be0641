"""Mistakes that a supplier makes again and again in one column, counted block by block before anything is worded.

What is counted here decides whether findings are folded under one for the whole column; so it knows of each supplier
and column how many cells there are, and how many of them fail one rule in one direction.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.judging.block.hits import Hits, is_text
from auditor.judging.block.identity import RecordIdentity
from auditor.judging.block.statements import BlockStatements
from auditor.judging.failures import REASON
from auditor.rulebook.finding import CAUSES
from auditor.wording.block_findings import Judged

LEAST_READABLE = 20
LEAST_SHARE = 0.8
RATIO_STEP = 0.0025  # of the logarithm of stated to derived: four steps are the 1 % within which ratios are the same
NO_RATIO = -(1 << 12)
SAMPLES = 3  # of the findings of a habit that wait, worded at once: the first may come to speak for them all
_WIDEST = (1 << 12) - 1  # steps either side; beyond it ratios are counted together
_DEFERRED_LEAST = 64  # findings of a habit in one block for which it is worth while to wait
Codes = npt.NDArray[np.int64]


class Habit(NamedTuple):
    """One rule that the cells of one supplier's column fail in one direction."""

    supplier: str
    source: int
    field: str
    rule: int  # place in the rule book
    direction: int


class HabitCount(NamedTuple):
    """How often a habit shows in a block with one cause and one ratio."""

    habit: Habit
    cause: int
    ratio: int  # in steps, NO_RATIO for none
    findings: int
    worst: int  # place in GRADES
    deviation: float  # the largest, nan for none


@dataclass(frozen=True, slots=True)
class Filled:
    """How many cells of a block hold something, by (source, field) and by supplier; field "" for any text."""

    names: list[str]
    counts: Mapping[tuple[int, str], Codes]

    def by_supplier(self) -> Iterator[tuple[tuple[str, int, str], int]]:
        """((supplier, source, field), cells) for all that are not 0."""
        for (source, name), counts in self.counts.items():
            for place in np.flatnonzero(counts).tolist():
                yield (self.names[place], source, name), int(counts[place])


def filled_cells(st: BlockStatements, identity: RecordIdentity) -> Filled:
    """Counts the cells of a block."""
    names, codes = identity.suppliers()

    def counted(mask: npt.NDArray[np.bool_]) -> Codes:
        if codes is None:
            return np.array([np.count_nonzero(mask)])
        return np.bincount(codes[mask], minlength=len(names))

    counts: dict[tuple[int, str], Codes] = {}
    for source in st.sources:
        column = st.raw.get(source.position)
        if source.position in st.texts or source.field in st.text_filled:
            counts[source.position, ""] = counted(st.filled(source))
        elif column is not None:
            counts[source.position, ""] = counted(_not_blank(column))
    for slots in st.slots.values():
        for slot in slots:
            if is_text(slot.report):
                continue
            coded = st.texts[slot.source]
            table = coded.snapshot.values[(slot.field, slot.occurrence)].value
            if codes is None:
                known = np.array([coded.count_known(table)])
            else:
                known = counted(coded.spread(lambda values: ~np.isnan(values), table))
            counts[slot.source, slot.field] = counts.get((slot.source, slot.field), 0) + known
    return Filled(names.to_pylist(), counts)


def _not_blank(column: pa.Array) -> npt.NDArray[np.bool_]:
    if pa.types.is_dictionary(column.type):
        texts = pc.not_equal(pc.utf8_trim_whitespace(column.dictionary.cast(pa.string())), "")
        filled = texts.take(column.indices)
    else:
        filled = pc.not_equal(column, "")
    known: npt.NDArray[np.bool_] = pc.fill_null(filled, False).to_numpy(zero_copy_only=False)
    return known


def _readable_as(hit: Hits, filled: Filled) -> str:
    """Which cells of its column could fail as a hit does: those that state its field, or all with a text in them."""
    return "" if hit.basis.kind == REASON or (hit.source, hit.report) not in filled.counts else hit.report


@dataclass(slots=True)
class BlockHabits:
    """The habits of a block: `number` leads from each finding to its habit, -1 for what belongs to no column."""

    habits: list[Habit]
    readable: list[int]  # by habit: cells that could fail so
    counts: list[HabitCount]
    number: Codes
    readable_as: dict[tuple[int, str, int], str]  # (source, field, rule) -> field of `Filled` that could fail so

    def sizes(self) -> Codes:
        """Findings by habit."""
        return np.bincount(self.number[self.number >= 0], minlength=len(self.habits))


def block_habits(judged: Judged, filled: Filled, identity: RecordIdentity) -> BlockHabits:
    """Counts the findings of a block by habit."""
    hits, winners = judged.hits, judged.winners
    if not judged.count:
        return BlockHabits([], [], [], np.zeros(0, dtype=np.int64), {})
    names, codes = identity.suppliers()
    kinds = list(dict.fromkeys((hit.source, hit.report, hit.rule.order) for hit in hits))
    kind = np.array([kinds.index((hit.source, hit.report, hit.rule.order)) for hit in hits])[winners.hit]
    supplier = np.zeros(judged.count, dtype=np.int64) if codes is None else codes[winners.rows]
    wide = (supplier * len(kinds) + kind) * 3 + judged.winners.directions + 1
    found, number = _numbered(wide, len(names) * len(kinds) * 3)
    fields = {(hit.source, hit.report, hit.rule.order): _readable_as(hit, filled) for hit in hits}
    habits, readable = [], []
    for place in found.tolist():
        source, report, rule = one = kinds[place // 3 % len(kinds)]
        place_of_supplier = place // 3 // len(kinds)
        habits.append(Habit(names[place_of_supplier].as_py(), source, report, rule, place % 3 - 1))
        of = filled.counts.get((source, fields[one]))
        readable.append(0 if of is None or source < 0 else int(of[place_of_supplier]))
    return BlockHabits(habits, readable, list(_counts(judged, habits, number)), _of_columns(habits, number), fields)


def _numbered(wide: Codes, below: int) -> tuple[Codes, Codes]:
    """(the numbers that occur, place of each one among them) of numbers `below` a limit."""
    if below > len(wide):
        found, number = np.unique(wide, return_inverse=True)
        return found, number
    held = np.bincount(wide, minlength=below) > 0
    return np.flatnonzero(held), (np.cumsum(held) - 1)[wide]


def _of_columns(habits: list[Habit], number: Codes) -> Codes:
    in_column = np.array([habit.source >= 0 for habit in habits])
    return np.where(in_column[number], number, -1)


def ratio_steps(deviations: npt.NDArray[np.float64]) -> Codes:
    """The logarithm of stated to derived in steps, where there are two numbers."""
    steps = np.full(len(deviations), NO_RATIO, dtype=np.int64)
    known = deviations > -1.0
    steps[known] = np.clip(np.round(np.log1p(deviations[known]) / RATIO_STEP), -_WIDEST, _WIDEST).astype(np.int64)
    return steps


def _counts(judged: Judged, habits: list[Habit], number: Codes) -> Iterator[HabitCount]:
    deviation = judged.deviations.to_numpy(zero_copy_only=False)
    causes = judged.causes.astype(np.int64)
    steps = ratio_steps(deviation)
    wide = (number * len(CAUSES) + causes) * (2 << 12) + steps - NO_RATIO
    order = np.argsort(wide, kind="stable")
    ordered = wide[order]
    starts = np.flatnonzero(np.concatenate([[True], ordered[1:] != ordered[:-1]]))
    counts = np.diff(np.append(starts, len(ordered)))
    worst = np.minimum.reduceat(judged.winners.rank[order], starts)
    above = np.fmax.reduceat(deviation[order], starts)
    below = np.fmin.reduceat(deviation[order], starts)
    for place, count, grade, high, low in zip(
        ordered[starts].tolist(), counts.tolist(), worst.tolist(), above.tolist(), below.tolist(), strict=True
    ):
        rest, step = divmod(place, 2 << 12)
        habit = habits[rest // len(CAUSES)]
        yield HabitCount(habit, rest % len(CAUSES), step + NO_RATIO, count, grade, high if habit.direction > 0 else low)


@dataclass(slots=True)
class HabitsSoFar:
    """What the blocks of a feed have shown until now; it says for which findings of the next one wording can wait.

    Only cost depends on it: findings that waited in vain are worded when the whole feed is known.
    """

    failing: dict[Habit, int] = field(default_factory=dict)
    readable: dict[Habit, int] = field(default_factory=dict)
    sampled: dict[Habit, int] = field(default_factory=dict)  # the lowest record up to which there are enough samples

    def learn(self, found: BlockHabits, sampled: Mapping[Habit, int]) -> None:
        """Takes in a block, and up to which record there are samples now of some of its habits."""
        for habit, record in sampled.items():
            self.sampled[habit] = min(record, self.sampled.get(habit, record))
        for habit, count, readable in zip(found.habits, found.sizes().tolist(), found.readable, strict=True):
            self.failing[habit] = self.failing.get(habit, 0) + count
            self.readable[habit] = self.readable.get(habit, 0) + readable

    def deferred(self, found: BlockHabits) -> npt.NDArray[np.bool_]:
        """Which findings of a block may wait: of habits that nearly all cells of their column share."""
        if not found.habits:
            return np.zeros(0, dtype=np.bool_)
        waiting = [
            size >= _DEFERRED_LEAST
            and readable >= LEAST_READABLE
            and size >= LEAST_SHARE * readable
            and size + self.failing.get(habit, 0) >= LEAST_SHARE * (readable + self.readable.get(habit, 0))
            for habit, size, readable in zip(found.habits, found.sizes().tolist(), found.readable, strict=True)
        ]
        return np.append(waiting, False)[found.number]

    def to_sample(self, found: BlockHabits, waiting: Codes, records: npt.NDArray[np.int64]) -> dict[Habit, Codes]:
        """The findings that waiting ones may have to be shown by: the first of each habit, by record.

        None of a habit where findings of records before these are there already, whichever block was audited first.
        """
        number = found.number[waiting]
        order = np.argsort(number, kind="stable")
        starts = np.flatnonzero(np.diff(number[order], prepend=-1)).tolist()
        samples = {}
        for start, end in zip(starts, [*starts[1:], len(order)], strict=True):
            mine = waiting[order[start : min(end, start + SAMPLES)]]
            habit = found.habits[int(found.number[mine[0]])]
            known = self.sampled.get(habit)
            samples[habit] = mine[:0] if known is not None and known < records[mine[0]] else mine
        return samples
