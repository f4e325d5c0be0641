"""What rules across listings hit: one row per hit, one finding per cell, in the order of findings."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.across.facts import CELLS, DUPLICATED, RULES, SHARED
from auditor.across.key_groups import KEYS
from auditor.across.spool import take_rows

Rows = npt.NDArray[np.int64]

HIT = np.dtype(
    [
        ("row", "<i8"),
        ("rule", "i1"),  # place in facts.RULES
        ("key", "i1"),  # place in KEYS
        ("cell", "i1"),  # place in CELLS; for the first two rules unused
        ("text", "<i8"),  # number of the shared texts; for duplicates the row of the first listing
    ]
)

FIELD_NAMES = (*CELLS, *KEYS)
_DUPLICATE_FIELDS = (2, 1, 0)  # for each of KEYS: which speaks first


def one_per_cell(hits: npt.NDArray[Any], orders: Rows) -> npt.NDArray[Any]:
    """One hit per cell: a GTIN on different tires before a repetition, one key before the next.

    `orders` are the rules' places in the book; the hits come by row, then rule, then field.
    """
    duplicate = hits["rule"] == RULES.index(DUPLICATED)
    first_key = np.where(duplicate, np.array(_DUPLICATE_FIELDS)[hits["key"]], hits["key"])
    cell = np.where(duplicate | (hits["rule"] == RULES.index(SHARED)), 0, hits["cell"])
    rank = np.array([1, 0, 0, 1])[hits["rule"]]
    order = np.lexsort((first_key, rank, cell, hits["row"]))
    hits, cell = take_rows(hits, order), cell[order]
    new = np.ones(len(hits), dtype=np.bool_)
    new[1:] = (hits["row"][1:] != hits["row"][:-1]) | (cell[1:] != cell[:-1])
    hits = take_rows(hits, new)
    return hits[np.lexsort((_field_ranks(hits), orders[hits["rule"]], hits["row"]))]


def field_numbers(hits: npt.NDArray[Any]) -> Rows:
    """For each hit the place of the field that it names in FIELD_NAMES."""
    by_key = np.isin(hits["rule"], [RULES.index(DUPLICATED), RULES.index(SHARED)])
    return np.where(by_key, len(CELLS) + hits["key"].astype(np.int64), hits["cell"])


def _field_ranks(hits: npt.NDArray[Any]) -> Rows:
    ranks = np.argsort(np.argsort(np.array(FIELD_NAMES), kind="stable"), kind="stable")
    return ranks[field_numbers(hits)]
