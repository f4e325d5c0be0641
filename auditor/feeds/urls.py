"""Places that may be folders of this machine or URLs."""

from __future__ import annotations

from pathlib import Path


def is_url(place: str | Path) -> bool:
    """Whether a place is given as a URL."""
    return "://" in str(place)


def folder_or_url(text: str) -> str | Path:
    """A folder of this machine, or the URL as it is."""
    return text if is_url(text) else Path(text)
