"""Audits one part of a feed: a pure function of a block of records, the feed's plan and the run's rule book.

Caches only save repeated reading; they never change a result.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.across.habits import SAMPLES, BlockHabits, Filled, Habit, HabitsSoFar, block_habits, filled_cells
from auditor.claims.batch.columns import ClaimReader
from auditor.claims.batch.quoted_cells import with_parts
from auditor.claims.batch.replaced_column import Replaced, replaced_in_column
from auditor.claims.batch.told_by_texts import with_told
from auditor.claims.terms.lexicon import lexicon_of
from auditor.columns.value_cache import MarkingCache, TextCache, of_own_texts
from auditor.feeds.model import Block, ColumnUse
from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.block.hits import TooManyFindingsError
from auditor.judging.block.identity import RecordIdentity
from auditor.judging.block.joined_feeds import JoinedFeeds
from auditor.judging.block.markings import choose_markings
from auditor.judging.block.statements import BlockStatements, CodedText, TextMarkings
from auditor.judging.statements import MARKING_TEXTS, OWN_PARTS, OWN_TEXTS, TEXTS, Source, cell_fields
from auditor.marking.store import read_row
from auditor.quantities.beside_markings import MAY_STAND, MAY_STAND_MORE
from auditor.quantities.cell_values import parse_cell
from auditor.rulebook.book import RuleBook, contract_in_force
from auditor.rulebook.finding import CAUSES, GRADES
from auditor.wording.block_findings import finding_keys, judge, word, word_in_short

if TYPE_CHECKING:
    from auditor.judging.block.hits import BlockCollector
    from auditor.wording.block_findings import Judged

Rows = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class UnitResult:
    """What one block gives: worded findings without feed columns, the worst grade per record, and counts.

    `waiting` are findings that are not worded, since nearly all cells of their column share them; `samples` are the
    first of them as they would be worded.
    """

    unit: int
    records: npt.NDArray[np.int64]
    worst: npt.NDArray[np.int8]
    findings: pa.Table | None
    waiting: pa.Table | None
    samples: pa.Table | None
    could_not_tell: dict[str, int]
    also: dict[str, int]  # findings beside which an own rule fails too
    habits: BlockHabits
    filled: Filled
    suppliers: pa.Table
    waited: frozenset[Habit] = frozenset()  # those of the findings that wait
    sampled: dict[Habit, int] = field(default_factory=dict)  # those with enough samples, up to which record
    shifts: list[Any] = field(default_factory=list)  # rows that are shifted by one cell


class UnitAuditor:
    """Audits blocks of any feed under one rule book.  Thread-safe."""

    def __init__(self, book: RuleBook, *, claims: bool = True) -> None:
        self.book = book
        self.contract = contract_in_force(book)
        self.claims = claims
        self.markings = MarkingCache(partial(read_row, tables=book.tables))
        self._claims = ClaimReader(lexicon_of(book.own.folder), book.tables, self.markings) if claims else None
        self._texts: dict[Any, TextCache] = {}
        # Titles and sales texts that rules look at as a whole; of others only the claims are kept.
        self._whole_texts = {field for rule in book.rules if rule.demand for field in rule.demand.fields()}
        self._replaces = claims and any(rule.subject == "substitutes" for rule in book.rules)
        if any(rule.own and rule.check for rule in book.rules):  # an own check may ask for any of them
            self._whole_texts.update(TEXTS)

    def statements(self, plan: FeedPlan, block: Block, joined: JoinedFeeds | None = None) -> BlockStatements:
        """The block's statements: every column coded against its cache, markings decoded and chosen.

        `joined` tells of the feeds where the block holds the records of several.
        """
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
                if source.field in MARKING_TEXTS and (coded_too := self._figures_beside(source, use, column)):
                    coded[source.position] = coded_too
        markings: dict[int, TextMarkings] = {}
        new_sentences = 0
        if self._claims is not None and texts:
            new_sentences = self._read_texts(self._claims, plan, columns, texts, coded, markings)
        st = BlockStatements(self.book, plan.sources, coded, raw, len(block.records))
        st.text_markings, st.new_sentences = markings, new_sentences
        st.default_supplier, st.joined = plan.supplier, joined
        st.whole_texts = {position: columns[position] for position in texts}
        if self._replaces:
            st.replaced = self._replaced(plan, {position: columns[position] for position in texts})
        titles = {position: columns[position] for position in texts if plan.sources[position].field == "title"}
        choose_markings(st, self.markings, raw | titles)
        return st

    def _figures_beside(self, source: Source, use: ColumnUse, column: pa.Array) -> CodedText | None:
        """A column of markings as cells, where loads or speeds stand beside some."""
        distinct = column.dictionary if pa.types.is_dictionary(column.type) else column
        pattern = MAY_STAND if source.field == "marking" else MAY_STAND_MORE
        if not pc.any(pc.match_substring_regex(distinct, pattern)).as_py():
            return None
        return CodedText(*self._cache(source, use).encode(column))

    def _read_texts(
        self,
        claims: ClaimReader,
        plan: FeedPlan,
        columns: dict[int, pa.Array],
        texts: list[int],
        coded: dict[int, CodedText],
        markings: dict[int, TextMarkings],
    ) -> int:
        """Codes titles, and sales texts beside what cells or texts say is their own; how many sentences were new."""
        own, parts = ([columns.get(at) for at in _positions(plan, fields)] for fields in (OWN_TEXTS, OWN_PARTS))
        own = with_parts(own, parts)
        owns = claims.owns(own, len(next(iter(columns.values()))))
        learned = 0
        for position in sorted(texts, key=lambda at: plan.sources[at].field != "title"):
            title = plan.sources[position].field == "title"
            codes, snapshot = claims.encode(columns[position], owns, title)
            coded[position] = CodedText(codes, snapshot)
            markings[position] = TextMarkings(coded[position], owns)
            if title and len(texts) == 1:
                break
            if (told := with_told(own, owns, codes, snapshot)) is not None:
                learned += claims.learned()
                own, owns = told, claims.owns(told, len(codes))
                if not title:  # what it says of its own tire is left as it was read to be known
                    coded[position] = CodedText(*claims.encode(columns[position], owns, title))
        return learned + claims.learned()

    def _replaced(self, plan: FeedPlan, texts: dict[int, pa.Array]) -> dict[str, Replaced]:
        """By field the tires that titles and sales texts say theirs stand in for."""
        lexicon, words = lexicon_of(self.book.own.folder), self.book.tables.replaces_words
        return {
            plan.sources[position].field: replaced_in_column(column, lexicon, words)
            for position, column in texts.items()
        }

    def _columns(self, plan: FeedPlan, block: Block) -> dict[int, pa.Array]:
        count = len(block.records)
        read = [source.position for source in plan.sources if plan.uses[source.position].position >= 0]
        columns = dict(zip(read, map(of_own_texts, block.columns), strict=True))
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
        so_far: HabitsSoFar | None = None,
        out: BlockCollector | None = None,
    ) -> UnitResult:
        """Audits the statements of one block; raises TooManyFindingsError where more than `most` are to be worded.

        With what is known of the feed `so_far`, findings that are likely to be folded wait.  `out` collects what the
        rules say; one of the caller's own may keep more of it.
        """
        judged, identity = judge(st, out), RecordIdentity(plan, st)
        filled = filled_cells(st, identity)
        habits = block_habits(judged, filled, identity)
        waits = np.zeros(judged.count, dtype=np.bool_) if so_far is None else so_far.deferred(habits)
        at_once = np.flatnonzero(~waits)
        if most is not None and len(at_once) > most:
            raise TooManyFindingsError(len(at_once))
        waiting = np.flatnonzero(waits)
        records = block.records[judged.winners.rows]
        samples = {} if so_far is None or not len(waiting) else so_far.to_sample(habits, waiting, records)
        sampled = np.sort(np.concatenate([waiting[:0], *samples.values()]))
        return UnitResult(
            unit=block.unit,
            records=block.records,
            worst=judged.worst,
            findings=self._worded(judged, at_once, identity, block) if len(at_once) else None,
            waiting=self._waiting(judged, waiting, identity, block) if len(waiting) else None,
            samples=self._worded(judged, sampled, identity, block) if len(sampled) else None,
            could_not_tell=judged.could_not_tell,
            also=judged.also,
            habits=habits,
            filled=filled,
            suppliers=identity.supplier_counts(judged.worst),
            waited=frozenset(samples),
            sampled=_sampled(samples, records),
        )

    @cached_property
    def _rule_ids(self) -> tuple[pa.Array, npt.NDArray[np.int64]]:
        """The ids of the rules, and by place in the book where a rule's id stands among them."""
        positions = np.zeros(max(rule.order for rule in self.book.rules) + 1, dtype=np.int64)
        positions[[rule.order for rule in self.book.rules]] = np.arange(len(self.book.rules))
        return pa.array([rule.id for rule in self.book.rules]), positions

    def _waiting(self, judged: Judged, some: Rows, identity: RecordIdentity, block: Block) -> pa.Table:
        table = word_in_short(judged, some)
        rows = table["row"].to_numpy()
        kept = ("source", "field", "stated", "derived", "deviation", "marking", "direction")
        return pa.table(
            {
                **self._known(table, identity, block),
                **{name: identity.text(name, rows) for name in ("sku", "part_number", "gtin")},
                **{name: table[name] for name in kept},
                "column": self._headers(identity).take(pa.array(table["source"].to_numpy())),
                "order": table["rule"],
            }
        )

    def _headers(self, identity: RecordIdentity) -> pa.Array:
        """The feed's own headers by place, and nothing for findings that belong to no column."""
        return pa.array([source.header for source in identity.plan.sources] + [""])

    def _known(self, table: pa.Table, identity: RecordIdentity, block: Block) -> dict[str, Any]:
        """Where findings are, whose they are, and what they are known by."""
        rows = table["row"].to_numpy()
        ids, positions = self._rule_ids
        rule = ids.take(pa.array(positions[table["rule"].to_numpy()]))
        supplier = identity.text("supplier", rows)
        return {
            "record": pa.array(block.records[rows]),
            "supplier": supplier,
            "key": finding_keys(
                identity.key_supplier(rows),
                identity.listing_key(rows),
                rule,
                table["field"].combine_chunks(),
                table["stated"].combine_chunks(),
            ),
            "rule": rule,
            "grade": pa.array(list(GRADES)).take(table["grade"].combine_chunks()),
        }

    def _worded(self, judged: Judged, some: Rows, identity: RecordIdentity, block: Block) -> pa.Table:
        table = word(judged, some)
        rows = table["row"].to_numpy()
        known = self._known(table, identity, block)
        headers = self._headers(identity)
        return pa.table(
            {
                "record": known["record"],
                "supplier": known["supplier"],
                "sku": identity.text("sku", rows),
                "part_number": identity.text("part_number", rows),
                "gtin": identity.text("gtin", rows),
                **{name: known[name] for name in ("key", "rule", "grade")},
                "field": table["field"],
                "column": headers.take(pa.array(table["source"].to_numpy() % len(headers))),
                **{name: table[name] for name in ("stated", "derived", "deviation", "marking", "evidence")},
                "likely_cause": pa.array(list(CAUSES)).take(table["cause"].combine_chunks()),
                **{name: table[name] for name in ("suggestion", "message")},
                "order": table["rule"],
                **{name: table[name] for name in ("source", "direction", "reason")},
            }
        )


def _sampled(samples: dict[Habit, Rows], records: Rows) -> dict[Habit, int]:
    """Up to which record there are enough samples of each habit."""
    return {habit: int(records[some[-1]]) for habit, some in samples.items() if len(some) == SAMPLES}


def _positions(plan: FeedPlan, fields: Sequence[str]) -> list[int]:
    """Where fields stand; -1 for what the feed has not."""
    positions = {source.field: source.position for source in reversed(plan.sources)}
    return [positions.get(field, -1) for field in fields]
