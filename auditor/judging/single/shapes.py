"""What follows from the names of a listing's cells alone: kept, since the listings of a shop have few sets of names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from auditor.judging.statements import MARKING_TEXTS, TEXTS, Source, cell_fields
from auditor.quantities.own_measures import OwnKind


@dataclass(frozen=True, slots=True, eq=False)  # one object per set of names: it can key what is kept
class Shape:
    """The sources of listings whose cells have the same names in the same order."""

    sources: tuple[Source, ...]
    first: dict[str, Source]  # the first source of each field
    positions: dict[str, int]  # the same, as places
    measured: tuple[tuple[int, str, OwnKind | None], ...]  # cells that are read into values
    markings: tuple[Source, ...]
    texts: tuple[Source, ...]  # titles and descriptions
    others: tuple[int, ...]


@lru_cache(maxsize=512)
def shape_of(names: Sequence[tuple[str, str]], own: Sequence[tuple[str, OwnKind]]) -> Shape:
    """The shape of cells by field and header; `own` are a retailer's own fields that hold quantities."""
    sources = tuple(Source(position, field, header) for position, (field, header) in enumerate(names))
    first = {source.field: source for source in reversed(sources)}
    kinds = dict(own)
    measured = [source for source in sources if source.field in cell_fields() or source.field in kinds]
    texts = MARKING_TEXTS + TEXTS
    return Shape(
        sources,
        first,
        {field: source.position for field, source in first.items()},
        tuple((source.position, source.field, kinds.get(source.field)) for source in measured),
        tuple(source for source in sources if source not in measured and source.field in MARKING_TEXTS),
        tuple(source for source in sources if source not in measured and source.field in TEXTS),
        tuple(source.position for source in sources if source not in measured and source.field not in texts),
    )
