"""A file in any supplier's dialect becomes Arrow columns of text with exact record numbers, and is split again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from auditor.feeds.locate import Located, find_feeds
    from auditor.feeds.model import Feed, Limits
    from auditor.feeds.splitting import split_feeds

_HOMES = {
    "Feed": "model",
    "Limits": "model",
    "Located": "locate",
    "find_feeds": "locate",
    "split_feeds": "splitting",
}

__all__ = [
    "Feed",
    "Limits",
    "Located",
    "find_feeds",
    "split_feeds",
]


def __getattr__(name: str) -> Any:
    """Each part is loaded when asked for: whoever knows the format needs no other reader."""
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
