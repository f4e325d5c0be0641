"""What a night was, in one sentence: the same at the head of the report, the workbook and in the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any


def in_one_sentence(summary: Mapping[str, Any]) -> str:
    """The run in one sentence."""
    totals = summary["totals"]
    feeds, records = len(summary["feeds"]), totals["records"] - totals.get("furniture", 0)
    critical = totals["listings_with"]["critical"]
    dispositions = f"{totals['released']:,} released, {totals['held']:,} held"
    start = f"{counted(feeds, 'feed')}, {counted(records, 'listing')}: {dispositions}"
    rejected = f", {totals['rejected']:,} rejected" if totals["rejected"] else ""
    if critical:
        danger = f"; {critical:,} could hurt someone if believed."
    elif summary["unread_columns"] or summary["unreadable_feeds"]:
        danger = "; nothing dangerous in what was read, but not all was read."
    else:
        danger = "; none of them dangerous."
    return start + rejected + danger


def unread_first(summary: Mapping[str, Any], most: int = 3) -> str:
    """The columns that matter and were not read, in one sentence; empty where there are none."""
    unread = summary["unread_columns"]
    if not unread:
        return ""
    named = [f"{column['header']!r} in {_feed(column)}" for column in unread[:most]]
    more = f" and {len(unread) - most:,} more" if len(unread) > most else ""
    return f"NOT READ: {counted(len(unread), 'column')} that may hold a danger: {', '.join(named)}{more}."


def _feed(column: Mapping[str, Any]) -> str:
    return f"{column['feed']} ({column['sheet']})" if column["sheet"] else str(column["feed"])


def safety_loosened(said: Sequence[str]) -> str:
    """What own rules or a policy take from safety, in one sentence; empty where they take nothing."""
    return f"Safety is loosened by own rules or policy: {'; '.join(said)}." if said else ""


def counted(count: int, word: str) -> str:
    """A number of things: `1 feed`, `2 feeds`."""
    return f"{count:,} {word}" if count == 1 else f"{count:,} {word}s"
