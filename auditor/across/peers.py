"""Load indices beside those of the other listings of the size: counts that fit into memory, or into buckets."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.across.spool import BUCKETS, Buckets, take_rows
from auditor.across.text_numbers import mixed

COUNT = np.dtype([("group", "<u8"), ("index", "<i8"), ("brand", "<u8"), ("count", "<i8")])
ODD = np.dtype(
    [("group", "<u8"), ("index", "<i8"), ("brand", "<u8"), ("mode", "<i8"), ("agree", "<i8"), ("peers", "<i8")]
)
FEWEST_PEERS = 10
FEWEST_BRANDS = 2
LEAST_STEPS = 2
_IN_MEMORY = 250_000
_SUMMED_AT_ONCE = 1_000  # rows


class PeerCounts:
    """How many listings of a group state which load index, by brand."""

    def __init__(self, folder: Path, in_memory: int = _IN_MEMORY) -> None:
        self._most = in_memory
        self._parts: list[npt.NDArray[Any]] = []
        self._waiting = 0
        self._buckets = Buckets(folder, "peers", COUNT)
        self._spilled = False

    def take(self, rows: npt.NDArray[Any], times: int = 1) -> None:
        """Counts rows of facts.ROW; with -1 they are taken back."""
        having = rows["group"] != 0
        rows = rows if having.all() else take_rows(rows, having)
        if len(rows) == 0:
            return
        counts = np.empty(len(rows), dtype=COUNT)
        counts["group"], counts["index"], counts["brand"] = rows["group"], rows["mark"]["index"], rows["brand"]
        counts["count"] = times
        # Few are summed with others later: by themselves they would cost as much as all of these.
        self._keep(summed(counts) if len(counts) >= _SUMMED_AT_ONCE else counts)

    def _keep(self, counts: npt.NDArray[Any]) -> None:
        self._parts.append(counts)
        self._waiting += len(counts)
        if self._waiting > self._most:
            merged = summed(np.concatenate(self._parts))
            self._parts, self._waiting = [merged], len(merged)
            if len(merged) > self._most // 2:
                self._spill()

    def _spill(self) -> None:
        for part in self._parts:
            self._buckets.add(part, (part["group"] % np.uint64(BUCKETS)).astype(np.uint8))
        self._parts, self._waiting, self._spilled = [], 0, True

    def odd(self) -> npt.NDArray[Any]:
        """All (group, index, brand) whose listings stand apart, as rows of ODD, ordered by `triple_number`."""
        if self._spilled:
            self._spill()
            parts = [peers_standing_apart(summed(self._buckets.read(bucket))) for bucket in self._buckets.numbers()]
        else:
            parts = [peers_standing_apart(summed(np.concatenate(self._parts)))] if self._parts else []
        found = np.concatenate(parts) if parts else np.zeros(0, dtype=ODD)
        return found[np.argsort(triple_number(found["group"], found["index"], found["brand"]), kind="stable")]


def triple_number(group: Any, index: Any, brand: Any) -> Any:
    """One number for (group, index, brand)."""
    return mixed(group ^ mixed(brand ^ mixed(index.astype(np.uint64))))


def summed(counts: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """Counts added up over equal (group, index, brand)."""
    number = triple_number(counts["group"], counts["index"], counts["brand"])
    order = np.argsort(number)
    number = number[order]
    starts = np.flatnonzero(np.append(True, number[1:] != number[:-1])) if len(number) else np.zeros(0, dtype=np.int64)
    result = take_rows(counts, order[starts])
    if len(starts):
        result["count"] = np.add.reduceat(counts["count"][order], starts)
        if (result["count"] == 0).any():
            result = take_rows(result, result["count"] != 0)
    return result


def peers_standing_apart(counts: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """The (group, index, brand) that stand apart from at least ten peers of two brands, four fifths of one mind.

    A listing stands alone: where another one states the same index, the size may be made with both.
    """
    counts = take_rows(counts, np.lexsort((counts["brand"], counts["index"], counts["group"])))
    if len(counts) == 0:
        return np.zeros(0, dtype=ODD)
    group, group_starts = _numbered(counts["group"])
    per_row, index_starts = _numbered(group * 1000 + counts["index"])
    per_index = np.add.reduceat(counts["count"], index_starts)
    total = np.add.reduceat(counts["count"], group_starts)
    # The most frequent index of each group; it has to hold four fifths, so ties never matter.
    by_count = np.lexsort((per_index, group[index_starts]))
    last = np.append(np.flatnonzero(np.diff(group[index_starts][by_count])), len(by_count) - 1)
    top = by_count[last]
    mode, most = counts["index"][index_starts][top][group], per_index[top][group]
    brands, singles = _brands(counts, group, len(group_starts))
    peers = total[group] - 1
    odd = (peers >= FEWEST_PEERS) & (most * 5 >= peers * 4) & (np.abs(counts["index"] - mode) >= LEAST_STEPS)
    odd &= (brands[group] - singles >= FEWEST_BRANDS) & (per_index[per_row] == 1)
    result = np.empty(int(odd.sum()), dtype=ODD)
    for name in ("group", "index", "brand"):
        result[name] = counts[name][odd]
    result["mode"], result["agree"], result["peers"] = mode[odd], most[odd], peers[odd]
    return result


def _numbered(values: Any) -> tuple[Any, Any]:
    """(number of each stretch of equal values, first place of each stretch)."""
    new = np.append(True, values[1:] != values[:-1])
    return np.cumsum(new) - 1, np.flatnonzero(new)


def _brands(counts: npt.NDArray[Any], group: Any, groups: int) -> tuple[Any, Any]:
    """(known brands per group, per row 1 where its brand has no other listing in the group)."""
    order = np.lexsort((counts["brand"], group))
    brand, owner = counts["brand"][order], group[order]
    new = np.append(True, (brand[1:] != brand[:-1]) | (owner[1:] != owner[:-1]))
    starts = np.flatnonzero(new)
    listings = np.add.reduceat(counts["count"][order], starts)
    brands = np.bincount(owner[starts][brand[starts] != 0], minlength=groups)
    singles = np.empty(len(counts), dtype=np.int64)
    singles[order] = (listings == 1)[np.cumsum(new) - 1]
    return brands, np.where(counts["brand"] == 0, 0, singles)


def find_odd(rows: npt.NDArray[Any], odd: npt.NDArray[Any]) -> tuple[Any, Any]:
    """(places of rows that stand apart, places of what they are in `odd`)."""
    numbers = triple_number(odd["group"], odd["index"], odd["brand"])
    index = rows["mark"]["index"].astype(np.int64)
    own = triple_number(rows["group"], index, rows["brand"])
    position = np.minimum(np.searchsorted(numbers, own), len(numbers) - 1)
    same = (odd["group"][position] == rows["group"]) & (odd["index"][position] == index)
    same &= odd["brand"][position] == rows["brand"]
    hits = np.flatnonzero(same)
    return hits, position[hits]
