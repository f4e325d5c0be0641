"""A file in any supplier's dialect becomes Arrow columns of text with exact record numbers, and is split again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from auditor.feeds.locate import Located, find_feeds
    from auditor.feeds.mapping import MapBook, load_maps
    from auditor.feeds.model import Feed, Limits
    from auditor.feeds.opening import open_feeds, propose_for
    from auditor.feeds.proposal_text import format_proposal
    from auditor.feeds.splitting import split_feeds

_HOMES = {
    "Feed": "model",
    "Limits": "model",
    "Located": "locate",
    "MapBook": "mapping",
    "find_feeds": "locate",
    "format_proposal": "proposal_text",
    "load_maps": "mapping",
    "open_feeds": "opening",
    "propose_for": "opening",
    "split_feeds": "splitting",
}

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


def __getattr__(name: str) -> Any:
    """Each part is loaded when asked for: whoever knows the format needs no other reader."""
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
