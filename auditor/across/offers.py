"""Offers of one tire in place of another, joined over a whole run and compared: the same or higher.

Entries lie in files in buckets by the SKU that they name, beside the rows that have it, so that memory does not grow
with the catalog.  Tires are numbers until they are compared; each distinct marking is read once, each distinct pair of
markings compared once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.across.block_offers import ALL_FIELDS, ENTRY, BlockOffers
from auditor.across.pair_file import PAIRS, PairFile
from auditor.across.sku_catalog import SkuCatalog
from auditor.across.spool import Buckets, MappedRows, bucket_of, take_rows
from auditor.across.tire_table import TireTable
from auditor.judging.vocabulary import arrays
from auditor.rulebook.book import RuleBook
from auditor.substitution.comparison import compare
from auditor.substitution.limits import CANNOT_TELL, limits_for
from auditor.substitution.offers import LACKING, Gravity

Rows = npt.NDArray[np.int64]
_SUBSTITUTES = ALL_FIELDS.index("substitutes")
_CHUNK = 1 << 16  # pairs compared at once: they stay in the processor's cache
_MOST_ENTRIES = 1 << 19  # joined at once
_EXAMPLES = 5
FOUND = np.dtype(
    [
        ("row", "<i8"),  # of the listing that makes the offer
        ("other", "<i8"),  # of the listing that is named; -1 where the entry is a marking
        ("old", "<u8"),
        ("new", "<u8"),
        ("place", "<i4"),
        ("field", "i1"),
        ("lacks", "i1"),  # place in LACKING
    ],
    align=True,
)
"""An offer that lacks something: one row per entry."""


@dataclass(slots=True)
class OfferCounts:
    """What became of the offers of one feed."""

    answers: Counter[str] = field(default_factory=Counter)  # yes, no, cannot tell
    untold: Counter[str] = field(default_factory=Counter)  # check -> offers of which it cannot be told
    unknown: int = 0  # entries that are no SKU of the run and no marking
    examples: list[tuple[int, int, int]] = field(default_factory=list)  # row, field and place of some of these
    unknown_texts: list[str] = field(default_factory=list)  # and what they say


class OfferJoin:
    """Takes the offers of a run block by block, then gives those that lack something."""

    def __init__(self, folder: Path, book: RuleBook, pairs: PairFile | None = None) -> None:
        self._book = book
        self._pairs = pairs
        self._entries = Buckets(folder, "offers", ENTRY)
        self.tires = TireTable(folder, book.tables)
        self.limits = limits_for(book)
        self.gravity = Gravity.of(book, self.limits)

    def take(self, start: int, offers: BlockOffers) -> None:
        """Keeps the offers of a block whose first row is `start`."""
        self.tires.add(offers.ids, offers.texts)
        if len(offers.entries):
            entries = offers.entries.copy()
            entries["row"] += start
            self._entries.add(entries, bucket_of(entries["sku"]))

    def join(
        self,
        slices: Callable[[int], Iterator[npt.NDArray[Any]]],
        base: MappedRows,
        feed_of: Callable[[Rows], Rows],
        counts: dict[int, OfferCounts],
        forgotten: Sequence[tuple[int, int]] = (),
    ) -> Iterator[npt.NDArray[Any]]:
        """Rows of FOUND; `counts` by place of the feed are filled on the way.

        `forgotten` are stretches of rows of feeds that were given up: what they offer counts for nothing.
        """
        self._take_pairs(slices, base)
        for bucket in self._entries.numbers():
            catalog = SkuCatalog(slices(bucket), base)
            for entries in self._entries.slices(bucket, _MOST_ENTRIES):
                for first, last in forgotten:
                    entries = take_rows(entries, (entries["row"] < first) | (entries["row"] >= last))
                yield self._judged(entries, catalog, base, feed_of, counts)

    def _take_pairs(self, slices: Callable[[int], Iterator[npt.NDArray[Any]]], base: MappedRows) -> None:
        """Turns the rows of a pairs file into entries of the listings that they name first."""
        if self._pairs is None:
            return
        wanted = self._pairs.entries()
        bucket = bucket_of(self._pairs.skus)
        for number in np.unique(bucket).tolist():
            mine = np.flatnonzero(bucket == number)
            found = SkuCatalog(slices(number), base).find(self._pairs.skus[mine], self._pairs.checks[mine], None)
            known = found.row >= 0
            entries = take_rows(wanted, mine[known])
            entries["row"] = found.row[known]
            self._pairs.count_unknown(mine[~known])
            if len(entries):
                self._entries.add(entries, bucket_of(entries["sku"]))

    def _judged(
        self,
        entries: npt.NDArray[Any],
        catalog: SkuCatalog,
        base: MappedRows,
        feed_of: Callable[[Rows], Rows],
        counts: dict[int, OfferCounts],
    ) -> npt.NDArray[Any]:
        own = base.pick(entries["row"])
        met = catalog.find(entries["sku"], entries["check"], own["supplier"])
        tire = np.where(met.row >= 0, met.tire, entries["tire"])
        feeds = feed_of(entries["row"])
        unknown = (met.row < 0) & (entries["tire"] == 0)
        _count_unknown(entries, feeds, unknown, counts)
        kept = np.flatnonzero(~unknown & (met.row != entries["row"]))
        pairs = np.zeros(len(kept), dtype=FOUND)
        replaces = ~np.isin(entries["field"][kept], (_SUBSTITUTES, PAIRS))  # the others name what this tire replaces
        mine, others = own["tire"][kept], tire[kept]
        pairs["row"], pairs["other"] = entries["row"][kept], met.row[kept]
        pairs["place"], pairs["field"] = entries["place"][kept], entries["field"][kept]
        pairs["old"], pairs["new"] = np.where(replaces, others, mine), np.where(replaces, mine, others)
        return self._lacking(pairs, feeds[kept], counts)

    def _lacking(self, pairs: npt.NDArray[Any], feeds: Rows, counts: dict[int, OfferCounts]) -> npt.NDArray[Any]:
        """The pairs that lack something, with the gravest of what they lack; each distinct pair is compared once."""
        if len(pairs) == 0:
            return pairs
        tires, place = np.unique(np.concatenate([pairs["old"], pairs["new"]]), return_inverse=True)
        old, new = place[: len(pairs)], place[len(pairs) :]
        distinct, which = np.unique(old.astype(np.int64) * len(tires) + new, return_inverse=True)
        facts = self.tires.facts(tires)
        lacks = np.full(len(distinct), -1, dtype=np.int8)
        answers = np.zeros(len(distinct), dtype=np.int8)
        untold = np.zeros((len(LACKING), len(distinct)), dtype=np.bool_)
        for start in range(0, len(distinct), _CHUNK):
            some = slice(start, start + _CHUNK)
            one, other = np.divmod(distinct[some], len(tires))
            found = compare(arrays, facts.at(one), facts.at(other), self.limits)
            answers[some] = found.answer(arrays)
            lacks[some] = self.gravity.gravest(arrays, found)
            for point, number in zip(found, self.gravity.lacks, strict=False):
                if number >= 0:
                    untold[number, some] |= np.asarray(point == CANNOT_TELL)
        _count(feeds, answers[which], untold, which, counts)
        pairs["lacks"] = lacks[which]
        return take_rows(pairs, pairs["lacks"] >= 0)


def _count_unknown(
    entries: npt.NDArray[Any], feeds: Rows, unknown: npt.NDArray[np.bool_], counts: dict[int, OfferCounts]
) -> None:
    for feed in np.unique(feeds[unknown]).tolist():
        mine = np.flatnonzero(unknown & (feeds == feed))
        one = counts.setdefault(feed, OfferCounts())
        one.unknown += len(mine)
        first = mine[np.argsort(entries["row"][mine], kind="stable")][:_EXAMPLES]
        told = zip(*(entries[name][first].tolist() for name in ("row", "field", "place")), strict=True)
        one.examples = sorted([*one.examples, *told])[:_EXAMPLES]


def _count(
    feeds: Rows,
    answers: npt.NDArray[np.int8],
    untold: npt.NDArray[np.bool_],
    which: Rows,
    counts: dict[int, OfferCounts],
) -> None:
    for feed in np.unique(feeds).tolist():
        mine = feeds == feed
        one = counts.setdefault(feed, OfferCounts())
        told = np.bincount(answers[mine], minlength=3).tolist()
        one.answers.update(dict(zip(("yes", "cannot tell", "no"), told, strict=True)))
        for number, check in enumerate(LACKING):
            one.untold[check] += int(np.count_nonzero(untold[number][which[mine]]))
