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
    from auditor.engine.audit_stage import AuditStage
    from auditor.engine.known_feeds import KnownFeeds
    from auditor.engine.progress import progress
    from auditor.engine.unit_work import UnitWork
    from auditor.engine.workers.threads import in_threads
    from auditor.feeds.locate import find_feeds
    from auditor.judging.block.feed_plan import plan_feed
    from auditor.mapping.opening import open_feeds
    from auditor.rulebook.book import load_book

    book = load_book()
    if scope != "cross":
        book = replace(book, rules=tuple(rule for rule in book.rules if rule.kind != "across"))
    skip = frozenset({"title", "description"} if scope == "within" else ())
    with TemporaryDirectory(prefix="auditor-scope-") as folder, progress("none") as silent:
        known = KnownFeeds(silent, opened=open_feeds(find_feeds([str(feed)])[0]))
        across = _across(scope, Path(folder), book)
        work = UnitWork(book, Path(folder))
        stage = AuditStage(known, Path(folder), across, lambda feed: plan_feed(feed, skip))
        (run,) = stage.run(lambda jobs: in_threads(jobs, work, threads))
        if across is None:
            return run.findings
        from auditor.engine.record_reader import RecordReader

        found = across.findings(RecordReader([run], work.auditor))
        return run.findings + sum(table.num_rows for _, table in found)


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
