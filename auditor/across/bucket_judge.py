"""The rules on listings that share a key, one bucket of keys at a time: no bucket needs to know of another one.

What a judge needs pickles, so that buckets can be judged wherever the files of rows and pairs are reached.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from auditor.across.disputes import (
    Dispute,
    disputed_cells,
    find_dispute,
    find_slight_dispute,
    statements_among,
    statements_of,
)
from auditor.across.facts import DISAGREE, DUPLICATED, RULES, SHARED, SKU_SHARED, SLIGHTLY
from auditor.across.hits import HIT
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
from auditor.across.offer_hits import Fetch
from auditor.across.scope import in_scope, is_narrowed
from auditor.across.sentences import SupplierStatement, dispute_texts, facts_in, shared_texts
from auditor.across.spool import Buckets, MappedRows, RowStore, take_rows
from auditor.across.supplier_names import SupplierNames
from auditor.rulebook.book import RuleBook
from auditor.rulebook.rule import Rule

Rows = npt.NDArray[np.int64]


class Texts(Protocol):
    """Texts that hits share."""

    def add(self, texts: tuple[str, ...]) -> int:
        """The number of these texts."""


@dataclass(frozen=True, slots=True)
class GroupVerdict:
    """What a rule says about the kinds of rows of a group."""

    rule: str
    cell: int  # place in CELLS
    texts: Rows  # per kind: number of its texts, for duplicates the row that it repeats; -1 for nothing


class OwnTexts:
    """The texts of one bucket, by their places."""

    def __init__(self) -> None:
        self._places: dict[tuple[str, ...], int] = {}

    def add(self, texts: tuple[str, ...]) -> int:
        """The place of these texts."""
        return self._places.setdefault(texts, len(self._places))

    @property
    def all(self) -> tuple[tuple[str, ...], ...]:
        """All texts, by their places."""
        return tuple(self._places)


@dataclass(frozen=True, slots=True)
class Judged:
    """What was found in a bucket, with texts of its own."""

    hits: list[npt.NDArray[Any]]
    texts: tuple[tuple[str, ...], ...]

    def renumbered(self, texts: Texts) -> Iterator[npt.NDArray[Any]]:
        """The hits with the numbers of texts that are kept elsewhere."""
        numbers = np.array([texts.add(one) for one in self.texts], dtype=np.int64)
        for hits in self.hits:
            named = hits["rule"] != RULES.index(DUPLICATED)  # those name a row in its place
            hits["text"][named] = numbers[hits["text"][named]]
            yield hits


@dataclass(slots=True)
class BucketJudge:
    """Judges buckets of (key, row) pairs."""

    book: RuleBook
    rules: Mapping[str, Rule]  # by check
    store: RowStore  # all rows
    pairs: list[Buckets]  # by place in KEYS
    most_rows: int  # that share keys are looked at together
    names: SupplierNames = field(default_factory=SupplierNames)
    forgotten: list[tuple[int, int]] = field(default_factory=list)  # stretches of rows of feeds that were given up

    def judge(self, key: int, bucket: int, base: MappedRows, texts: Texts, fetch: Fetch) -> Iterator[npt.NDArray[Any]]:
        """Judges the kinds of rows of one bucket, then brings the verdicts to all rows of each kind; their hits."""
        slices = partial(self.slices, key, bucket)
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
                    yield hits_of(self.rules, verdict.rule, base.pick, at, key, verdict.cell, said[found])

    def judged(self, key: int, bucket: int, fetch: Fetch) -> Judged:
        """All that is found in a bucket."""
        texts = OwnTexts()
        hits = list(self.judge(key, bucket, self.store.read(), texts, fetch))
        return Judged(hits, texts.all)

    def slices(self, key: int, bucket: int) -> Iterator[npt.NDArray[Any]]:
        """The (key, row) pairs of a bucket, without the rows of feeds that were given up."""
        for pairs in self.pairs[key].slices(bucket, self.most_rows):
            for first, last in self.forgotten:
                outside = (pairs["row"] < first) | (pairs["row"] >= last)
                pairs = take_rows(pairs, outside)
            yield pairs

    def _verdicts(self, group: Group, texts: Texts, fetch: Fetch) -> Iterator[GroupVerdict]:
        inside = differences_within_suppliers(group)
        shared = {"gtin": SHARED, "sku": SKU_SHARED}.get(KEYS[group.key], "")
        if DUPLICATED in self.rules:
            yield GroupVerdict(DUPLICATED, 0, first_listings(group, inside, shared in self.rules))
        if shared in self.rules:
            yield self._shared(shared, group, inside, texts)
        if KEYS[group.key] != "sku" and DISAGREE in self.rules:
            found = find_dispute(group, inside)
            if found is not None:
                yield from self._disputes(DISAGREE, group, inside, found, texts, fetch)
            if SLIGHTLY in self.rules:
                slight = find_slight_dispute(group, inside, self.rules[SLIGHTLY].limits)
                if slight is not None:
                    yield from self._disputes(SLIGHTLY, group, inside, slight, texts, fetch)

    def _shared(self, rule: str, group: Group, inside: SupplierDifferences, texts: Texts) -> GroupVerdict:
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
        texts: Texts,
        fetch: Fetch,
    ) -> Iterator[GroupVerdict]:
        """Suppliers that disagree, one verdict per cell."""
        bounds = np.append(np.flatnonzero(np.diff(group.key_of, prepend=-1)), group.suppliers)
        disputed = np.logical_or.reduce(list(found.keys.values()))[group.key_of]
        owners = group.base["supplier"][group.starts]
        self.names.learn(owners[disputed].tolist(), fetch)

        by_fact = statements_of(group, inside, found)

        def says(key: int, fact: str) -> list[SupplierStatement]:
            own = np.arange(bounds[key], bounds[key + 1])
            own = own[found.says[fact][own]]
            values = inside.ranges[fact].low[own]
            return [
                SupplierStatement(self.names[o], v) for o, v in zip(owners[own].tolist(), values.tolist(), strict=True)
            ]

        for cell, positions, bits in disputed_cells(group, found):
            keys = group.by_key[positions]

            def word(position: int, bits: Rows = bits, keys: Rows = keys) -> int:
                facts = facts_in(int(bits[position]), found.facts)
                told = {fact: says(int(keys[position]), fact) for fact in facts}
                return texts.add(dispute_texts(group.key, told, self.book.tables))

            said = np.full(len(group.at), -1, dtype=np.int64)
            said[positions] = texts_by_combination([statements_among(bits, keys, by_fact), bits], word)
            yield GroupVerdict(rule, cell, said)


def hits_of(
    rules: Mapping[str, Rule],
    rule: str,
    pick: Callable[[Rows], npt.NDArray[Any]],
    rows: Rows,
    key: int,
    cell: Any,
    text: Rows,
) -> npt.NDArray[Any]:
    """The hits of a rule on some rows that lie in its scope."""
    found = np.zeros(len(rows), dtype=HIT)
    found["row"], found["rule"], found["key"], found["cell"], found["text"] = rows, RULES.index(rule), key, cell, text
    if is_narrowed(rules[rule]):
        found = take_rows(found, in_scope(rules[rule], pick(rows)))
    return found
