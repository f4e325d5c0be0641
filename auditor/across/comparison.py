"""The rules that look at more than one listing, over a whole run: takes facts block by block, then gives findings.

Facts go to files under a folder: all rows in order, and for each kind of key (key, row) pairs in buckets by the key.
Rows that share a key meet in one bucket, so each bucket is judged on its own and memory does not grow with the catalog.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.across.disputes import (
    Dispute,
    disputed_cells,
    find_dispute,
    find_slight_dispute,
    statements_among,
    statements_of,
)
from auditor.across.facts import (
    DISAGREE,
    DUPLICATED,
    PEERS,
    ROW,
    RULES,
    SHARED,
    SKU_SHARED,
    SLIGHTLY,
    BlockFacts,
    keys_needed,
)
from auditor.across.hits import HIT, hit_ranks, one_per_cell
from auditor.across.key_groups import (
    FACTS,
    KEYS,
    NAMES,
    Group,
    SupplierDifferences,
    differences_within_suppliers,
    first_listings,
    gather_group,
    rows_of_group,
    texts_by_combination,
)
from auditor.across.offer_hits import Fetch, OfferHits
from auditor.across.offers import OfferCounts
from auditor.across.pair_file import PairFile
from auditor.across.peers import PeerCounts, find_odd
from auditor.across.scope import in_scope, is_narrowed
from auditor.across.sentences import SupplierStatement, dispute_texts, facts_in, peer_texts, shared_texts
from auditor.across.spool import Buckets, MappedRows, RowStore, TextStore, bucket_of, take_rows
from auditor.across.worded import Worder
from auditor.rulebook.book import RuleBook
from auditor.substitution.offers import LACKING

Rows = npt.NDArray[np.int64]
PAIR = np.dtype([("key", "<u8"), ("row", "<i8")])
_STRETCH = 1 << 18  # rows whose findings are put in order together
MOST_ROWS = 500_000
_KEY_COLUMNS = ("gtin", "part", "sku")


@dataclass(frozen=True, slots=True)
class GroupVerdict:
    """What a rule says about the kinds of rows of a group."""

    rule: str
    cell: int  # place in CELLS
    texts: Rows  # per kind: number of its texts, for duplicates the row that it repeats; -1 for nothing


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
        self._most_rows = most_rows
        self._forgotten: list[tuple[int, int]] = []  # stretches of rows of feeds that were given up
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
        self._names: dict[int, str] = {}

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
        self._forgotten.append((self._firsts[-1], self._store.count))
        if self._peers is not None:
            rows = self._store.read()
            for start in range(self._firsts[-1], self._store.count, _STRETCH):
                self._peers.take(rows.stretch(start, min(start + _STRETCH, self._store.count)), times=-1)

    def findings(self, fetch: Fetch) -> Iterator[tuple[int, pa.Table]]:
        """(feed number, findings) by feed, then record, then rule, then field."""
        with closing(TextStore(self._folder / "texts")) as texts:
            base = self._store.read()
            hits = Buckets(self._folder, "hits", HIT)
            for number in self._keys:
                for bucket in self._pairs[number].numbers():
                    self._judge_bucket(number, bucket, base, texts, hits, fetch)
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

    def _judge_bucket(
        self, key: int, bucket: int, base: MappedRows, texts: TextStore, hits: Buckets, fetch: Fetch
    ) -> None:
        """Judges the kinds of rows of one bucket, then brings the verdicts to all rows of each kind."""
        slices = partial(self._slices, key, bucket)
        group = gather_group(key, slices, base)
        if group is None:
            return
        verdicts = [verdict for verdict in self._verdicts(group, texts, fetch) if (verdict.texts >= 0).any()]
        if not verdicts:
            return
        for rows, position in rows_of_group(group, slices, base):
            for verdict in verdicts:
                said = verdict.texts[position]
                found = np.flatnonzero((said >= 0) & ((said != rows) | (verdict.rule != DUPLICATED)))
                if len(found):
                    at = rows[found]
                    self._keep(hits, verdict.rule, base.pick, at, key, verdict.cell, said[found])

    def _slices(self, key: int, bucket: int) -> Iterator[npt.NDArray[Any]]:
        """The (key, row) pairs of a bucket, without the rows of feeds that were given up."""
        for pairs in self._pairs[key].slices(bucket, self._most_rows):
            for first, last in self._forgotten:
                outside = (pairs["row"] < first) | (pairs["row"] >= last)
                pairs = take_rows(pairs, outside)
            yield pairs

    def _verdicts(self, group: Group, texts: TextStore, fetch: Fetch) -> Iterator[GroupVerdict]:
        inside = differences_within_suppliers(group)
        shared = {"gtin": SHARED, "sku": SKU_SHARED}.get(KEYS[group.key], "")
        if DUPLICATED in self._rules:
            yield GroupVerdict(DUPLICATED, 0, first_listings(group, inside, shared in self._rules))
        if shared in self._rules:
            yield self._shared(shared, group, inside, texts)
        if KEYS[group.key] != "sku" and DISAGREE in self._rules:
            found = find_dispute(group, inside)
            if found is not None:
                yield from self._disputes(DISAGREE, group, inside, found, texts, fetch)
            if SLIGHTLY in self._rules:
                slight = find_slight_dispute(group, inside, self._rules[SLIGHTLY].limits)
                if slight is not None:
                    yield from self._disputes(SLIGHTLY, group, inside, slight, texts, fetch)

    def _shared(self, rule: str, group: Group, inside: SupplierDifferences, texts: TextStore) -> GroupVerdict:
        """One GTIN or SKU on different tires of one supplier."""
        bits = np.zeros(group.suppliers, dtype=np.int64)
        for number, name in enumerate([*(name for name, _ in FACTS), *NAMES]):
            bits |= inside.ranges[name].differs.astype(np.int64) << number

        def word(position: int) -> int:
            number = int(bits[position])
            names = tuple(name for occurrence, name in enumerate(NAMES) if number >> (len(FACTS) + occurrence) & 1)
            return texts.add(shared_texts(number, names)) if number else -1

        return GroupVerdict(rule, 0, texts_by_combination([bits], word)[group.by_supplier])

    def _disputes(
        self,
        rule: str,
        group: Group,
        inside: SupplierDifferences,
        found: Dispute,
        texts: TextStore,
        fetch: Fetch,
    ) -> Iterator[GroupVerdict]:
        """Suppliers that disagree, one verdict per cell."""
        bounds = np.append(np.flatnonzero(np.diff(group.key_of, prepend=-1)), group.suppliers)
        disputed = np.logical_or.reduce(list(found.keys.values()))[group.key_of]
        self._learn_names(group, np.flatnonzero(disputed), fetch)
        owners = group.base["supplier"][group.starts]

        by_fact = statements_of(group, inside, found)

        def says(key: int, fact: str) -> list[SupplierStatement]:
            own = np.arange(bounds[key], bounds[key + 1])
            own = own[found.says[fact][own]]
            values = inside.ranges[fact].low[own]
            return [
                SupplierStatement(self._names[o], v) for o, v in zip(owners[own].tolist(), values.tolist(), strict=True)
            ]

        for cell, positions, bits in disputed_cells(group, found):
            keys = group.by_key[positions]

            def word(position: int, bits: Rows = bits, keys: Rows = keys) -> int:
                facts = facts_in(int(bits[position]), found.facts)
                told = {fact: says(int(keys[position]), fact) for fact in facts}
                return texts.add(dispute_texts(group.key, told, self._book.tables))

            said = np.full(len(group.at), -1, dtype=np.int64)
            said[positions] = texts_by_combination([statements_among(bits, keys, by_fact), bits], word)
            yield GroupVerdict(rule, cell, said)

    def _learn_names(self, group: Group, suppliers: Rows, fetch: Fetch) -> None:
        """Reads the names of suppliers that are not known yet, each from its first listing here."""
        numbers, first = np.unique(group.base["supplier"][group.starts[suppliers]], return_index=True)
        unknown = np.array([number not in self._names for number in numbers.tolist()], dtype=np.bool_)
        if not unknown.any():
            return
        positions = group.starts[suppliers[first[unknown]]]
        feeds = self._feed_of(group.at[positions])
        for feed in np.unique(feeds).tolist():
            mine = positions[feeds == feed]
            mine = mine[np.argsort(group.base["record"][mine])]
            found = fetch(self._numbers[feed], group.base["record"][mine], frozenset())["supplier"].to_pylist()
            for number, name in zip(group.base["supplier"][mine].tolist(), found, strict=True):
                self._names[number] = name.strip()

    def _judge_peers(self, base: MappedRows, texts: TextStore, hits: Buckets) -> None:
        if self._peers is None:
            return
        odd = self._peers.odd()
        if len(odd) == 0:
            return
        for start in range(0, len(base), _STRETCH):
            rows = base.stretch(start, start + _STRETCH)
            positions, which = find_odd(rows, odd)
            for first, last in self._forgotten:
                outside = (positions + start < first) | (positions + start >= last)
                positions, which = positions[outside], which[outside]
            if len(positions) == 0:
                continue
            one = odd[which]
            numbers = texts_by_combination([one["agree"], one["peers"], one["mode"]], partial(_peer_text, texts, one))
            part = take_rows(rows, positions)
            self._keep(hits, PEERS, partial(_given, part), positions + start, 0, part["index_at"], numbers)

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
        slices = partial(self._slices, KEYS.index("sku"))
        for found in self.offers.hits(slices, base, self._feed_of, self._numbers, texts, self._forgotten):
            for rule in filter(self._rules.__contains__, LACKING):
                some = take_rows(found, found["rule"] == RULES.index(rule))
                if is_narrowed(self._rules[rule]):
                    some = take_rows(some, in_scope(self._rules[rule], base.pick(some["row"])))
                hits.add(some, some["row"] // _STRETCH)
                self.offers.links.add(some, base, self._feed_of, self._numbers)

    def _keep(
        self,
        hits: Buckets,
        rule: str,
        pick: Callable[[Rows], npt.NDArray[Any]],
        rows: Rows,
        key: int,
        cell: Any,
        text: Rows,
    ) -> None:
        found = np.zeros(len(rows), dtype=HIT)
        found["row"], found["rule"], found["key"], found["cell"], found["text"] = (
            rows,
            RULES.index(rule),
            key,
            cell,
            text,
        )
        if is_narrowed(self._rules[rule]):
            found = take_rows(found, in_scope(self._rules[rule], pick(rows)))
        if len(found):
            hits.add(found, found["row"] // _STRETCH)


def _given(part: npt.NDArray[Any], _: Rows) -> npt.NDArray[Any]:
    return part


def _peer_text(texts: TextStore, odd: npt.NDArray[Any], position: int) -> int:
    return texts.add(peer_texts(*(int(odd[name][position]) for name in ("agree", "peers", "mode"))))
