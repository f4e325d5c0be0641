"""What is read of a feed: its columns as sources of statements, and texts that stand for every record."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import pyarrow as pa

from auditor.feeds.known_name import known_supplier, without_dates
from auditor.feeds.model import Block, ColumnUse, Feed, WorkUnit
from auditor.feeds.units_beside import measured_column
from auditor.judging.statements import Source, place_of


@dataclass(frozen=True, slots=True)
class FeedPlan:
    """Which columns of a feed are read, and as what."""

    feed: str
    sheet: str | None
    supplier: str
    sources: tuple[Source, ...]
    uses: tuple[ColumnUse, ...]  # by source place; constants have position -1
    positions: tuple[int, ...]  # column positions to read, in order
    constants: tuple[tuple[int, str], ...] = ()  # source place, text for every record
    known_as: str = ""  # the supplier in the keys of records that name none: the same every night


def plan_feed(feed: Feed, skip: frozenset[str] = frozenset(), *, named: bool = True) -> FeedPlan:
    """Plans a feed from the map in force; fields in `skip` are left unread.

    A feed that is not `named` is a table that a program handed over: nobody gave its file a name.
    """
    chosen: dict[str, ColumnUse] = {}
    for use in feed.mapping.columns:
        if use.fields[0] not in skip:
            chosen.setdefault(use.fields[0], use)
    texts = {name: text for name, text in feed.mapping.constants.items() if name not in chosen}
    chosen |= {name: ColumnUse(name, -1, (name,)) for name in texts}
    fields = sorted(chosen, key=place_of)
    uses = tuple(chosen[name] for name in fields)
    return FeedPlan(
        feed.name,
        feed.sheet,
        feed.supplier or _stem(feed.name),
        _sources(tuple((name, use.column) for name, use in zip(fields, uses, strict=True))),
        uses,
        tuple(use.position for use in uses if use.position >= 0),
        tuple((place, texts[name]) for place, name in enumerate(fields) if name in texts),
        known_supplier(feed) if named else feed.supplier or "",
    )


def planned_blocks(feed: Feed, unit: WorkUnit, plan: FeedPlan) -> Iterator[Block]:
    """The columns that are read of a unit, numbers with the units that stand in columns beside them."""
    read = [use.unit_column for use in plan.uses if use.position >= 0]
    units = [place for place in read if place is not None]
    for block in feed.blocks(unit, (*plan.positions, *units)):
        yield replace(block, columns=_with_units(block.columns, read)) if units else block


def _with_units(columns: Sequence[pa.Array], read: Sequence[int | None]) -> list[pa.Array]:
    """The first columns, each with its units, of which those that there are stand behind all of them."""
    units = iter(columns[len(read) :])
    return [
        column if place is None else measured_column(column, next(units))
        for column, place in zip(columns, read, strict=False)
    ]


@lru_cache(maxsize=4096)  # feeds of one layout share theirs, for all plans of a run are kept
def _sources(columns: tuple[tuple[str, str], ...]) -> tuple[Source, ...]:
    return tuple(Source(place, name, column) for place, (name, column) in enumerate(columns))


def plan_of_fields(fields: Sequence[str]) -> FeedPlan:
    """The plan of a block whose columns are headed by the names of fields; it belongs to no feed."""
    return FeedPlan(
        "",
        None,
        "",
        tuple(Source(place, name, name) for place, name in enumerate(fields)),
        tuple(ColumnUse(name, place, (name,)) for place, name in enumerate(fields)),
        tuple(range(len(fields))),
    )


def _stem(name: str) -> str:
    last = name.replace("\\", "/").rstrip("/").rsplit("/", 1)[-1]
    return without_dates(re.sub(r"(\.[A-Za-z0-9]{1,8}){1,2}$", "", last) or last)
