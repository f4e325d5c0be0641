"""Which column of a feed holds what, in which unit: maps as written by people, and proposals where there is none."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from auditor.mapping.maps import MapBook, load_maps
    from auditor.mapping.opening import open_feeds, propose_for
    from auditor.mapping.proposal_text import format_proposal

_HOMES = {
    "MapBook": "maps",
    "format_proposal": "proposal_text",
    "load_maps": "maps",
    "open_feeds": "opening",
    "propose_for": "opening",
}

__all__ = ["MapBook", "format_proposal", "load_maps", "open_feeds", "propose_for"]


def __getattr__(name: str) -> Any:
    """Each part is loaded when asked for: whoever has a map needs no proposal."""
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
