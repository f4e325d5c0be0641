"""Listings audited one by one and as a block of records; the two must give the same findings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import auditor
from auditor.programs.proof_feeds import block_findings
from auditor.programs.verdict import IN_JSON
from auditor.rulebook.book import load_book

Listing = dict[str, str]
Findings = list[dict[str, Any]]


def one_by_one(listings: Sequence[Listing]) -> list[Findings]:
    """Each listing through the Python call."""
    return [[one.as_json() for one in auditor.audit_listing(listing).findings] for listing in listings]


def as_block(listings: Sequence[Listing]) -> list[Findings]:
    """All listings as one block of a feed whose columns are named as the fields."""
    found = block_findings(listings, load_book())
    return [[{name: row[name] for name in IN_JSON} for row in rows] for rows in found]


def differing(listings: Sequence[Listing]) -> list[int]:
    """The places of listings on which the two paths do not give the same findings, member by member."""
    fields = tuple(dict.fromkeys(name for listing in listings for name in listing))
    cells = [{name: _text(cell) for name, cell in listing.items()} for listing in listings]
    full = [{name: listing.get(name, "") for name in fields} for listing in cells]
    pairs = zip(one_by_one(full), as_block(cells), strict=True)
    return [number for number, (one, other) in enumerate(pairs) if one != other]


def _text(cell: object) -> str:
    """A cell as a feed has it: numbers of JSON are written out."""
    return "" if cell is None else str(cell)
