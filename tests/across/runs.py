"""Runs catalogs of dictionaries through the rules across listings."""

from __future__ import annotations

import numpy as np
import pyarrow as pa

from auditor.across.block_offers import ALL_FIELDS
from auditor.across.comparison import ListingComparison
from auditor.across.facts import block_facts
from auditor.engine.unit_audit import UnitAuditor
from auditor.feeds.model import Block, ColumnUse
from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.statements import Source
from tests.across.listing_texts import listing_texts


def plan_of(name: str, fields: list[str], supplier: str = "") -> FeedPlan:
    return FeedPlan(
        name,
        None,
        supplier or name,
        tuple(Source(position, field, field.upper()) for position, field in enumerate(fields)),
        tuple(ColumnUse(field, position, (field,)) for position, field in enumerate(fields)),
        tuple(range(len(fields))),
    )


def run(folder, book, feeds: list[list[dict[str, str]]], size: int = 1000, **settings) -> list[dict]:
    """Findings of feeds, each a list of listings, as dictionaries with the feed's number."""
    auditor = UnitAuditor(book)
    names = [f"feed{number}.csv" for number in range(len(feeds))]
    offered = any(field in listing for listings in feeds for listing in listings for field in ALL_FIELDS)
    across = ListingComparison(folder, book, names, offered=offered, **settings)
    kept = {}
    for number, listings in enumerate(feeds):
        fields = list(dict.fromkeys(field for listing in listings for field in listing))
        plan = plan_of(names[number], fields)
        for start in range(0, len(listings), size):
            part = listings[start : start + size]
            columns = [pa.array([listing.get(field) for listing in part], pa.string()) for field in fields]
            records = np.arange(start + 1, start + 1 + len(part))
            st = auditor.statements(plan, Block(0, columns, records))
            across.take(number, block_facts(plan, st, records, across.want))
            kept[number, start] = (plan, st)

    def fetch(feed: int, records: np.ndarray, _: frozenset[str]) -> dict[str, pa.Array]:
        assert (np.diff(records) > 0).all()
        parts = []
        for number, start in sorted(kept):
            if number == feed:
                rows = records[(records > start) & (records <= start + size)] - start - 1
                parts.append(listing_texts(*kept[number, start], rows))
        return {name: pa.concat_arrays([part[name] for part in parts]) for name in parts[0]}

    found = []
    for number, table in across.findings(fetch):
        found.extend({"feed": number, **row} for row in table.to_pylist())
    return found
