"""The auditor without its outputs, with more and more of its rules on.

python -m tests.benchmarks.scopes SCOPE FEED [--threads N]
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from auditor.rulebook.book import RuleBook

# What each scope adds to the one before, and the most it may cost.
SCOPES: dict[str, str] = {
    "within": "every rule that looks at one listing, texts left aside",
    "claims": "the same, with the claims in titles and descriptions",
    "cross": "the same, with the rules across listings",
}


def run_scope(scope: str, feed: Path, threads: int) -> int:
    """Audits a feed with the rules of a scope and returns the number of findings; writes nothing that stays."""
    from auditor.engine.process_memory import limit_memory

    limit_memory()
    from auditor.engine.feed_run import FeedTask, audit_feed
    from auditor.engine.unit_audit import UnitAuditor
    from auditor.feeds.locate import find_feeds
    from auditor.judging.block.feed_plan import plan_feed
    from auditor.mapping.opening import open_feeds
    from auditor.rulebook.book import load_book

    book = load_book()
    if scope != "cross":
        book = replace(book, rules=tuple(rule for rule in book.rules if rule.kind != "across"))
    skip = frozenset({"title", "description"} if scope == "within" else ())
    opened = open_feeds(find_feeds([str(feed)])[0])[0]
    auditor = UnitAuditor(book)
    with TemporaryDirectory(prefix="auditor-scope-") as folder:
        across = _across(scope, Path(folder), book)
        take = None if across is None else across.take
        task = FeedTask(0, opened, plan_feed(opened, skip))
        run = audit_feed(task, auditor, Path(folder), threads, take, lambda records, findings: None)
        if across is None:
            return run.findings
        from auditor.engine.record_reader import RecordReader

        return run.findings + sum(table.num_rows for _, table in across.findings(RecordReader([run], auditor)))


def _across(scope: str, folder: Path, book: RuleBook) -> Any:
    if scope != "cross":
        return None
    from auditor.across.comparison import ListingComparison

    spools = folder / "across"
    spools.mkdir()
    return ListingComparison(spools, book)


def main() -> None:
    """Audits one feed and prints the number of findings."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.scopes", description=main.__doc__)
    parser.add_argument("scope", choices=tuple(SCOPES))
    parser.add_argument("feed", type=Path)
    parser.add_argument("--threads", type=int, default=2)
    given = parser.parse_args()
    print(run_scope(given.scope, given.feed, given.threads))


if __name__ == "__main__":
    main()
