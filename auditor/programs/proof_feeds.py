"""The findings on examples as records of a feed; loaded only where an own book is proven."""

from __future__ import annotations

import csv
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from auditor.engine.progress import progress
from auditor.engine.run import Settings, run_audit
from auditor.engine.unit_audit import UnitAuditor
from auditor.feeds.model import Block
from auditor.judging.block.feed_plan import FeedPlan, plan_of_fields
from auditor.judging.statements import place_of
from auditor.programs.offers_of_blocks import offers_of_block, with_offers
from auditor.rulebook.book import RuleBook

Findings = list[dict[str, Any]]


def block_findings(listings: Sequence[Mapping[str, str]], book: RuleBook) -> list[Findings]:
    """What is found on each of some listings when they are the records of one block."""
    found: list[Findings] = [[] for _ in listings]
    if listings:
        auditor, (plan, block) = UnitAuditor(book), as_block(listings)
        st = auditor.statements(plan, block)
        table = with_offers(auditor.audit_statements(plan, st, block).findings, offers_of_block(plan, st))
        for row in [] if table is None else table.to_pylist():
            found[row["record"] - 1].append(row)
    return found


def as_block(listings: Sequence[Mapping[str, str]]) -> tuple[FeedPlan, Block]:
    """Some listings as the records of one block, with a column for each field that any of them has."""
    fields = sorted({name for listing in listings for name in listing}, key=place_of)
    columns = [pa.array([listing.get(name) for listing in listings], pa.string()) for name in fields]
    return plan_of_fields(fields), Block(0, columns, np.arange(1, len(listings) + 1))


def feed_findings(listings: Sequence[Mapping[str, str]], book: RuleBook) -> Findings:
    """What a whole audit finds on some listings as one feed, rules across listings included."""
    headers = list(dict.fromkeys(name for listing in listings for name in listing))
    with tempfile.TemporaryDirectory(prefix="auditor-") as work, progress("none") as silent:
        feed = Path(work) / "examples.csv"
        with feed.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, headers)
            writer.writeheader()
            writer.writerows(listings)
        run_audit([str(feed)], Path(work) / "out", Settings(book=book, workers=1, workbook=False), silent)
        rows: Findings = pq.read_table(Path(work) / "out" / "findings.parquet").to_pylist()
        return rows
