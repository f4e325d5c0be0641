"""Listings audited one by one and as a block of records; the two must give the same findings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyarrow as pa

import auditor
from auditor.engine.unit_audit import FeedPlan, UnitAuditor
from auditor.feeds.model import Block, ColumnUse
from auditor.judging.statements import Source
from auditor.programs.verdict import IN_JSON, finding_json
from auditor.rulebook.book import load_book

Listing = dict[str, str]
Findings = list[dict[str, Any]]


def one_by_one(listings: Sequence[Listing]) -> list[Findings]:
    """Each listing through the Python call."""
    return [[finding_json(one) for one in auditor.audit_listing(listing).findings] for listing in listings]


def as_block(listings: Sequence[Listing]) -> list[Findings]:
    """All listings as one block of a feed whose columns are named as the fields."""
    fields = tuple(dict.fromkeys(name for listing in listings for name in listing))
    plan = FeedPlan(
        "trials.parquet",
        None,
        "",
        tuple(Source(number, name, name) for number, name in enumerate(fields)),
        tuple(ColumnUse(name, number, (name,)) for number, name in enumerate(fields)),
        tuple(range(len(fields))),
    )
    columns = [pa.array([listing.get(name) for listing in listings], pa.string()) for name in fields]
    table = UnitAuditor(load_book()).audit(plan, Block(0, columns, np.arange(1, len(listings) + 1))).findings
    found: list[Findings] = [[] for _ in listings]
    for row in [] if table is None else table.to_pylist():
        found[row["record"] - 1].append({name: row[name] for name in IN_JSON})
    return found


def differing(listings: Sequence[Listing]) -> list[int]:
    """The places of listings on which the two paths do not give the same findings, member by member."""
    fields = tuple(dict.fromkeys(name for listing in listings for name in listing))
    full = [{name: listing.get(name, "") for name in fields} for listing in listings]
    pairs = zip(one_by_one(full), as_block(listings), strict=True)
    return [number for number, (one, other) in enumerate(pairs) if one != other]
