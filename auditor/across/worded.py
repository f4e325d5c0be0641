"""Findings across listings in words: which record, which rule, and what it found."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.across.facts import DUPLICATED, RULES, SLIGHTLY
from auditor.across.hits import FIELD_NAMES, field_numbers
from auditor.across.offer_hits import Fetch, OfferHits
from auditor.across.sentences import FindingTexts, duplicate_texts, finding_table
from auditor.across.spool import MappedRows, TextStore, take_rows
from auditor.rulebook.book import RuleBook
from auditor.rulebook.rule import Rule
from auditor.substitution.offers import LACKING

Rows = npt.NDArray[np.int64]
Texts = tuple[pa.Array, pa.Array, pa.Array]  # detail, derived value, evidence
_MOST_FETCHED = 50_000
_KNOWN_BY = ("marking", "size")  # listings without an identifier, in the keys of their findings


class Worder:
    """Words the hits of a run, feed by feed."""

    def __init__(
        self,
        book: RuleBook,
        rules: Mapping[str, Rule],
        feeds: Sequence[str],
        stretches: tuple[Sequence[int], Sequence[int]],
        offers: OfferHits | None,
    ) -> None:
        """`stretches` are the first row of each stretch of rows of one feed, and the feed's number."""
        self._tables = book.tables
        self._rules = rules
        self._feeds = feeds
        self._firsts, self._numbers = stretches
        self._offers = offers

    def tables(
        self, hits: npt.NDArray[Any], base: MappedRows, texts: TextStore, fetch: Fetch
    ) -> Iterator[tuple[int, pa.Table]]:
        """(feed number, findings) of hits in order."""
        feeds = self._feed_of(hits["row"])
        cuts = np.append(True, feeds[1:] != feeds[:-1])
        starts = [*np.flatnonzero(cuts).tolist(), len(hits)]
        for start, stop in pairwise(starts):
            for low in range(start, stop, _MOST_FETCHED):
                part = hits[low : min(low + _MOST_FETCHED, stop)]
                yield self._numbers[feeds[start]], self._table(int(feeds[start]), part, base, texts, fetch)

    def _feed_of(self, rows: Rows) -> Rows:
        return np.searchsorted(np.array(self._firsts), rows, side="right") - 1

    def _table(self, feed: int, hits: npt.NDArray[Any], base: MappedRows, texts: TextStore, fetch: Fetch) -> pa.Table:
        records = base.pick(hits["row"])["record"]
        asked, position = np.unique(records, return_inverse=True)
        fields = [FIELD_NAMES[number] for number in field_numbers(hits).tolist()]
        known = fetch(self._numbers[feed], asked, frozenset((*fields, *_KNOWN_BY)))
        rules = list({rule.id: rule for rule in self._rules.values()}.values())
        places = {rule.id: number for number, rule in enumerate(rules)}
        own = np.array([places[self._rules[rule].id] if rule in self._rules else -1 for rule in RULES])[hits["rule"]]
        slight = hits["rule"] == RULES.index(SLIGHTLY)
        offered = hits["rule"] >= RULES.index(LACKING[0])
        columns = self._shared(feed, take_rows(hits, ~offered), base, texts)
        stated = column = None
        if self._offers is not None and offered.any():
            mine = take_rows(hits, offered)
            cells = self._cells(mine, np.array(fields)[offered], known, position[offered])
            said = self._offers.words(mine, cells, texts, self._others(feed, mine, base))
            columns = tuple(_interleaved(offered, one, two) for one, two in zip(columns, said, strict=True))
            stated, column = (_interleaved(offered, None, of_file) for of_file in self._offers.of_file(mine))
        worded = FindingTexts(own, slight, fields, *columns, stated=stated, column=column)
        return finding_table(records, rules, worded, known, position)

    def _shared(self, feed: int, hits: npt.NDArray[Any], base: MappedRows, texts: TextStore) -> Texts:
        """Detail, derived value and evidence of each hit; each distinct text is read once."""
        duplicate = hits["rule"] == RULES.index(DUPLICATED)
        numbers, position = np.unique(hits["text"][~duplicate], return_inverse=True)
        rows = [texts.read(number) for number in numbers.tolist()] or [("", "", "")]
        at = np.empty(len(hits), dtype=np.int64)
        at[~duplicate] = position
        at[duplicate] = np.arange(len(rows), len(rows) + np.count_nonzero(duplicate))
        first = hits["text"][duplicate]
        feeds, where = np.unique(self._feed_of(first), return_inverse=True)
        names = pa.array([self._feed_name(number, feed) for number in feeds.tolist()], pa.string())
        repeats = duplicate_texts(hits["key"][duplicate], base.pick(first)["record"], names.take(pa.array(where)))
        shared = [pa.array(column, pa.string()) for column in zip(*rows, strict=True)]
        columns = [pa.concat_arrays([one, two]) for one, two in zip(shared, repeats, strict=True)]
        detail, derived, evidence = (column.take(pa.array(at)) for column in columns)
        return detail, derived, evidence

    def _others(self, feed: int, hits: npt.NDArray[Any], base: MappedRows) -> pa.Array:
        """Where the listing stands that an offer names: "record 7 of this feed"; "" where it names none."""
        named = np.flatnonzero(hits["other"] >= 0)
        rows = hits["other"][named]
        feeds, where = np.unique(self._feed_of(rows), return_inverse=True)
        names = [self._feed_name(number, feed) for number in feeds.tolist()]
        records = base.pick(rows)["record"].tolist()
        said = [""] * len(hits)
        for place, record, name in zip(named.tolist(), records, where.tolist(), strict=True):
            said[place] = f"record {record} of {names[name]}"
        return pa.array(said, pa.string())

    @staticmethod
    def _cells(
        hits: npt.NDArray[Any], fields: npt.NDArray[Any], known: Mapping[str, pa.Array], position: Rows
    ) -> pa.Array:
        """The cell of each offer, as listed."""
        cells = pa.repeat("", len(hits))
        for field in np.unique(fields).tolist():
            if field in known:
                own = known[field].take(pa.array(position))
                mine = fields == field
                cells = _interleaved(mine, cells.filter(pa.array(~mine)), own.filter(pa.array(mine)))
        return cells

    def _feed_name(self, position: int, current: int) -> str:
        number = self._numbers[position]
        if position == current:
            return "this feed"
        return self._feeds[number] if number < len(self._feeds) else f"feed {number + 1} of the run"


def _interleaved(second: npt.NDArray[np.bool_], one: pa.Array | None, other: pa.Array) -> pa.Array:
    """Texts of `other` where `second` is true, those of `one`, or nulls, elsewhere; each in its own order."""
    rest = pa.nulls(len(second) - len(other), pa.string()) if one is None else one
    at = np.empty(len(second), dtype=np.int64)
    at[~second] = np.arange(len(rest))
    at[second] = np.arange(len(rest), len(rest) + len(other))
    return pa.concat_arrays([rest.cast(pa.string()), other.cast(pa.string())]).take(pa.array(at))
