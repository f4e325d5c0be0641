"""The findings of a block as a table: judged first, one per wrong cell, then worded once per distinct text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.judging.block.hits import (
    NO_GRADE,
    BlockCollector,
    Hits,
    Winners,
    deviations,
    one_per_cell,
    settled_by_votes,
    sides,
)
from auditor.judging.block.member_sets import MemberSets
from auditor.judging.block.statements import BlockStatements
from auditor.judging.causes import likely_cause
from auditor.judging.comparator import run_rules
from auditor.judging.keys import hash_texts, joined_columns
from auditor.judging.statements import Statements
from auditor.judging.votes import cause_field
from auditor.wording.columns import FindingsToWord

Rows = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Judged:
    """What a block gives before it is worded: its findings in record order, and each record's worst grade."""

    st: BlockStatements
    hits: Sequence[Hits]
    winners: Winners
    causes: npt.NDArray[np.int8]  # place in CAUSES, by finding
    deviations: pa.Array  # null where there are no two numbers
    worst: npt.NDArray[np.int8]  # per record: place in GRADES, NO_GRADE for none
    could_not_tell: dict[str, int]

    @property
    def count(self) -> int:
        return len(self.winners.rows)

    @property
    def also(self) -> dict[str, int]:
        """Own rule -> findings of other rules on whose cell it fails too."""
        return {rule.id: self.winners.also_by(rule) for rule in self.st.book.rules if rule.own} if self.count else {}


def judge(st: BlockStatements, out: BlockCollector | None = None) -> Judged:
    """Runs all rules over a block; `out` collects what they say, and one of the caller's own may keep more of it."""
    out = out or BlockCollector()
    run_rules(st, out)
    st.memo.clear()  # what rules shared is as large as the block itself; wording asks about few records
    worst = np.full(st.count, NO_GRADE, dtype=np.int8)
    hits = settled_by_votes(st, out.hits) if out.hits else []
    winners = one_per_cell(hits) if hits else _none()
    np.minimum.at(worst, winners.rows, winners.rank)
    causes = np.zeros(len(winners.rows), dtype=np.int8)
    if hits:
        fields = [cause_field(st.book, hit.about, hit.basis) for hit in hits]
        order = _by_cause_field(fields, winners)
        grouped = winners.in_order(order)
        causes[order] = _causes(st.at(grouped.rows), fields, grouped)
    found = deviations(hits, winners) if hits else pa.array([], pa.float64())
    return Judged(st, hits, winners, causes, found, worst, out.could_not_tell_rules)


def _none() -> Winners:
    """No findings at all."""
    rows, values = np.zeros(0, dtype=np.int64), np.zeros(0)
    return Winners(rows, rows, values, values, np.zeros(0, dtype=np.int8), MemberSets.empty(1, 0))


def word(judged: Judged, some: Rows) -> pa.Table:
    """Some of the findings of a block as a table, in their order; `some` are their places, at least one."""
    winners = judged.winners.in_order(some)
    grouped, back = _by_hit(winners)
    part = judged.st.at(grouped.rows)
    worded = FindingsToWord(part, judged.hits, grouped, sides(part)).columns()
    return pa.table({**_facts(judged, winners, some), **{name: back(column) for name, column in worded.items()}})


def word_in_short(judged: Judged, some: Rows) -> pa.Table:
    """Some of the findings of a block without their sentences: what they are, what is stated and what follows."""
    winners = judged.winners.in_order(some)
    grouped, back = _by_hit(winners)
    worded = FindingsToWord(judged.st.at(grouped.rows), judged.hits, grouped, None).in_short()
    return pa.table({**_facts(judged, winners, some), **{name: back(column) for name, column in worded.items()}})


def _by_hit(winners: Winners) -> tuple[Winners, Callable[[pa.Array], pa.Array]]:
    """(the findings with those of each hit together, what puts a column of theirs back in order)."""
    if (winners.hit[1:] >= winners.hit[:-1]).all():  # a mistake of a whole column: all are of one hit
        return winners, lambda column: column
    order = np.argsort(winners.hit, kind="stable")
    back = np.empty(len(order), dtype=np.int64)
    back[order] = np.arange(len(order))
    places = pa.array(back)
    return winners.in_order(order), lambda column: column.take(places)


def _facts(judged: Judged, winners: Winners, some: Rows) -> dict[str, Any]:
    """What findings are, in numbers."""
    hits = judged.hits
    return {
        "row": pa.array(winners.rows),
        "rule": pa.array(np.array([hit.rule.order for hit in hits], dtype=np.int16)[winners.hit]),
        "grade": pa.array(winners.rank),
        "source": pa.array(np.array([hit.source for hit in hits], dtype=np.int16)[winners.hit]),
        "field": pa.array([hit.report for hit in hits], pa.string()).take(pa.array(winners.hit)),
        "cause": pa.array(judged.causes[some]),
        "deviation": judged.deviations.take(pa.array(some)),
        "direction": pa.array(winners.directions),
    }


def _by_cause_field(fields: Sequence[str], winners: Winners) -> Rows:
    """An order of the findings in which those of one hit stand together, and hits of one field beside each other."""
    occurrence = np.empty(len(fields), dtype=np.int16)
    occurrence[sorted(range(len(fields)), key=lambda position: (fields[position], position))] = np.arange(len(fields))
    return np.argsort(occurrence[winners.hit], kind="stable")


def _causes(part: BlockStatements, fields_of: Sequence[str], grouped: Winners) -> npt.NDArray[np.int8]:
    """The likely cause of each finding, asked once per field."""
    fields = sorted(set(fields_of))
    numbers = np.array([fields.index(field) for field in fields_of])[grouped.hit]
    bounds = np.searchsorted(numbers, np.arange(len(fields) + 1)).tolist()
    causes = np.empty(len(grouped.rows), dtype=np.int8)
    for field, start, end in zip(fields, bounds[:-1], bounds[1:], strict=True):
        if start < end:
            some = slice(start, end)
            causes[some] = likely_cause(_Stretch(part, some), field, grouped.stated[some], grouped.derived[some])
    return causes


class _Stretch(Statements):
    """What the causes of some neighboring findings are judged by: the facts of their markings."""

    def __init__(self, whole: BlockStatements, stretch: slice) -> None:
        self._whole = whole
        self._stretch = stretch
        self.ops = whole.ops
        self.book = whole.book
        self.nothing = whole.nothing[stretch]
        self.never = whole.never[stretch]

    def fact(self, name: str) -> Any:
        return self._whole.fact(name)[self._stretch]


def finding_keys(supplier: Any, listing: Any, rule: Any, field: Any, stated: Any) -> pa.Array:
    """`auditor.programs.one_listing.finding_key` over columns."""
    return hash_texts(joined_columns((supplier, listing, rule, field, stated)))
