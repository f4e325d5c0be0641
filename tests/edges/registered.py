"""Every edge there is, and what both paths answer to its listings."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from tests.edges import judging_edges, policy_edges, table_edges
from tests.edges.edge import Edge
from tests.edges.paths import Found, Listing, by_call, by_feed, with_blanks

EDGES: tuple[Edge, ...] = (*policy_edges.EDGES, *judging_edges.EDGES, *table_edges.EDGES)


def listings_of(edges: Iterable[Edge]) -> list[Listing]:
    """The listing inside and the one outside of every edge, with the fields of all of them."""
    return with_blanks([listing for edge in edges for listing in edge.listings()])


def answers(listings: list[Listing], path: str, folder: Path) -> list[list[Found]]:
    """What one of the two paths finds in each listing."""
    return by_call(listings) if path == "call" else by_feed(listings, folder)
