"""Records of several small feeds in one block: each record knows which feed it is of.

Most of what a block costs does not depend on how many records it holds, so feeds of a few records are judged together.
What a feed is known by is kept apart: the suppliers of one feed are other ones than those of the next.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.judging.block.feed_plan import FeedPlan

_MARK = "\0"  # between a feed's place and a supplier's name


class JoinedFeeds(NamedTuple):
    """The feeds whose records stand in one block, feed after feed."""

    plans: Sequence[FeedPlan]  # alike but for what the feeds and their suppliers are called
    of_record: npt.NDArray[np.int64]  # place of each record's feed

    def suppliers(self, rows: npt.NDArray[np.int64]) -> pa.Array:
        """The suppliers of the feeds of some records."""
        return pa.array([plan.supplier for plan in self.plans], pa.string()).take(pa.array(self.of_record[rows]))

    def known_as(self, rows: npt.NDArray[np.int64]) -> pa.Array:
        """The same, as they stand in keys."""
        return pa.array([plan.known_as for plan in self.plans], pa.string()).take(pa.array(self.of_record[rows]))

    def at(self, rows: npt.NDArray[np.int64]) -> JoinedFeeds:
        """The feeds of some records."""
        return JoinedFeeds(self.plans, self.of_record[rows])

    def supplied_by(self, names: Collection[str]) -> npt.NDArray[np.bool_]:
        """Whether the feed of each record is of one of some suppliers."""
        return np.array([plan.supplier in names for plan in self.plans], dtype=np.bool_)[self.of_record]

    def apart(
        self, texts: pa.Array | None, codes: npt.NDArray[np.int64] | None
    ) -> tuple[pa.Array, npt.NDArray[np.int64]]:
        """(names with the mark of their feed, place of each record's), of the suppliers as listed, where they are."""
        listed = [""] if texts is None else texts.to_pylist()
        wide = self.of_record * len(listed) + (0 if codes is None else codes)
        found, first, inverse = np.unique(wide, return_index=True, return_inverse=True)
        order = np.argsort(first)  # as they come in each feed
        places = np.empty(len(order), dtype=np.int64)
        places[order] = np.arange(len(order))
        names = []
        for one in found[order].tolist():
            feed, place = divmod(one, len(listed))
            names.append(f"{feed}{_MARK}{listed[place] if listed[place].strip() else self.plans[feed].supplier}")
        return pa.array(names, pa.string()), places[inverse]


def feed_and_supplier(name: str) -> tuple[int, str]:
    """The place of a feed, and the name of a supplier in it."""
    feed, _, supplier = name.partition(_MARK)
    return int(feed), supplier
