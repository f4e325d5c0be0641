"""The findings of a block as a table: one row per wrong cell, worded once per distinct text."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor import culprit
from auditor.blocks import BlockStatements, distinct
from auditor.causes import likely_cause
from auditor.compare import run_rules
from auditor.facts import FACT_PLACE
from auditor.finding import CAUSES
from auditor.judging import (
    NO_GRADE,
    BlockCollector,
    Hits,
    SideBits,
    Winners,
    deviations,
    float_bits,
    is_text,
    names_of,
    resolve,
    sides,
    subject_mask,
    taken,
    wanted_subjects,
    weigh,
)
from auditor.keys import hash_texts
from auditor.wording import FindingParts, FindingWords, word

Rows = npt.NDArray[np.int64]
_MOST_WORDED = 100_000
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


class Worder:
    """Words findings, each distinct one once; kept across blocks."""

    def __init__(self) -> None:
        self._kept: dict[tuple[Any, ...], FindingWords] = {}

    def word(self, parts: FindingParts, tables: Any) -> FindingWords:
        key = (  # the facts follow from the words of the marking, and NaN is never equal to itself
            parts.rule.id,
            parts.report,
            parts.about,
            parts.column,
            parts.stated_text,
            repr(parts.derived),
            parts.words,
            parts.detail,
            parts.other_text,
            parts.cause,
            parts.agree,
            parts.differ,
            parts.also,
        )
        found = self._kept.get(key)
        if found is None:
            if len(self._kept) >= _MOST_WORDED:
                self._kept = {}
            found = self._kept[key] = word(parts, tables)
        return found


def find(st: BlockStatements, worder: Worder) -> BlockFindings:
    """Runs all rules over a block and words what they find."""
    out = BlockCollector()
    run_rules(st, out)
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
        table, counts = _worded(st, hit, winners, mine, side, worder)
        parts.append(table)
        cells.extend(counts)
        np.minimum.at(worst, winners.rows[mine], hit.rank[winners.place[mine]])
    back = np.argsort(np.concatenate(order), kind="stable")
    table = pa.concat_tables(parts).take(pa.array(back))
    return BlockFindings(table, worst, out.untold_rules, tuple(cells))


def _worded(
    st: BlockStatements, hit: Hits, winners: Winners, mine: Rows, side: SideBits, worder: Worder
) -> tuple[pa.Table, list[CellCount]]:
    place = winners.place[mine]
    rows = hit.rows[place]
    part = st.at(rows)
    stated, derived = hit.stated[place], hit.derived[place]
    cause = likely_cause(part, _cause_field(hit), stated, derived).astype(np.int64)
    wanted = wanted_subjects(hit.rule.id, hit.about, hit.detail)
    mask = subject_mask(side, wanted)
    at = np.searchsorted(side.rows, rows)
    agree, differ = side.agrees[at] & mask, side.differs[at] & mask
    stated_codes = part.source_codes(hit.source)
    partner_codes = part.source_codes(hit.partner) if hit.partner >= 0 else np.zeros(len(rows), dtype=np.int64)
    first, inverse = distinct(
        [
            stated_codes,
            part.governing.codes,
            float_bits(derived),
            float_bits(stated),
            partner_codes,
            agree.view(np.int64),
            differ.view(np.int64),
            winners.also[mine].view(np.int64),
            cause,
            *_extra_codes(part, hit),
        ]
    )
    texts = _distinct_texts(st, part, hit, winners, mine, side, worder, first, cause, agree, differ)
    columns = {
        "row": pa.array(rows),
        "rule": pa.array(np.full(len(rows), hit.rule.order, dtype=np.int16)),
        "grade": pa.array(hit.rank[place]),
        "source": pa.array(np.full(len(rows), hit.source, dtype=np.int16)),
        "field": pa.DictionaryArray.from_arrays(pa.array(np.zeros(len(rows), dtype=np.int32)), [hit.report]).cast(
            pa.string()
        ),
        "cause": pa.array(cause.astype(np.int8)),
        "deviation": deviations(hit, place),
    }
    for name in ("stated", "derived", "marking", "evidence", "suggestion", "message"):
        columns[name] = taken(texts[name], inverse)
    return pa.table(columns), _cell_counts(hit, cause)


def _distinct_texts(
    st: BlockStatements,
    part: BlockStatements,
    hit: Hits,
    winners: Winners,
    mine: Rows,
    side: SideBits,
    worder: Worder,
    first: Rows,
    cause: Rows,
    agree: npt.NDArray[np.uint64],
    differ: npt.NDArray[np.uint64],
) -> dict[str, list[str]]:
    """Words the distinct findings of one hit; a loop over distinct texts, not over records."""
    place = winners.place[mine][first]
    stated_texts = part.stated_texts(hit, first)
    other_texts = part.cell_texts(hit.partner, first) if hit.partner >= 0 else [""] * len(first)
    details = _details(part, hit, first)
    header = st.sources[hit.source].header if hit.source >= 0 else ""
    other_field = st.sources[hit.partner].field if hit.partner >= 0 else ""
    subject = culprit.SUBJECT_OF.get(hit.about, "")
    own_words = _own_words(part, hit, first)
    governing = part.governing.codes[first].tolist()
    facts = st.markings.facts
    also_bits = winners.also[mine][first].tolist()
    second = (facts[FACT_PLACE["load_index_alt"]][part.governing.codes[first]] >= 0).tolist()
    texts: dict[str, list[str]] = {
        name: [] for name in ("stated", "derived", "marking", "evidence", "suggestion", "message")
    }
    for i, code in enumerate(governing):
        parts = FindingParts(
            rule=hit.rule,
            report=hit.report,
            about=hit.about,
            column=header,
            stated_text=stated_texts[i],
            stated=float(hit.stated[place[i]]),
            derived=float(hit.derived[place[i]]),
            words=own_words[i] if own_words else st.markings.words[code],
            facts=tuple(facts[:, code].tolist()),
            detail=details[i],
            other_field=other_field,
            other_text=other_texts[i].strip(),
            cause=CAUSES[int(cause[first[i]])],
            agree=names_of(side, int(agree[first[i]])),
            differ=names_of(side, int(differ[first[i]])),
            also=tuple(rule.id for rule in st.book.rules if also_bits[i] >> min(rule.order, 63) & 1),
            subject=subject,
            second_description=second[i],
        )
        worded = worder.word(parts, st.book.tables)
        texts["stated"].append(stated_texts[i])
        about_marking = hit.about == "marking" and hit.rule.id != "marking-nonstandard"
        texts["derived"].append("" if about_marking else worded.derived)
        texts["marking"].append(st.markings.words[code].canonical)
        texts["evidence"].append(worded.evidence)
        texts["suggestion"].append(worded.suggestion)
        texts["message"].append(worded.message)
    return texts


def _cause_field(hit: Hits) -> str:
    if isinstance(hit.detail, tuple) and hit.detail[0] == "outvoted":
        return OUTVOTED_FIELDS[hit.detail[1]]
    return hit.about


def _extra_codes(part: BlockStatements, hit: Hits) -> list[Any]:
    """Codes that the words depend on besides the cell's own: a nonstandard marking need not be the governing one."""
    if hit.rule.id == "marking-nonstandard":
        return [part.text_codes[hit.report]]
    return []


def _own_words(part: BlockStatements, hit: Hits, first: Rows) -> list[Any]:
    if hit.rule.id != "marking-nonstandard":
        return []
    return [part.markings.words[code] for code in part.text_codes[hit.report][first].tolist()]


def _details(part: BlockStatements, hit: Hits, first: Rows) -> list[str]:
    if not isinstance(hit.detail, tuple):
        return [str(hit.detail or "")] * len(first)
    kind, what = hit.detail
    if kind == "reason":
        reasons = part.reasons(what, hit.source, first)
        return [reason.rstrip(".")[:1].lower() + reason.rstrip(".")[1:] for reason in reasons]
    if kind == "text":
        words = part.markings.words
        return [f"the marking is {words[code].canonical}" for code in part.governing.codes[first].tolist()]
    return [""] * len(first)


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
