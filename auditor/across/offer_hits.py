"""Offers that lack something, as hits of the rules of substitutes, and what they say."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.across.block_offers import ALL_FIELDS, BlockOffers, split_cells
from auditor.across.facts import CELLS, RULES
from auditor.across.hits import HIT
from auditor.across.offer_links import OfferLinks
from auditor.across.offers import OfferCounts, OfferJoin
from auditor.across.pair_file import PAIRS, PairFile
from auditor.across.spool import MappedRows, TextStore
from auditor.judging.statements import TEXTS
from auditor.rulebook.book import RuleBook
from auditor.substitution.offers import LACKING
from auditor.wording.offers import COMPARED_WITH, FAILS_IN, THIS_TIRE, and_more, offer_words

Rows = npt.NDArray[np.int64]
Fetch = Callable[[int, Rows, frozenset[str]], dict[str, pa.Array]]


class OfferHits:
    """Takes the offers of a run, and gives the hits on those that lack something."""

    def __init__(self, folder: Path, book: RuleBook, pairs: PairFile | None = None) -> None:
        self._book = book
        self.pairs = pairs
        self._join = OfferJoin(folder, book, pairs)
        self.links = OfferLinks(folder)
        self._rule_of = self._join.gravity.rules
        self.counts: dict[int, OfferCounts] = {}  # by feed number

    def take(self, start: int, offers: BlockOffers) -> None:
        """Keeps the offers of a block whose first row is `start`."""
        self._join.take(start, offers)

    def hits(
        self,
        slices: Callable[[int], Iterator[npt.NDArray[Any]]],
        base: MappedRows,
        feed_of: Callable[[Rows], Rows],
        numbers: Sequence[int],
        texts: TextStore,
        forgotten: Sequence[tuple[int, int]] = (),
    ) -> Iterator[npt.NDArray[Any]]:
        """Rows of HIT, some at a time; `numbers` are those of feeds by their places."""
        counts: dict[int, OfferCounts] = {}
        for found in self._join.join(slices, base, feed_of, counts, forgotten):
            if len(found) == 0:
                continue
            hits = np.zeros(len(found), dtype=HIT)
            for name in ("row", "other"):
                hits[name] = found[name]
            hits["place"] = found["place"] + 1
            hits["by_file"] = found["field"] == PAIRS
            hits["rule"] = RULES.index(LACKING[0]) + found["lacks"]
            hits["cell"] = np.array([CELLS.index(field) for field in (*ALL_FIELDS, "substitutes")])[found["field"]]
            hits["text"] = self._texts(found, texts)
            yield hits
        for place, one in counts.items():
            total = self.counts.setdefault(numbers[place], OfferCounts())
            total.answers.update(one.answers)
            total.untold.update(one.untold)
            total.unknown += one.unknown
            total.examples += one.examples

    def told(self, base: MappedRows, fetch: Fetch) -> dict[int, OfferCounts]:
        """What became of the offers of each feed; called once, after the hits."""
        for number, one in self.counts.items():
            one.unknown_texts = list(dict.fromkeys(self._unknown_texts(number, one, base, fetch)))
            one.untold = Counter(
                {self._rule_of[check]: n for check, n in one.untold.items() if n and check in self._rule_of}
            )
        return self.counts

    def _unknown_texts(self, number: int, counts: OfferCounts, base: MappedRows, fetch: Fetch) -> Iterator[str]:
        """Some entries that are no SKU of the run and no marking, as they stand in their cells."""
        for row, field, place in counts.examples:
            if field == PAIRS:
                assert self.pairs is not None
                yield self.pairs.substitutes(np.array([place]))[0].as_py()
                continue
            record = base.pick(np.array([row]))["record"]
            cell = fetch(number, record, frozenset((ALL_FIELDS[field],)))[ALL_FIELDS[field]]
            yield split_cells(cell)[0].as_py()[place]

    def _texts(self, found: npt.NDArray[Any], texts: TextStore) -> Rows:
        """For each offer the number of its texts; each distinct one is worded once."""
        tires, place = np.unique(np.concatenate([found["old"], found["new"]]), return_inverse=True)
        old, new = place[: len(found)].astype(np.int64), place[len(found) :]
        combos, which = np.unique((old * len(tires) + new) * len(LACKING) + found["lacks"], return_inverse=True)
        markings = self._join.tires.markings(tires)
        worded = []
        for combo in combos.tolist():
            pair, lacks = divmod(combo, len(LACKING))
            one, other = divmod(pair, len(tires))
            rule = self._rule_of[LACKING[lacks]]
            told = offer_words(markings[one], markings[other], rule, self._join.limits, self._book.tables)
            worded.append(texts.add(told))
        return np.array(worded, dtype=np.int64)[which]

    def words(
        self, hits: npt.NDArray[Any], cells: pa.Array, texts: TextStore, others: pa.Array
    ) -> tuple[pa.Array, pa.Array, pa.Array]:
        """Detail, derived value and evidence of offers, given their cells and the listings that they name."""
        numbers, position = np.unique(hits["text"], return_inverse=True)
        rows = [texts.read(number) for number in numbers.tolist()]
        has, asks, apart, failing, old, new = (
            pa.array(column, pa.string()).take(pa.array(position)) for column in zip(*rows, strict=True)
        )
        replaces = pa.array(hits["cell"] != CELLS.index("substitutes"))
        marking = pc.if_else(replaces, old, new)
        in_text = pa.array(np.isin(hits["cell"], [CELLS.index(field) for field in TEXTS]))
        entry = pc.if_else(in_text, marking, self._entries(hits, cells))
        known = pa.array(hits["other"] >= 0)
        named = pc.if_else(known, pc.binary_join_element_wise(entry, " (", marking, ")", ""), entry)
        this = pc.binary_join_element_wise(THIS_TIRE[0], pc.if_else(replaces, new, old), THIS_TIRE[1], "")
        first, second = pc.if_else(replaces, this, named), pc.if_else(replaces, named, this)
        detail = pc.binary_join_element_wise(
            pc.binary_join_element_wise(first, has, " "), pc.binary_join_element_wise(second, asks, " "), " and "
        )
        detail = pc.binary_join_element_wise(detail, apart, _and_more(hits["more"]), "")
        where = pc.if_else(pc.equal(others, ""), "", pc.binary_join_element_wise(COMPARED_WITH, others, ""))
        evidence = pc.binary_join_element_wise(FAILS_IN, failing, where, "")
        return detail, pa.repeat("", len(hits)), evidence

    def _entries(self, hits: npt.NDArray[Any], cells: pa.Array) -> pa.Array:
        """The entry of each offer as it stands in its cell or file."""
        lists = split_cells(cells)
        offsets = lists.offsets.to_numpy(zero_copy_only=False)
        by_file = hits["by_file"] == 1
        flat = lists.values
        at = np.where(by_file, 0, np.minimum(offsets[:-1] + hits["place"] - 1, max(len(flat) - 1, 0)))
        entries = flat.take(pa.array(at)) if len(flat) else pa.repeat("", len(hits))
        if self.pairs is None or not by_file.any():
            return entries
        named = self.pairs.substitutes(np.where(by_file, hits["place"] - 1, 0))
        return pc.if_else(pa.array(by_file), named, entries)

    def of_file(self, hits: npt.NDArray[Any]) -> tuple[pa.Array, pa.Array]:
        """(stated text, column) of offers that a file of pairs makes; null for the others."""
        by_file = pa.array(hits["by_file"] == 1)
        nothing = pa.nulls(len(hits), pa.string())
        if self.pairs is None:
            return nothing, nothing
        stated = pc.if_else(by_file, self._entries(hits, pa.repeat("", len(hits))), nothing)
        return stated, pc.if_else(by_file, pa.repeat(self.pairs.name, len(hits)), nothing)


def _and_more(more: npt.NDArray[Any]) -> pa.Array:
    """How many other entries of each cell lack something, too."""
    numbers, place = np.unique(more, return_inverse=True)
    return pa.array([and_more(number) for number in numbers.tolist()], pa.string()).take(pa.array(place))
