"""What a ledger is shown of a run: its deliveries and its findings, as plain columns."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.engine.feed_run import FeedRun
from auditor.engine.totals import feed_counts
from auditor.feeds.known_name import known_folder, known_name, map_name
from auditor.judging.block.feed_plan import planned_blocks
from auditor.ledger.deliveries import Delivery
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import GRADES

_LONGEST_TEXT = 500  # characters of a value that the ledger keeps
_ALWAYS_NEEDED = ("supplier", "sku", "part_number", "gtin", "brand", "marking", "size", "service_description")
_TEXTS = ("title", "description")
_SAME_RATIO = 0.01  # how far ratios of stated to derived differ within one repeated mistake
_OF_GROUP = ("supplier", "column", "field", "rule")  # that all findings of a repeated mistake share
_NO_ROWS: npt.NDArray[np.int64] = np.zeros(0, dtype=np.int64)
_IDENTIFIERS = ("sku", "part_number", "gtin")


def needed_fields(book: RuleBook) -> frozenset[str]:
    """Fields that some rule in force looks at, or that listings are known by."""
    fields = {*_ALWAYS_NEEDED, *_TEXTS, *book.characteristic_of}
    for rule in book.rules:
        fields.update(rule.fields)
        fields.update(name for pair in rule.pairs for name in (pair.stated, pair.other) if name)
        if rule.demand is not None:
            fields.update(rule.demand.fields())
    return frozenset(fields)


def delivery_of(run: FeedRun, book: RuleBook) -> Delivery:
    """What came of a feed, its held listings by grade alone: decisions do not change what was delivered."""
    feed = run.feed
    counts = feed_counts(run, book)
    columns: dict[str, str] = {}
    for use in feed.mapping.columns:
        for name in use.fields:
            columns.setdefault(name, use.column)
    folder, bare = known_folder(feed.name), known_name(feed.name)
    sheet = known_name(feed.sheet) if feed.sheet is not None else ""
    inside = f" ({sheet})" if sheet else ""
    return Delivery(
        short=(map_name(feed.mapping) or bare or folder or "feed") + inside,
        file="/".join(part for part in (folder, bare) if part) + inside,
        supplier=run.plan.supplier,
        records=counts["records"],
        held=counts["held"],
        map=feed.mapping.name,
        columns=columns,
        sha256=(run.sha256(),),
        changes=feed.mapping.changes,
        runs=[run.number],
    )


def ledger_rows(run: int, feed: int, table: pa.Table, named: Sequence[str]) -> dict[str, Sequence[Any]]:
    """A table of findings as the ledger takes it; `named` are the keys of the repeated mistakes they belong to."""
    return {**_rows(run, feed, table), "in_column": [""] * table.num_rows, "in_group": named}


def folded_rows(run: int, feed: int, table: pa.Table) -> dict[str, Sequence[Any]]:
    """A table of findings that are folded under one of their column."""
    return {**_rows(run, feed, table), "in_column": table["column_key"].to_pylist(), "in_group": [""] * table.num_rows}


def _rows(run: int, feed: int, table: pa.Table) -> dict[str, Sequence[Any]]:
    count = table.num_rows
    texts = {name: _text(table[name]) for name in ("key", "supplier", "rule", "field", "stated", "derived", "marking")}
    grades = pc.index_in(table["grade"], value_set=pa.array(list(GRADES)))
    return {
        "run": [run] * count,
        "record": table["record"].to_pylist(),
        "feed": [feed] * count,
        "listing": _listings(table).to_pylist(),
        "grade": grades.to_pylist(),
        **{name: column.to_pylist() for name, column in texts.items()},
    }


def in_groups(table: pa.Table, repeated: Sequence[Mapping[str, Any]]) -> list[str]:
    """For each finding the key of the repeated mistake that it belongs to, or nothing."""
    named = np.full(table.num_rows, "", dtype=object)
    groups = [group for group in repeated if not group["folded"]] if table.num_rows else []
    if not groups:
        return named.tolist()
    deviations = table["deviation"].to_numpy()
    known = np.isfinite(deviations)
    texts = {name: _coded(table[name]) for name in (*_OF_GROUP, "stated", "likely_cause")}
    rows_of = _rows_by_group(texts)
    for group in groups:  # of thousands each looks at the few rows that may be its own
        mine = rows_of.get(tuple(texts[name].places.get(group[name], -1) for name in _OF_GROUP), _NO_ROWS)
        mine = mine[named[mine] == ""]
        if group["direction"]:
            mine = mine[~known[mine] | ((deviations[mine] > 0) == (group["direction"] == "above"))]
        if group["stated"] is not None:
            mine = mine[texts["stated"].codes[mine] == texts["stated"].places.get(group["stated"], -1)]
        elif group["factor"] is not None:
            off = np.abs(deviations[mine] + 1 - group["factor"])
            mine = mine[known[mine] & (off <= _SAME_RATIO * group["factor"])]
        else:
            mine = mine[texts["likely_cause"].codes[mine] == texts["likely_cause"].places.get(group["cause"], -1)]
            if group["reason"] is not None:
                mine = mine[~known[mine]]
        named[mine] = group["key"]
    return named.tolist()


class _Coded(NamedTuple):
    """A column of texts as numbers."""

    codes: npt.NDArray[np.int64]
    places: dict[str, int]  # text -> its number


def _coded(column: pa.ChunkedArray) -> _Coded:
    coded = pc.fill_null(column.cast(pa.string()), "").combine_chunks().dictionary_encode()
    places = {text: place for place, text in enumerate(coded.dictionary.to_pylist())}
    return _Coded(coded.indices.to_numpy().astype(np.int64), places)


def _rows_by_group(texts: Mapping[str, _Coded]) -> dict[tuple[int, ...], npt.NDArray[np.int64]]:
    """Numbers of supplier, column, field and rule -> the findings that have them, in their order."""
    columns = [texts[name].codes for name in _OF_GROUP]
    order = np.lexsort(columns)
    cuts = np.logical_or.reduce([np.diff(column[order]) != 0 for column in columns])
    parts = np.split(order, np.flatnonzero(cuts) + 1)
    return {tuple(int(column[part[0]]) for column in columns): part for part in parts}


def _text(column: Any) -> Any:
    """A column of texts for a database: never null, never endless, without the one character it cannot hold."""
    short = pc.utf8_slice_codeunits(pc.fill_null(column.cast(pa.string()), ""), 0, _LONGEST_TEXT)
    return pc.replace_substring(short, "\x00", "")


def _listings(table: pa.Table) -> Any:
    """What a finding's listing is known by: its first identifier that is filled, else its marking."""
    found: Any = pa.chunked_array([pa.repeat("", table.num_rows)])
    for name in (*_IDENTIFIERS, "marking"):
        texts = pc.utf8_trim_whitespace(_text(table[name]))
        named = pc.and_(pc.equal(found, ""), pc.not_equal(texts, ""))
        found = pc.if_else(named, pc.binary_join_element_wise(f"{name}=", texts, ""), found)
    return found


def listing_cells(run: FeedRun, record: int) -> dict[str, str]:
    """The filled cells of one record by field, and what stands for every record of its feed."""
    plan = run.plan
    found = {plan.sources[place].field: text for place, text in plan.constants}
    read = [source.field for source, use in zip(plan.sources, plan.uses, strict=True) if use.position >= 0]
    for unit in run.feed.units():
        if unit.first_record > record:
            break
        if unit.records is not None and unit.first_record + unit.records <= record:
            continue
        for block in planned_blocks(run.feed, unit, plan):
            rows = np.flatnonzero(block.records == record)
            for row in rows.tolist():
                cells = {name: column[row].as_py() for name, column in zip(read, block.columns, strict=True)}
                return found | {name: text for name, text in cells.items() if text}
    return found


def listings_of(run: FeedRun) -> Iterator[Sequence[str]]:
    """What the listings of a feed are known by, a block at a time; those without an identifier are left out."""
    positions = {source.field: use.position for source, use in zip(run.plan.sources, run.plan.uses, strict=True)}
    names = [name for name in _IDENTIFIERS if positions.get(name, -1) >= 0]
    wanted = [positions[name] for name in names]
    for unit in run.feed.units() if names else ():
        for block in run.feed.blocks(unit, wanted):
            cells = {name: column.cast(pa.string()) for name, column in zip(names, block.columns, strict=True)}
            missing = {name: pa.nulls(len(block.records), pa.string()) for name in (*_IDENTIFIERS, "marking")}
            known = _listings(pa.table({**missing, **cells}))
            yield known.filter(pc.not_equal(known, "")).to_pylist()
