"""What feeds of one layout have in common is kept once: of a folder with 20,000 of them all stay known to the end."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import replace
from functools import lru_cache
from typing import TypeVar, cast

from auditor.feeds.model import ColumnUse

T = TypeVar("T", bound=Hashable)
_LAYOUTS = 4096  # remembered


def shared(one: T) -> T:
    """The first of all that are equal to this one."""
    return cast(T, _shared(one))


@lru_cache(maxsize=_LAYOUTS)
def _shared(one: Hashable) -> Hashable:
    return one


class _Uses:
    """Columns that are equal to others which are read alike and as surely."""

    __slots__ = ("_key", "uses")

    def __init__(self, uses: Iterable[ColumnUse]) -> None:
        self.uses = tuple(replace(one, samples=()) for one in uses)
        self._key = tuple((*one.reads(), one.confidence) for one in self.uses)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Uses) and self._key == other._key

    def __hash__(self) -> int:
        return hash(self._key)


def shared_uses(uses: Iterable[ColumnUse]) -> tuple[ColumnUse, ...]:
    """Columns as the first feed of the layout has them; samples, of which an audit tells nothing, are left out."""
    return shared(_Uses(uses)).uses
