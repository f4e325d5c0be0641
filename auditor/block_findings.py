"""The findings of a block as a table: one row per wrong cell, worded once per distinct text."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor import culprit
from auditor.blocks import BlockStatements
from auditor.causes import likely_cause
from auditor.compare import run_rules
from auditor.finding import CAUSES
from auditor.judging import (
    NO_GRADE,
    BlockCollector,
    Hits,
    SideBits,
    Winners,
    deviations,
    is_text,
    names_of,
    resolve,
    sides,
    subject_mask,
    wanted_subjects,
    weigh,
)
from auditor.keys import hash_texts
from auditor.wording_arrays import RowsToWord, Sides

Rows = npt.NDArray[np.int64]
OUTVOTED_FIELDS = {
    "load": "max_load_kg",
    "dual load": "max_load_dual_kg",
    "speed": "max_speed_kmh",
    "width": "section_width_mm",
    "aspect": "aspect_ratio",
    "rim": "rim_diameter_in",
    "strength": "load_range",
}


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
    untold: dict[str, int]
    cells: tuple[CellCount, ...]


def find(st: BlockStatements) -> BlockFindings:
    """Runs all rules over a block and words what they find."""
    out = BlockCollector()
    run_rules(st, out)
    st.memo.clear()  # what rules shared is as large as the block itself; wording asks about few records
    worst = np.full(st.count, NO_GRADE, dtype=np.int8)
    hits = weigh(st, out.hits) if out.hits else []
    if not hits:
        return BlockFindings(None, worst, out.untold_rules, ())
    winners = resolve(hits)
    side = sides(st, np.unique(winners.rows))
    parts, cells, order = [], [], []
    for number, hit in enumerate(hits):
        mine = np.flatnonzero(winners.hit == number)
        if len(mine) == 0:
            continue
        order.append(mine)
        table, counts = _worded(st, hit, winners, mine, side)
        parts.append(table)
        cells.extend(counts)
        np.minimum.at(worst, winners.rows[mine], hit.rank[winners.place[mine]])
    back = np.argsort(np.concatenate(order), kind="stable")
    table = pa.concat_tables(parts).take(pa.array(back))
    return BlockFindings(table, worst, out.untold_rules, tuple(cells))


def _worded(
    st: BlockStatements, hit: Hits, winners: Winners, mine: Rows, side: SideBits
) -> tuple[pa.Table, list[CellCount]]:
    place = winners.place[mine]
    rows = hit.rows[place]
    part = st.at(rows)
    stated, derived = hit.stated[place], hit.derived[place]
    cause = likely_cause(part, _cause_field(hit), stated, derived).astype(np.int64)
    mask = subject_mask(side, wanted_subjects(hit.rule.id, hit.about, hit.detail))
    at = np.searchsorted(side.rows, rows)
    to_word = RowsToWord(
        part,
        hit,
        stated,
        derived,
        _sides(side.agrees[at] & mask, lambda bits: names_of(side, bits)),
        _sides(side.differs[at] & mask, lambda bits: names_of(side, bits)),
        _sides(winners.also[mine], lambda bits: _rules_of(st, bits)),
        culprit.SUBJECT_OF.get(hit.about, ""),
    )
    columns = {
        "row": pa.array(rows),
        "rule": pa.array(np.full(len(rows), hit.rule.order, dtype=np.int16)),
        "grade": pa.array(hit.rank[place]),
        "source": pa.array(np.full(len(rows), hit.source, dtype=np.int16)),
        "field": pa.array([hit.report], pa.string()).take(pa.array(np.zeros(len(rows), dtype=np.int64))),
        "cause": pa.array(cause.astype(np.int8)),
        "deviation": deviations(hit, place),
        **to_word.columns(),
    }
    return pa.table(columns), _cell_counts(hit, cause)


def _sides(bits: npt.NDArray[np.uint64], names: Callable[[int], tuple[str, ...]]) -> Sides:
    values, numbers = np.unique(bits, return_inverse=True)
    return Sides(numbers.astype(np.int64), [names(int(value)) for value in values])


def _rules_of(st: BlockStatements, bits: int) -> tuple[str, ...]:
    return tuple(rule.id for rule in st.book.rules if bits >> min(rule.order, 63) & 1)


def _cause_field(hit: Hits) -> str:
    if isinstance(hit.detail, tuple) and hit.detail[0] == "outvoted":
        return OUTVOTED_FIELDS[hit.detail[1]]
    return hit.about


def _cell_counts(hit: Hits, cause: Rows) -> list[CellCount]:
    if hit.source < 0 or is_text(hit.report):
        return []
    numbers, counts = np.unique(cause, return_counts=True)
    return [
        CellCount(hit.source, hit.about, hit.rule.id, CAUSES[int(n)], int(c))
        for n, c in zip(numbers, counts, strict=True)
    ]


def finding_keys(supplier: Any, listing: Any, rule: Any, field: Any, stated: Any) -> pa.Array:
    """`auditor.listing.finding_key` over columns."""
    joined = pc.binary_join_element_wise(supplier, listing, rule, field, stated, "\x1f")
    if isinstance(joined, pa.ChunkedArray):
        joined = joined.combine_chunks()
    return hash_texts(joined)
