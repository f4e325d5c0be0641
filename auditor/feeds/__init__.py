"""A file in any supplier's dialect becomes Arrow columns of text with exact record numbers, and goes back split."""

from __future__ import annotations

from auditor.feeds.locate import Located, find_feeds
from auditor.feeds.model import Feed, Limits
from auditor.feeds.opening import open_feeds

__all__ = ["Feed", "Limits", "Located", "find_feeds", "open_feeds"]
