"""What is read of a feed: its columns as sources of statements, and texts that stand for every record."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import pyarrow as pa

from auditor.feeds.known_name import known_supplier, without_dates
from auditor.feeds.model import Block, ColumnUse, Feed, WorkUnit
from auditor.feeds.units_beside import measured_column, texts_in_one, without_label
from auditor.judging.statements import Source, place_of

_TEXT = "description"  # the field of which a feed may have several columns: further texts, points


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
    further_texts: tuple[int, ...] = ()  # column positions of sales texts that are read behind the first


def plan_feed(feed: Feed, skip: frozenset[str] = frozenset(), *, named: bool = True) -> FeedPlan:
    """Plans a feed from the map in force; fields in `skip` are left unread.

    A feed that is not `named` is a table that a program handed over: nobody gave its file a name.
    """
    chosen: dict[str, ColumnUse] = {}
    further: list[ColumnUse] = []
    for use in feed.mapping.columns:
        if use.fields[0] not in skip and chosen.setdefault(use.fields[0], use) is not use and use.fields[0] == _TEXT:
            further.append(use)
    texts = {name: text for name, text in feed.mapping.constants.items() if name not in chosen}
    chosen |= {name: ColumnUse(name, -1, (name,)) for name in texts}
    fields = sorted(chosen, key=place_of)
    uses = tuple(chosen[name] for name in fields)
    return FeedPlan(
        feed.name,
        feed.sheet,
        feed.supplier or _stem(feed.name),
        _sources(tuple((name, _headed(use, further)) for name, use in zip(fields, uses, strict=True))),
        uses,
        tuple(use.position for use in uses if use.position >= 0),
        tuple((place, texts[name]) for place, name in enumerate(fields) if name in texts),
        known_supplier(feed) if named else feed.supplier or "",
        tuple(use.position for use in further),
    )


def planned_blocks(feed: Feed, unit: WorkUnit, plan: FeedPlan) -> Iterator[Block]:
    """The columns that are read of a unit, each with what stands in columns beside it: units, or further texts."""
    used = [use for use in plan.uses if use.position >= 0]
    beside = [_beside(use, plan) for use in used]
    more = [place for places in beside for place in places]
    labelled = any(use.label for use in used)
    for block in feed.blocks(unit, (*plan.positions, *more)):
        columns = _without_labels(block.columns, used) if labelled else block.columns
        yield replace(block, columns=_joined(columns, used, beside)) if more or labelled else block


def _without_labels(columns: Sequence[pa.Array], used: Sequence[ColumnUse]) -> list[pa.Array]:
    """The columns that are read, without the names that their cells begin with, and those beside them."""
    read = [
        without_label(column, use.label) if use.label else column for column, use in zip(columns, used, strict=False)
    ]
    return [*read, *columns[len(used) :]]


def _beside(use: ColumnUse, plan: FeedPlan) -> tuple[int, ...]:
    if use.unit_column is not None:
        return (use.unit_column,)
    return plan.further_texts if use.fields[0] == _TEXT else ()


def _joined(
    columns: Sequence[pa.Array], used: Sequence[ColumnUse], beside: Sequence[tuple[int, ...]]
) -> list[pa.Array]:
    """The first columns, each with those beside it, all of which stand behind the first in that order."""
    more = iter(columns[len(used) :])
    joined = []
    for column, use, places in zip(columns, used, beside, strict=False):
        rest = [next(more) for _ in places]
        if rest:
            column = texts_in_one(column, rest) if use.unit_column is None else measured_column(column, rest[0])
        joined.append(column)
    return joined


def _headed(use: ColumnUse, further: Sequence[ColumnUse]) -> str:
    """The feed's own header; of several sales texts that are read as one those of all."""
    return ", ".join([use.column, *(one.column for one in further)]) if use.fields[0] == _TEXT else use.column


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
