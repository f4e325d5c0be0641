"""Whole listings behind the worst findings: every statement beside what it should be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pyarrow as pa
import pyarrow.compute as pc

from auditor.engine.feed_run import FeedRun
from auditor.judging.comparator import judge
from auditor.judging.single.statements import ListingStatements
from auditor.judging.statements import TEXTS
from auditor.outputs.audit_result import ListingDetail, Statement
from auditor.outputs.worst_findings import WorstFindings
from auditor.rulebook.book import RuleBook
from auditor.trade.value_text import number_text

_LONGEST_TEXT = 600


def listing_details(runs: Sequence[FeedRun], worst: WorstFindings, book: RuleBook) -> list[ListingDetail]:
    """The listings of the worst findings whose cells were kept."""
    asked: dict[tuple[str, str | None], list[int]] = {}
    for row in worst.table.select(["feed", "sheet", "record"]).to_pylist():
        asked.setdefault((row["feed"], row["sheet"]), []).append(row["record"])
    return [
        _detail(run, record, cells, book)
        for run in runs
        if (records := asked.get((run.feed.name, run.feed.sheet)))
        for record, cells in _kept(run, records)
    ]


def _kept(run: FeedRun, asked: Sequence[int]) -> Iterator[tuple[int, list[tuple[str, str, str]]]]:
    records = pa.array(asked, pa.int64())
    read = [source for source in run.plan.sources if run.plan.uses[source.position].position >= 0]
    for table in run.cells_kept():
        for row in table.filter(pc.is_in(table["record"], records)).to_pylist():
            cells = [(source.field, source.header, row[str(position)] or "") for position, source in enumerate(read)]
            yield row["record"], cells


def _detail(run: FeedRun, record: int, cells: list[tuple[str, str, str]], book: RuleBook) -> ListingDetail:
    st = _read(cells, book)
    texts = {field: text for field, _, text in cells}
    return ListingDetail(
        feed=run.feed.name,
        sheet=run.feed.sheet,
        record=record,
        marking=st.rows[st.governing.codes].words.canonical,
        title=texts.get("title", ""),
        brand=texts.get("brand", ""),
        statements=tuple(_statements(st, cells, book)),
    )


def _read(cells: list[tuple[str, str, str]], book: RuleBook) -> ListingStatements:
    """What the cells state; their texts, which take longest, are read only where the marking has to come from them."""
    short = [(field, header, "" if field in TEXTS else text) for field, header, text in cells]
    st = ListingStatements(short, book)
    readable = st.marking_fact("readable", st.governing.codes) == 1.0
    return st if readable and not st.governing.size_stands_in else ListingStatements(cells, book)


def _statements(st: ListingStatements, cells: list[tuple[str, str, str]], book: RuleBook) -> Iterator[Statement]:
    compared = {one.field: one for each in book.characteristics for one in each.statements if one.fact}
    for source, (field, header, text) in zip(st.sources, cells, strict=True):
        if not text.strip():
            continue
        derived, agrees = None, None
        for slot in st.own(field) if field not in TEXTS else ():
            if slot.source == source.position and field in compared:
                one = compared[field]
                how = judge(st, slot, one.fact, one.tolerance, one.allowance)
                derived = number_text(field, how.derived, book.tables) or None
                if how.known:
                    agrees = not (how.above or how.below)
        yield Statement(field, header, text[:_LONGEST_TEXT], derived, agrees)
