"""What is read of a feed: its columns as sources of statements, and texts that stand for every record."""

from __future__ import annotations

import re
from dataclasses import dataclass

from auditor.feeds.model import ColumnUse, Feed
from auditor.judging.statements import Source


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


def plan_feed(feed: Feed, skip: frozenset[str] = frozenset()) -> FeedPlan:
    """Plans a feed from the map in force; fields in `skip` are left unread."""
    sources: list[Source] = []
    uses: list[ColumnUse] = []
    positions: list[int] = []
    for use in feed.mapping.columns:
        name = use.fields[0]
        if name in skip or any(source.field == name for source in sources):
            continue
        sources.append(Source(len(sources), name, use.column))
        uses.append(use)
        positions.append(use.position)
    constants = []
    for name, text in sorted(feed.mapping.constants.items()):
        if all(source.field != name for source in sources):
            constants.append((len(sources), text))
            sources.append(Source(len(sources), name, name))
            uses.append(ColumnUse(name, -1, (name,)))
    return FeedPlan(
        feed.name,
        feed.sheet,
        feed.supplier or _stem(feed.name),
        tuple(sources),
        tuple(uses),
        tuple(positions),
        tuple(constants),
    )


def _stem(name: str) -> str:
    last = name.replace("\\", "/").rstrip("/").rsplit("/", 1)[-1]
    return re.sub(r"(\.[A-Za-z0-9]{1,8}){1,2}$", "", last) or last
