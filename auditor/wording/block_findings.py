"""The findings of a block as a table: one row per wrong cell, worded once per distinct text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.judging.block.hits import (
    NO_GRADE,
    BlockCollector,
    Hits,
    TooManyFindingsError,
    Winners,
    deviations,
    is_text,
    one_per_cell,
    settled_by_votes,
    sides,
)
from auditor.judging.block.statements import BlockStatements
from auditor.judging.causes import likely_cause
from auditor.judging.comparator import run_rules
from auditor.judging.keys import hash_texts, joined_columns
from auditor.judging.statements import Statements
from auditor.judging.votes import cause_field
from auditor.rulebook.finding import CAUSES
from auditor.wording.columns import FindingsToWord

Rows = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class CellCount:
    """How often the cells of one column fail in one way; for findings about whole columns."""

    source: int
    field: str
    rule: str
    cause: str
    count: int


@dataclass(frozen=True, slots=True)
class BlockFindings:
    """What a block gives: its findings in record order, each record's worst grade, and counts."""

    table: pa.Table | None
    worst: npt.NDArray[np.int8]  # per record: place in GRADES, NO_GRADE for none
    could_not_tell: dict[str, int]
    also: dict[str, int]  # own rule -> findings of other rules on whose cell it fails too
    cells: tuple[CellCount, ...]


def find(st: BlockStatements, most: int | None = None, out: BlockCollector | None = None) -> BlockFindings:
    """Runs all rules over a block and words what they find; raises TooManyFindingsError beyond `most`.

    `out` collects what the rules say; one of the caller's own may keep more of it.
    """
    out = out or BlockCollector()
    run_rules(st, out)
    st.memo.clear()  # what rules shared is as large as the block itself; wording asks about few records
    worst = np.full(st.count, NO_GRADE, dtype=np.int8)
    hits = settled_by_votes(st, out.hits) if out.hits else []
    if not hits:
        return BlockFindings(None, worst, out.could_not_tell_rules, {}, ())
    winners = one_per_cell(hits)
    if most is not None and len(winners.rows) > most:
        raise TooManyFindingsError(len(winners.rows))
    np.minimum.at(worst, winners.rows, winners.rank)
    fields = [cause_field(st.book, hit.about, hit.basis) for hit in hits]
    order = _by_cause_field(fields, winners)
    grouped = winners.in_order(order)
    part = st.at(grouped.rows)
    causes = _causes(part, fields, grouped)
    back = np.empty(len(order), dtype=np.int64)
    back[order] = np.arange(len(order))
    worded = FindingsToWord(part, hits, grouped, sides(part)).columns()
    table = pa.table(
        {
            "row": pa.array(winners.rows),
            "rule": pa.array(np.array([hit.rule.order for hit in hits], dtype=np.int16)[winners.hit]),
            "grade": pa.array(winners.rank),
            "source": pa.array(np.array([hit.source for hit in hits], dtype=np.int16)[winners.hit]),
            "field": pa.array([hit.report for hit in hits], pa.string()).take(pa.array(winners.hit)),
            "cause": pa.array(causes[back]),
            "deviation": deviations(hits, winners),
            **{name: column.take(pa.array(back)) for name, column in worded.items()},
        }
    )
    also = {rule.id: winners.also_by(rule) for rule in st.book.rules if rule.own}
    return BlockFindings(table, worst, out.could_not_tell_rules, also, tuple(_cell_counts(hits, grouped, causes)))


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


def _cell_counts(hits: Sequence[Hits], grouped: Winners, causes: npt.NDArray[np.int8]) -> list[CellCount]:
    kinds = len(CAUSES)
    counts = np.bincount(grouped.hit * kinds + causes, minlength=len(hits) * kinds)
    found = []
    for position in np.flatnonzero(counts).tolist():
        hit = hits[position // kinds]
        if hit.source >= 0 and not is_text(hit.report):
            cause = CAUSES[position % kinds]
            found.append(CellCount(hit.source, hit.about, hit.rule.id, cause, int(counts[position])))
    return found


def finding_keys(supplier: Any, listing: Any, rule: Any, field: Any, stated: Any) -> pa.Array:
    """`auditor.programs.one_listing.finding_key` over columns."""
    return hash_texts(joined_columns((supplier, listing, rule, field, stated)))
