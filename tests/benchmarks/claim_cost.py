"""What the claims of titles and descriptions that combine freely cost: processor time per listing, block by block.

python -m tests.benchmarks.claim_cost FEED [--texts title description] [--names]

Prints one JSON object: microseconds per listing of the first block, of later ones and over all.  Markings are decoded
before, for an audit decodes them whatever texts say.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from time import process_time
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from tests.benchmarks.free_texts import scatter
from tests.benchmarks.measure import HOUSE
from tests.benchmarks.report import Section, table
from tests.benchmarks.settings import Settings

RECORDS, MARKINGS, BLOCK = 200_000, 30_000, 128_000
CEILING_US = 4.0
_KINDS: dict[str, tuple[str, ...]] = {
    "titles": ("--texts", "title"),
    "titles and descriptions": ("--texts", "title", "description"),
    "titles, names with words and figures, article numbers": ("--texts", "title", "--names"),
}
_OWN = ("marking", None, None, "brand", "model")
_WORDS = ("Winter", "Trail", "Sport", "Run", "All", "Grip", "Haul", "Max")


def claim_cost(settings: Settings) -> list[Section]:
    """Each kind of texts in fresh processes of its own; the median run."""
    feed = settings.feed(
        replace(settings.plan, records=RECORDS, distinct_markings=MARKINGS, free_texts=True), "parquet"
    )
    section = Section(f"Claims in texts that combine freely: {RECORDS:,} listings, {MARKINGS:,} markings")
    rows = []
    for kind, options in _KINDS.items():
        runs = [_run(feed, options) for _ in range(settings.runs)]
        middle = sorted(runs, key=lambda run: run["all_us"])[len(runs) // 2]
        settings.say(f"{kind}: {middle}")
        rows.append([kind, *(f"{middle[name]:.1f}" for name in ("first_us", "later_us", "all_us")), f"{CEILING_US:g}"])
    header = ["", "first block, us a listing", "later blocks", "all", "at most"]
    section.lines = table(header, rows)
    return [section]


def _run(feed: Path, options: Sequence[str]) -> dict[str, Any]:
    command = [sys.executable, "-m", "tests.benchmarks.claim_cost", str(feed), *options]
    ended = subprocess.run(command, cwd=HOUSE, capture_output=True, text=True, check=True)
    read: dict[str, Any] = json.loads(ended.stdout)
    return read


def with_names(listings: pa.Table) -> pa.Table:
    """The same listings with names that hold words and figures, and an article number in every title."""
    row = np.arange(len(listings), dtype=np.int64)
    words = pa.array(_WORDS).take(pa.array(scatter(row, 91) % len(_WORDS)))
    names = pc.binary_join_element_wise(words, pc.cast(pa.array(scatter(row, 92) % 90 + 10), pa.string()), " ")
    article = pc.cast(pa.array(scatter(row, 93) % 900_000 + 100_000), pa.string())
    old, title = listings["model"].combine_chunks(), listings["title"].combine_chunks().cast(pa.string())
    model = pc.binary_join_element_wise(old.cast(pa.string()), names, " ")
    title = pc.binary_join_element_wise(title, model, "Art.", article, " ")
    for name, column in (("model", model), ("title", title)):
        listings = listings.set_column(listings.column_names.index(name), name, column)
    return listings


def _measured(listings: pa.Table, texts: Sequence[str]) -> dict[str, float]:
    from auditor.claims.batch.columns import ClaimReader
    from auditor.claims.terms.lexicon import lexicon_of
    from auditor.columns.value_cache import MarkingCache
    from auditor.marking.store import read_row
    from auditor.trade.tables import default_tables

    markings = MarkingCache(partial(read_row, tables=default_tables()))
    markings.codes([listings["marking"].combine_chunks().unique().cast(pa.string())])
    reader = ClaimReader(lexicon_of(), default_tables(), markings)
    spent = []
    for start in range(0, len(listings), BLOCK):
        block = listings.slice(start, BLOCK)
        own = [None if name is None else block[name].combine_chunks() for name in _OWN]
        columns = {name: block[name].combine_chunks() for name in texts}
        begin = process_time()
        owns = reader.owns(own, len(block))
        for name, column in columns.items():
            reader.encode(column, owns, name == "title")
        spent.append(process_time() - begin)
    later = len(listings) - BLOCK
    return {
        "first_us": spent[0] / min(BLOCK, len(listings)) * 1e6,
        "later_us": sum(spent[1:]) / later * 1e6 if later > 0 else float("nan"),
        "all_us": sum(spent) / len(listings) * 1e6,
    }


def main() -> None:
    """Measures one feed and prints what its claims cost."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.claim_cost", description=main.__doc__)
    parser.add_argument("feed", type=Path)
    parser.add_argument("--texts", nargs="+", default=["title"])
    parser.add_argument("--names", action="store_true", help="names with words and figures, and article numbers")
    given = parser.parse_args()
    listings = pq.read_table(given.feed)
    print(json.dumps(_measured(with_names(listings) if given.names else listings, given.texts)))


if __name__ == "__main__":
    main()
