"""The rules that look at more than one listing, over a whole run: takes facts block by block, then gives findings.

Facts go to files under a folder: all rows in order, and for each kind of key (key, row) pairs in buckets by the key.
Rows that share a key meet in one bucket, so each bucket is judged on its own and memory does not grow with the catalog.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.across.bucket_judge import BucketJudge, Judged, hits_of
from auditor.across.facts import (
    DISAGREE,
    PEERS,
    ROW,
    RULES,
    SLIGHTLY,
    BlockFacts,
    keys_needed,
)
from auditor.across.hits import HIT, hit_ranks, one_per_cell
from auditor.across.key_groups import (
    KEYS,
    texts_by_combination,
)
from auditor.across.offer_hits import Fetch, OfferHits
from auditor.across.offers import OfferCounts
from auditor.across.pair_file import PairFile
from auditor.across.peers import PeerCounts, find_odd
from auditor.across.scope import in_scope, is_narrowed
from auditor.across.sentences import peer_texts
from auditor.across.spool import Buckets, MappedRows, RowStore, TextStore, bucket_of, take_rows
from auditor.across.worded import Worder
from auditor.rulebook.book import RuleBook
from auditor.substitution.offers import LACKING

Rows = npt.NDArray[np.int64]
PAIR = np.dtype([("key", "<u8"), ("row", "<i8")])
_STRETCH = 1 << 18  # rows whose findings are put in order together
MOST_ROWS = 500_000
_KEY_COLUMNS = ("gtin", "part", "sku")


# Has buckets of keys judged in other places; what was found in each, in order, None for one to be judged here.
Elsewhere = Callable[[BucketJudge, Sequence[tuple[int, int]]], Iterable[Judged | None]]


class ListingComparison:
    """All rules across listings, for one run."""

    def __init__(
        self,
        folder: Path,
        book: RuleBook,
        feeds: Sequence[str] = (),
        most_rows: int = MOST_ROWS,
        *,
        offered: bool = False,
        pairs: PairFile | None = None,
    ) -> None:
        """`folder` exists and belongs to this run; `feeds` are names by number, for words about earlier listings.

        At most `most_rows` rows that share keys are looked at together.  `offered` tells that feeds name substitutes;
        `pairs` is a file that does.
        """
        self._folder = folder
        self._book = book
        self._feeds = feeds
        self._rules = {rule.check: rule for rule in book.rules if rule.kind == "across"}
        if DISAGREE in self._rules and self._rules[DISAGREE].grade_when_slight:
            self._rules[SLIGHTLY] = self._rules[DISAGREE]
        self._orders = np.array([self._rules[rule].order if rule in self._rules else 0 for rule in RULES])
        self.want = keys_needed(book, offered or pairs is not None)
        self._keys = [number for number, key in enumerate((self.want.gtin, self.want.part, self.want.sku)) if key]
        self._peers = PeerCounts(folder) if self.want.peers else None
        self.offers = OfferHits(folder, book, pairs) if self.want.substitutes else None
        self._store = RowStore(folder / "rows", ROW)
        self._pairs = [Buckets(folder, name, PAIR) for name in KEYS]
        self._firsts: list[int] = []  # first row of each stretch of one feed
        self._numbers: list[int] = []  # and the feed's number
        self._judge = BucketJudge(book, self._rules, self._store, self._pairs, most_rows)
        self._hits = Buckets(folder, "hits", HIT)
        self._texts: TextStore | None = None  # once the buckets are judged

    def take(self, feed: int, block: BlockFacts | None) -> None:
        """Keeps the facts of a block; blocks come in feed and record order."""
        if block is None or len(block.rows) == 0:
            return
        facts = block.rows
        start = self._store.count
        if not self._numbers or self._numbers[-1] != feed:
            self._firsts.append(start)
            self._numbers.append(feed)
        self._store.add(facts)
        if DISAGREE in self._rules:
            self._judge.names.take(feed, facts)
        rows = np.arange(start, start + len(facts))
        for number in self._keys:
            keys = facts[_KEY_COLUMNS[number]].astype(np.uint64)
            having = keys != 0
            pairs = np.empty(len(rows), dtype=PAIR)
            pairs["key"], pairs["row"] = keys, rows
            if not having.all():
                pairs = take_rows(pairs, having)
            if len(pairs):
                self._pairs[number].add(pairs, bucket_of(pairs["key"]))
        if self._peers is not None:
            self._peers.take(facts)
        if self.offers is not None and block.offers is not None:
            self.offers.take(start, block.offers)

    def forget(self, feed: int) -> None:
        """Lets the records of a feed taken last count for nothing: the feed broke off and none of it is audited."""
        if not self._numbers or self._numbers[-1] != feed or self._store.count == self._firsts[-1]:
            return
        self._judge.forgotten.append((self._firsts[-1], self._store.count))
        self._judge.names.forget(feed)
        if self._peers is not None:
            rows = self._store.read()
            for start in range(self._firsts[-1], self._store.count, _STRETCH):
                self._peers.take(rows.stretch(start, min(start + _STRETCH, self._store.count)), times=-1)

    def judge(self, fetch: Fetch, elsewhere: Elsewhere | None = None) -> None:
        """Judges all buckets of keys, in this process or `elsewhere`; the same comes of it."""
        texts = self._texts = TextStore(self._folder / "texts")
        base = self._store.read()
        asked = [(key, bucket) for key in self._keys for bucket in self._pairs[key].numbers()]
        if elsewhere is not None:
            for pairs in self._pairs:
                pairs.flush()
        judged = [None] * len(asked) if elsewhere is None else elsewhere(self._judge, asked)
        for (key, bucket), found in zip(asked, judged, strict=True):
            mine = self._judge.judge(key, bucket, base, texts, fetch)
            for some in mine if found is None else found.renumbered(texts):
                self._hits.add(some, some["row"] // _STRETCH)

    def findings(self, fetch: Fetch) -> Iterator[tuple[int, pa.Table]]:
        """(feed number, findings) by feed, then record, then rule, then field."""
        if self._texts is None:
            self.judge(fetch)
        assert self._texts is not None
        with closing(self._texts) as texts:
            base, hits = self._store.read(), self._hits
            self._judge_peers(base, texts, hits)
            self._judge_offers(base, texts, hits)
            ranks = hit_ranks(self._rules)
            worder = Worder(self._book, self._rules, self._feeds, (self._firsts, self._numbers), self.offers)
            for stretch in hits.numbers():
                chosen = one_per_cell(hits.read(stretch), self._orders, ranks)
                yield from worder.tables(chosen, base, texts, fetch)

    def _feed_of(self, rows: Rows) -> Rows:
        """Places in the list of feeds for row numbers."""
        return np.searchsorted(np.array(self._firsts), rows, side="right") - 1

    def _judge_peers(self, base: MappedRows, texts: TextStore, hits: Buckets) -> None:
        if self._peers is None:
            return
        odd = self._peers.odd()
        if len(odd) == 0:
            return
        for start in range(0, len(base), _STRETCH):
            rows = base.stretch(start, start + _STRETCH)
            positions, which = find_odd(rows, odd)
            for first, last in self._judge.forgotten:
                outside = (positions + start < first) | (positions + start >= last)
                positions, which = positions[outside], which[outside]
            if len(positions) == 0:
                continue
            one = odd[which]
            numbers = texts_by_combination([one["agree"], one["peers"], one["mode"]], partial(_peer_text, texts, one))
            part = take_rows(rows, positions)
            at = positions + start
            found = hits_of(self._rules, PEERS, partial(_given, part), at, 0, part["index_at"], numbers)
            hits.add(found, found["row"] // _STRETCH)

    def offer_counts(self, fetch: Fetch) -> dict[int, OfferCounts]:
        """What became of the substitutes that each feed names, by feed number; asked once all findings were given."""
        return {} if self.offers is None else self.offers.told(self._store.read(), fetch)

    def pairs_told(self) -> dict[str, Any]:
        """What became of the file of pairs, under its name in the summary; nothing without one."""
        pairs = None if self.offers is None else self.offers.pairs
        return {} if pairs is None else {"pairs_file": pairs.told()}

    def _judge_offers(self, base: MappedRows, texts: TextStore, hits: Buckets) -> None:
        if self.offers is None:
            return
        slices = partial(self._judge.slices, KEYS.index("sku"))
        for found in self.offers.hits(slices, base, self._feed_of, self._numbers, texts, self._judge.forgotten):
            for rule in filter(self._rules.__contains__, LACKING):
                some = take_rows(found, found["rule"] == RULES.index(rule))
                if is_narrowed(self._rules[rule]):
                    some = take_rows(some, in_scope(self._rules[rule], base.pick(some["row"])))
                hits.add(some, some["row"] // _STRETCH)
                self.offers.links.add(some, base, self._feed_of, self._numbers)


def _given(part: npt.NDArray[Any], _: Rows) -> npt.NDArray[Any]:
    return part


def _peer_text(texts: TextStore, odd: npt.NDArray[Any], position: int) -> int:
    return texts.add(peer_texts(*(int(odd[name][position]) for name in ("agree", "peers", "mode"))))
