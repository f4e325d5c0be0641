"""Audits one part of a feed: a pure function of a block of records, the feed's plan and the run's rule book.

Caches only save repeated reading; they never change a result.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.columns import NO_OWNS, ClaimReader, owns_of
from auditor.claims.lexicon import lexicon_of
from auditor.columns.value_cache import MarkingCache, TextCache
from auditor.feeds.model import Block, ColumnUse
from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.block.identity import RecordIdentity
from auditor.judging.block.markings import choose_markings
from auditor.judging.block.statements import BlockStatements, CodedText
from auditor.judging.statements import MARKING_TEXTS, TEXTS, Source, cell_fields
from auditor.marking.store import read_row
from auditor.quantities.cell_values import parse_cell
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import CAUSES, GRADES
from auditor.wording.block_findings import find, finding_keys

if TYPE_CHECKING:
    from auditor.judging.block.hits import BlockCollector
    from auditor.wording.block_findings import BlockFindings, CellCount


@dataclass(frozen=True, slots=True)
class UnitResult:
    """What one block gives: worded findings without feed columns, the worst grade per record, and counts."""

    unit: int
    records: npt.NDArray[np.int64]
    worst: npt.NDArray[np.int8]
    findings: pa.Table | None
    could_not_tell: dict[str, int]
    also: dict[str, int]  # findings beside which an own rule fails too
    cells: tuple[CellCount, ...]
    filled: dict[str, int]  # readable values per field, for findings about whole columns
    suppliers: pa.Table


class UnitAuditor:
    """Audits blocks of any feed under one rule book.  Thread-safe."""

    def __init__(self, book: RuleBook, *, claims: bool = True) -> None:
        self.book = book
        self.claims = claims
        self.markings = MarkingCache(partial(read_row, tables=book.tables))
        self._claims = ClaimReader(lexicon_of(book.own.folder), book.tables) if claims else None
        self._texts: dict[Any, TextCache] = {}
        # Titles and sales texts that rules look at as a whole; of others only the claims are kept.
        self._whole_texts = {field for rule in book.rules if rule.demand for field in rule.demand.fields()}
        if any(rule.own and rule.check for rule in book.rules):  # an own check may ask for any of them
            self._whole_texts.update(TEXTS)

    def statements(self, plan: FeedPlan, block: Block) -> BlockStatements:
        """The block's statements: every column coded against its cache, markings decoded and chosen."""
        columns = self._columns(plan, block)
        coded: dict[int, CodedText] = {}
        raw: dict[int, pa.Array] = {}
        texts: list[int] = []
        for source, use in zip(plan.sources, plan.uses, strict=True):
            column = columns[source.position]
            if source.field in TEXTS:
                if self.claims:
                    texts.append(source.position)
                if source.field in self._whole_texts:
                    raw[source.position] = column
            elif source.field in cell_fields() or source.field in self.book.own.measured:
                coded[source.position] = CodedText(*self._cache(source, use).encode(column))
            else:
                raw[source.position] = column
        owns = NO_OWNS
        if self._claims is not None and texts:
            owns = owns_of([columns.get(position) for position in _marking_positions(plan)], len(block.records))
            for position in texts:
                title = plan.sources[position].field == "title"
                coded[position] = CodedText(*self._claims.encode(columns[position], owns, title))
        st = BlockStatements(self.book, plan.sources, coded, raw, len(block.records))
        st.owns = owns
        st.default_supplier = plan.supplier
        st.titles = {position: columns[position] for position in texts if plan.sources[position].field == "title"}
        choose_markings(st, self.markings, raw | st.titles)
        return st

    def _columns(self, plan: FeedPlan, block: Block) -> dict[int, pa.Array]:
        count = len(block.records)
        read = [source.position for source in plan.sources if plan.uses[source.position].position >= 0]
        columns = dict(zip(read, block.columns, strict=True))
        for position, text in plan.constants:
            columns[position] = pa.DictionaryArray.from_arrays(
                pa.array(np.zeros(count, dtype=np.int32)), pa.array([text])
            )
        return columns

    def _cache(self, source: Source, use: ColumnUse) -> TextCache:
        key: tuple[Any, ...] = (source.field, use.unit, use.decimal, tuple(sorted(use.translate.items())))
        found = self._texts.get(key)
        if found is None:
            tables = self.book.tables
            parse = partial(
                parse_cell,
                field=source.field,
                tables=tables,
                own=self.book.own.measured.get(source.field),
                unit=use.unit,
                decimal=use.decimal,
                translate=use.translate or None,
            )
            found = self._texts.setdefault(key, TextCache(parse))
        return found

    def audit(self, plan: FeedPlan, block: Block) -> UnitResult:
        """Audits one block."""
        return self.audit_statements(plan, self.statements(plan, block), block)

    def audit_statements(
        self,
        plan: FeedPlan,
        st: BlockStatements,
        block: Block,
        most: int | None = None,
        out: BlockCollector | None = None,
    ) -> UnitResult:
        """Audits the statements of one block; raises TooManyFindingsError beyond `most`.

        `out` collects what the rules say; one of the caller's own may keep more of it.
        """
        found = find(st, most, out)
        identity = RecordIdentity(plan, st)
        findings = None if found.table is None else self._finished(found, identity, block)
        return UnitResult(
            unit=block.unit,
            records=block.records,
            worst=found.worst,
            findings=findings,
            could_not_tell=found.could_not_tell,
            also=found.also,
            cells=found.cells,
            filled=_filled(st),
            suppliers=identity.supplier_counts(found.worst),
        )

    def _finished(self, found: BlockFindings, identity: RecordIdentity, block: Block) -> pa.Table:
        table = found.table
        assert table is not None
        rows = table["row"].to_numpy()
        order = table["rule"].to_numpy()
        ids = pa.array([rule.id for rule in self.book.rules])
        positions = np.zeros(max(rule.order for rule in self.book.rules) + 1, dtype=np.int64)
        positions[[rule.order for rule in self.book.rules]] = np.arange(len(self.book.rules))
        rule = ids.take(pa.array(positions[order]))
        headers = pa.array([source.header for source in identity.plan.sources] + [""])
        supplier = identity.text("supplier", rows)
        return pa.table(
            {
                "record": pa.array(block.records[rows]),
                "supplier": supplier,
                "sku": identity.text("sku", rows),
                "part_number": identity.text("part_number", rows),
                "gtin": identity.text("gtin", rows),
                "key": finding_keys(
                    pc.utf8_trim_whitespace(supplier),
                    identity.listing_key(rows),
                    rule,
                    table["field"].combine_chunks(),
                    table["stated"].combine_chunks(),
                ),
                "rule": rule,
                "grade": pa.array(list(GRADES)).take(table["grade"].combine_chunks()),
                "field": table["field"],
                "column": headers.take(pa.array(table["source"].to_numpy() % len(headers))),
                "stated": table["stated"],
                "derived": table["derived"],
                "deviation": table["deviation"],
                "marking": table["marking"],
                "evidence": table["evidence"],
                "likely_cause": pa.array(list(CAUSES)).take(table["cause"].combine_chunks()),
                "suggestion": table["suggestion"],
                "message": table["message"],
                "order": pa.array(order),
            }
        )


def _marking_positions(plan: FeedPlan) -> list[int]:
    """Where marking, size and service description stand; -1 for what the feed has not."""
    positions = {source.field: source.position for source in reversed(plan.sources)}
    return [positions.get(field, -1) for field in MARKING_TEXTS]


def _filled(st: BlockStatements) -> dict[str, int]:
    """Readable values per field of cells."""
    filled: dict[str, int] = {}
    for name in st.slots:
        for slot in st.own(name):
            coded = st.texts[slot.source]
            values = coded.snapshot.values[(slot.field, slot.occurrence)].value
            filled[name] = filled.get(name, 0) + coded.count_known(values)
    return filled
