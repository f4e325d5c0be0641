"""The parts of a marking, as the report draws them."""

from __future__ import annotations


def parts_of(marking: str) -> list[tuple[str, str, str]]:
    """(characters, what they are, what they mean) of each part of a canonical marking, in reading order."""
    return []
