"""`python -m tests.benchmarks.substitutes [PAIRS [TIRES]]`: offers of a whole catalog, joined by SKU and compared.

Every listing offers another one at random, so that nearly every pair of markings is a new one: the worst case.  Times
are processor seconds of taking the offers in block by block, and of joining and comparing them; the peak is that of
the process.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pyarrow as pa

from auditor.across.block_offers import BlockOffers, entries_of
from auditor.across.comparison import MOST_ROWS, PAIR
from auditor.across.facts import ROW, BlockFacts
from auditor.across.item_numbers import item_numbers
from auditor.across.offers import OfferCounts, OfferJoin
from auditor.across.spool import Buckets, RowStore, bucket_of
from auditor.across.text_numbers import hash_numbers
from auditor.rulebook.book import load_book

_BLOCK = 1 << 17


class Measured(NamedTuple):
    """One run."""

    pairs: int
    tires: int
    taken_s: float
    joined_s: float
    lacking: int
    told: int  # pairs with an answer
    peak_mib: int


def markings(count: int) -> list[str]:
    """Some distinct markings."""
    sizes = [
        f"{width}/{aspect}R{rim}"
        for width in range(145, 355, 10)
        for aspect in range(30, 85, 5)
        for rim in range(13, 23)
    ]
    every = [f"{size} {index}{symbol}" for size in sizes for index in (88, 91, 94, 98, 102) for symbol in "TV"]
    return [every[place] for place in np.random.default_rng(7).permutation(len(every))[:count].tolist()]


def blocks(pairs: int, tires: int) -> Iterator[BlockFacts]:
    """The facts of a catalog in which each listing offers another one."""
    rng = np.random.default_rng(19)
    texts = pa.array(markings(tires))
    ids = hash_numbers(texts)[0]
    for start in range(0, pairs, _BLOCK):
        count = min(_BLOCK, pairs - start)
        rows = np.zeros(count, dtype=ROW)
        rows["record"], rows["supplier"] = np.arange(start + 1, start + count + 1), 1
        rows["sku"], check = item_numbers(pa.array(np.arange(start, start + count)).cast(pa.string()))
        rows["sku_check"] = check >> np.uint64(32)
        rows["tire"] = ids[rng.integers(0, tires, count)]
        entries, _, _ = entries_of(0, pa.array(rng.integers(0, pairs, count)).cast(pa.string()))
        yield BlockFacts(rows, BlockOffers(rows["tire"], ids, texts, entries))


def measure(pairs: int, tires: int) -> Measured:
    """Takes, joins and compares the offers of a catalog."""
    counts: dict[int, OfferCounts] = {}
    taken, lacking = 0.0, 0
    with tempfile.TemporaryDirectory() as folder:
        join = OfferJoin(Path(folder), load_book())
        rows, keys = RowStore(Path(folder) / "rows", ROW), Buckets(Path(folder), "sku", PAIR)
        for block in blocks(pairs, tires):
            started = time.process_time()
            first = rows.count
            rows.add(block.rows)
            found = np.zeros(len(block.rows), dtype=PAIR)
            found["key"], found["row"] = block.rows["sku"], np.arange(first, rows.count)
            keys.add(found, bucket_of(found["key"]))
            assert block.offers is not None
            join.take(first, block.offers)
            taken += time.process_time() - started
        started = time.process_time()
        slices = partial(keys.slices, size=MOST_ROWS)
        for some in join.join(slices, rows.read(), np.zeros_like, counts):
            lacking += len(some)
        joined = time.process_time() - started
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    told = sum(sum(one.answers.values()) for one in counts.values())
    return Measured(pairs, tires, taken, joined, lacking, told, peak)


def main() -> None:
    """Prints one run."""
    numbers = [int(word) for word in sys.argv[1:]]
    found = measure(*(numbers + [1_000_000, 5_000][len(numbers) :]))
    print(
        f"{found.pairs:,} pairs of {found.tires:,} tires: taken in {found.taken_s:.1f} s, joined and compared in "
        f"{found.joined_s:.1f} s of the processor, peak {found.peak_mib} MiB; {found.lacking:,} lack something"
    )


if __name__ == "__main__":
    main()
