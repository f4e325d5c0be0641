"""How many records a feed holds, or about how many, so that progress can tell how long it will take."""

from __future__ import annotations

from pathlib import Path

from auditor.feeds.model import Feed

_HEAD_BYTES = 1 << 20
_COUNTED = frozenset(["parquet", "xlsx", "xls", "ods"])
_LINES = frozenset(["csv", "jsonl"])


def estimate_records(feed: Feed) -> tuple[int | None, bool]:
    """(records, whether that is only about right); (None, False) where it cannot be told without reading the feed."""
    if feed.format in _COUNTED:
        counts = [unit.records for unit in feed.units()]
        return (None, False) if None in counts else (sum(count or 0 for count in counts), False)
    path = getattr(feed, "path", None)
    if feed.format in _LINES and isinstance(path, Path):
        return _by_lines(path), True
    return None, False


def _by_lines(path: Path) -> int | None:
    """Two figures' worth of the number of lines, judged by the first ones."""
    with path.open("rb") as file:
        head = file.read(_HEAD_BYTES)
    lines = max(head.count(b"\n"), head.count(b"\r"))
    if lines < 2:
        return None
    size = path.stat().st_size
    if size == len(head):
        return lines
    about = size * lines / len(head)
    return int(float(f"{about:.1e}"))
