"""Which listings are tied by an offer that lacks something: both ends can tell of the other."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from auditor.across.facts import CELLS, RULES
from auditor.across.spool import MappedRows, RowStore, take_rows

Rows = npt.NDArray[np.int64]
_AT_ONCE = 1 << 18
_LINK = np.dtype(
    [
        ("record", "<i8"),  # of the listing that makes the offer
        ("other", "<i8"),  # of the listing that is named
        ("feed", "<i4"),
        ("other_feed", "<i4"),
        ("rule", "i1"),  # place in facts.RULES
        ("replaces", "i1"),  # whether the listing that makes the offer is the new tire
    ],
    align=True,
)


class OfferLink(NamedTuple):
    """One end of an offer: a listing, the listing at the other end, and what the new tire lacks."""

    feed: int
    record: int
    other_feed: int
    other_record: int
    check: str  # place of the rule among the checks
    is_new: bool  # whether this end is the tire that stands in for the other


class OfferLinks:
    """Keeps the ends of offers in a file, and gives those of the listings asked for."""

    def __init__(self, folder: Path) -> None:
        self._store = RowStore(folder / "offer-links", _LINK)

    def add(
        self,
        hits: npt.NDArray[Any],
        base: MappedRows,
        feed_of: Callable[[Rows], Rows],
        numbers: Sequence[int],
    ) -> None:
        """Keeps offers that name a listing; `numbers` are those of feeds by their places."""
        hits = take_rows(hits, hits["other"] >= 0)
        if len(hits) == 0:
            return
        links, feeds = np.zeros(len(hits), dtype=_LINK), np.array(numbers)
        for record, feed, row in (("record", "feed", hits["row"]), ("other", "other_feed", hits["other"])):
            links[record], links[feed] = base.pick(row)["record"], feeds[feed_of(row)]
        links["rule"] = hits["rule"]
        links["replaces"] = (hits["cell"] != CELLS.index("substitutes")) & (hits["by_file"] == 0)
        self._store.add(links)

    def of(self, listings: Iterable[tuple[int, int]]) -> Iterator[OfferLink]:
        """The ends at some listings, given by feed and record, in the order of the offers."""
        wanted = np.unique(np.array([_number(*listing) for listing in listings], dtype=np.int64))
        rows = self._store.read()
        for start in range(0, len(rows) if len(wanted) else 0, _AT_ONCE):
            links = rows.stretch(start, start + _AT_ONCE)
            here = np.isin(_number(links["feed"].astype(np.int64), links["record"]), wanted)
            there = np.isin(_number(links["other_feed"].astype(np.int64), links["other"]), wanted)
            for place in np.flatnonzero(here | there).tolist():
                record, other, feed, other_feed, rule, replaces = links[place].tolist()
                if here[place]:
                    yield OfferLink(feed, record, other_feed, other, RULES[rule], bool(replaces))
                if there[place]:
                    yield OfferLink(other_feed, other, feed, record, RULES[rule], not replaces)


def _number(feed: Any, record: Any) -> Any:
    """One number for a listing: a feed has fewer than 2^40 records."""
    return feed << 40 | record
