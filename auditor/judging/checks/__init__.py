"""The few rules that are no plain comparisons.  Each is one function over a vocabulary, named by the rule book."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from auditor.judging.checks import gradings, identities, labels, loads, markings, pressures, seasons, sizes
from auditor.judging.rule_terms import Collector
from auditor.rulebook.book import Rule

Check = Callable[[Rule, Any, Collector], None]

CHECKS: dict[str, Check] = {
    **markings.CHECKS,
    **loads.CHECKS,
    **sizes.CHECKS,
    **pressures.CHECKS,
    **gradings.CHECKS,
    **seasons.CHECKS,
    **labels.CHECKS,
    **identities.CHECKS,
}

# Rules that look at more than one listing; they run after all feeds are read.
ACROSS_LISTINGS = (
    "column_suspect",
    "listing_duplicated",
    "gtin_shared",
    "suppliers_disagree",
    "index_unlike_peers",
)
