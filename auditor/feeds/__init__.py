"""A file in any supplier's dialect becomes Arrow columns of text with exact record numbers, and is split again."""

from __future__ import annotations

from auditor.feeds.locate import Located, find_feeds
from auditor.feeds.mapping import MapBook, load_maps
from auditor.feeds.model import Feed, Limits
from auditor.feeds.opening import open_feeds, propose_for
from auditor.feeds.proposal_text import format_proposal
from auditor.feeds.splitting import split_feeds

__all__ = [
    "Feed",
    "Limits",
    "Located",
    "MapBook",
    "find_feeds",
    "format_proposal",
    "load_maps",
    "open_feeds",
    "propose_for",
    "split_feeds",
]
