"""What feeds of one layout have in common is kept once: of a folder with 20,000 of them all stay known to the end."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from functools import lru_cache
from typing import TypeVar, cast

from auditor.feeds.model import ColumnUse

T = TypeVar("T", bound=Hashable)
_LAYOUTS = 4096  # remembered
_Key = tuple[str, int, tuple[str, ...], str | None, str | None, tuple[tuple[str, str], ...], float, int | None]


def shared(one: T) -> T:
    """The first of all that are equal to this one."""
    return cast(T, _shared(one))


@lru_cache(maxsize=_LAYOUTS)
def _shared(one: Hashable) -> Hashable:
    return one


def shared_uses(uses: Iterable[ColumnUse]) -> tuple[ColumnUse, ...]:
    """Columns as the first feed of the layout has them; samples, of which an audit tells nothing, are left out."""
    return _shared_uses(
        tuple((*_how(one), tuple(one.translate.items()), one.confidence, one.unit_column) for one in uses)
    )


def _how(one: ColumnUse) -> tuple[str, int, tuple[str, ...], str | None, str | None]:
    return one.column, one.position, one.fields, one.unit, one.decimal


@lru_cache(maxsize=_LAYOUTS)
def _shared_uses(keys: tuple[_Key, ...]) -> tuple[ColumnUse, ...]:
    return tuple(
        ColumnUse(column, position, fields, unit, decimal, dict(translate), confidence, unit_column=units)
        for column, position, fields, unit, decimal, translate, confidence, units in keys
    )
