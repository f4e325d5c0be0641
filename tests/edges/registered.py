"""Every edge there is, and its listings."""

from __future__ import annotations

from collections.abc import Iterable

from tests.edges import judging_edges, policy_edges, table_edges
from tests.edges.edge import Edge
from tests.edges.paths import Listing, with_blanks

EDGES: tuple[Edge, ...] = (*policy_edges.EDGES, *judging_edges.EDGES, *table_edges.EDGES)


def listings_of(edges: Iterable[Edge]) -> list[Listing]:
    """The listing inside and the one outside of every edge, with the fields of all of them."""
    return with_blanks([listing for edge in edges for listing in edge.listings()])
