"""Both paths of the audit over the same listings, with nothing between them and the public calls."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pyarrow as pa
import pyarrow.parquet as pq

import auditor

Listing = dict[str, str]
# Rules over more than one listing would speak of the rows beside an edge, and fold columns of many wrong cells.
_ACROSS = ("column-suspect", "listing-duplicated", "gtin-shared", "suppliers-disagree", "index-unlike-peers")


class Found(NamedTuple):
    """One finding, as far as an edge is told by it."""

    rule: str
    grade: str
    field: str
    derived: str
    cause: str
    suggestion: str
    evidence: str


@cache
def book() -> Any:
    """The book in force, without the rules that look at other listings too."""
    text = "".join(f'[[off]]\nrule = "{rule}"\nwhy = "an edge is that of one listing"\n' for rule in _ACROSS)
    with tempfile.TemporaryDirectory() as folder:
        policy = Path(folder) / "one_listing.toml"
        policy.write_text(text, encoding="utf-8")
        return auditor.load_book(policy=policy)


def with_blanks(listings: Sequence[Listing]) -> list[Listing]:
    """The listings with every field that any of them has, as the columns of a feed give them."""
    fields = tuple(dict.fromkeys(name for listing in listings for name in listing))
    return [{name: listing.get(name, "") for name in fields} for listing in listings]


def by_call(listings: Sequence[Listing], rules: Any = None) -> list[list[Found]]:
    """What `audit_listing` finds in each listing, by the book in force or another one."""
    found = []
    for listing in listings:
        verdict = auditor.audit_listing(listing, book=rules or book())
        found.append(
            sorted(
                Found(
                    one.rule,
                    one.grade,
                    one.field,
                    one.derived,
                    one.likely_cause,
                    one.suggestion,
                    one.evidence,
                )
                for one in verdict.findings
            )
        )
    return found


def by_feed(listings: Sequence[Listing], folder: Path) -> list[list[Found]]:
    """What `audit` finds in each record of a Parquet feed of the listings."""
    listings = with_blanks(listings)
    names = list(listings[0])
    table = pa.table({name: pa.array([listing[name] for listing in listings], pa.string()) for name in names})
    feed = folder / "edges.parquet"
    pq.write_table(table, feed)
    result = auditor.audit(feed, book=book(), workers=1)
    found: list[list[Found]] = [[] for _ in listings]
    for row in result.findings.to_pylist():
        found[row["record"] - 1].append(
            Found(
                row["rule"],
                row["grade"],
                row["field"],
                row["derived"] or "",
                row["likely_cause"] or "",
                row["suggestion"] or "",
                row["evidence"] or "",
            )
        )
    return [sorted(one) for one in found]
