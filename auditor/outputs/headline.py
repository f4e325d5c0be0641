"""What a night was, in one sentence: the same at the head of the report, the workbook and in the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any


def in_one_sentence(summary: Mapping[str, Any]) -> str:
    """The run in one sentence."""
    totals = summary["totals"]
    feeds, records = len(summary["feeds"]), totals["records"]
    critical = totals["listings_with"]["critical"]
    dispositions = f"{totals['released']:,} released, {totals['held']:,} held"
    start = f"{counted(feeds, 'feed')}, {counted(records, 'listing')}: {dispositions}"
    rejected = f", {totals['rejected']:,} rejected" if totals["rejected"] else ""
    danger = f"; {critical:,} could hurt someone if believed." if critical else "; none of them dangerous."
    return start + rejected + danger


def safety_loosened(said: Sequence[str]) -> str:
    """What own rules or a policy take from safety, in one sentence; empty where they take nothing."""
    return f"Safety is loosened by own rules or policy: {'; '.join(said)}." if said else ""


def counted(count: int, word: str) -> str:
    """A number of things: `1 feed`, `2 feeds`."""
    return f"{count:,} {word}" if count == 1 else f"{count:,} {word}s"
