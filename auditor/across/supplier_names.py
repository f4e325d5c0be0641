"""How suppliers are called: as their first listing of the run has it, whoever asks and whatever was judged before."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.across.offer_hits import Fetch


class SupplierNames:
    """Names by the numbers of suppliers, read when they are first asked for."""

    def __init__(self) -> None:
        self._first: dict[int, tuple[int, int]] = {}  # feed and record of the first listing
        self._names: dict[int, str] = {}

    def take(self, feed: int, rows: npt.NDArray[Any]) -> None:
        """Takes in listings of a feed; feeds and records come in order."""
        numbers, at = np.unique(rows["supplier"], return_index=True)
        for number, record in zip(numbers.tolist(), rows["record"][at].tolist(), strict=True):
            self._first.setdefault(number, (feed, record))

    def forget(self, feed: int) -> None:
        """Forgets the listings of the feed taken last."""
        self._first = {number: first for number, first in self._first.items() if first[0] != feed}

    def learn(self, numbers: Iterable[int], fetch: Fetch) -> None:
        """Reads the names of some suppliers."""
        by_feed: dict[int, dict[int, int]] = {}
        for number in numbers:
            if number not in self._names:
                feed, record = self._first[number]
                by_feed.setdefault(feed, {})[record] = number
        for feed, suppliers in sorted(by_feed.items()):
            records = sorted(suppliers)
            found = fetch(feed, np.array(records), frozenset())["supplier"].to_pylist()
            for record, name in zip(records, found, strict=True):
                self._names[suppliers[record]] = name.strip()

    def __getitem__(self, number: int) -> str:
        return self._names[number]
