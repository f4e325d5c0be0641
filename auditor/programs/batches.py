"""Arrow record batches with a verdict on each row: what warehouses and data frames on clusters call."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from os import PathLike

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from auditor.engine.unit_audit import UnitAuditor
from auditor.errors import UsageError
from auditor.feeds.model import Block
from auditor.feeds.typed_cells import as_text
from auditor.judging.block.feed_plan import plan_of_fields
from auditor.judging.statements import place_of
from auditor.programs.books import book_asked
from auditor.programs.offers_of_blocks import offers_of_block, with_offers
from auditor.programs.spooled import plain_array
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import GRADES

_TOLD = ("rule", "grade", "field", "stated", "derived", "message", "key")
ADDED = pa.schema([("verdict", pa.string()), ("grade", pa.string()), ("findings", pa.string())])


def verdict_batches(
    batches: Iterable[pa.RecordBatch],
    *,
    book: RuleBook | None = None,
    rules: str | PathLike[str] | None = None,
    policy: str | PathLike[str] | None = None,
    hold_from: str | None = None,
    market: str | None = None,
) -> Iterator[pa.RecordBatch]:
    """The batches with three columns more: what becomes of each row by itself, whatever other rows hold.

    Columns are known by the names of the listing contract; all others are passed on as they are.  Added are
    `verdict` (release or hold), `grade` (the worst one, null where nothing was found) and `findings` (a JSON array of
    rule, grade, field, stated, derived, message and key; null where there is none), all of text.
    Keywords are those of `audit_listing`.  Raises UsageError where no column is a field of the contract.

    >>> import pyarrow as pa
    >>> from auditor import verdict_batches
    >>> offers = pa.record_batch({"id": [1, 2], "marking": ["225/65R17 102H"] * 2, "max_load_kg": [850, 950]})
    >>> next(verdict_batches([offers]))["verdict"].to_pylist()
    ['release', 'hold']
    """
    book = book_asked(book, rules, policy, hold_from, market)
    held = pa.array([*(grade in book.held_grades() for grade in GRADES), False])
    auditor = UnitAuditor(book)
    known = set(auditor.contract.fields)
    for batch in batches:
        fields = sorted(set(batch.schema.names) & known, key=place_of)
        if not fields:
            named = ", ".join(batch.schema.names[:8])
            raise UsageError(f"None of the columns ({named}) is a listing field; rename those that are.")
        yield _judged(batch, auditor, fields, held)


def _judged(batch: pa.RecordBatch, auditor: UnitAuditor, fields: list[str], held: pa.Array) -> pa.RecordBatch:
    columns = [as_text(plain_array(batch.column(name))) for name in fields]
    plan, block = plan_of_fields(fields), Block(0, columns, np.arange(1, batch.num_rows + 1))
    st = auditor.statements(plan, block)
    result, offers = auditor.audit_statements(plan, st, block), offers_of_block(plan, st)
    worst = pa.array(np.minimum(result.worst, offers.worst))
    added = [
        pc.if_else(held.take(worst), "hold", "release"),
        pa.array([*GRADES, None], pa.string()).take(worst),
        _findings(with_offers(result.findings, offers), batch.num_rows),
    ]
    return pa.RecordBatch.from_arrays(
        [*batch.columns, *added], schema=pa.schema([*batch.schema, *ADDED], batch.schema.metadata)
    )


def _findings(table: pa.Table | None, count: int) -> pa.Array:
    """The findings of each row as a JSON array."""
    if table is None:
        return pa.nulls(count, pa.string())
    texts = [json.dumps(row, ensure_ascii=False) for row in table.select(list(_TOLD)).to_pylist()]
    grouped = pa.table({"record": table["record"], "text": texts}).group_by("record", use_threads=False)
    lists = grouped.aggregate([("text", "list")])
    joined = pc.binary_join(lists["text_list"].combine_chunks(), ",")
    made = pc.binary_join_element_wise("[", joined, "]", "")
    return made.take(pc.index_in(pa.array(np.arange(1, count + 1)), lists["record"].combine_chunks()))
