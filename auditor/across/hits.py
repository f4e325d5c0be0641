"""What rules across listings hit: one row per hit, one finding per cell, in the order of findings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.across.facts import CELLS, DISAGREE, DUPLICATED, RULES, SHARED, SKU_SHARED
from auditor.across.key_groups import KEYS
from auditor.across.spool import take_rows
from auditor.rulebook.finding import GRADES
from auditor.rulebook.rule import Rule
from auditor.substitution.offers import LACKING

Rows = npt.NDArray[np.int64]

HIT = np.dtype(
    [
        ("row", "<i8"),
        ("rule", "i1"),  # place in facts.RULES
        ("key", "i1"),  # place in KEYS
        ("cell", "i1"),  # place in CELLS; for the first two rules unused
        ("text", "<i8"),  # number of the shared texts; for duplicates the row of the first listing
        ("other", "<i8"),  # of a substitute: the row of the listing that is named, or -1
        ("place", "<i4"),  # of a substitute: place of the entry in its cell, or of the pair in its file, from 1 on
        ("by_file", "i1"),  # of a substitute: whether a file of pairs names it
        ("more", "<i4"),  # of a substitute: how many other entries of its cell lack something
    ]
)
_ALWAYS_FIRST, _ALWAYS_LAST = 0, 1

FIELD_NAMES = (*CELLS, *KEYS)
_DUPLICATE_FIELDS = (2, 1, 0)  # for each of KEYS: which speaks first


def hit_ranks(rules: Mapping[str, Rule]) -> Rows:
    """For each of RULES which speaks first on one cell: the smaller number; of substitutes the graver rule."""
    ranks = []
    for check in RULES:
        if check in LACKING:
            grade = GRADES.index(rules[check].grade) if check in rules else len(GRADES)
            ranks.append(grade * len(LACKING) + LACKING.index(check))
        else:
            ranks.append(_ALWAYS_FIRST if check in (SHARED, SKU_SHARED, DISAGREE) else _ALWAYS_LAST)
    return np.array(ranks)


def one_per_cell(hits: npt.NDArray[Any], orders: Rows, ranks: Rows) -> npt.NDArray[Any]:
    """One hit per cell: a GTIN on different tires before a repetition, one key before the next, the graver substitute.

    `orders` are the rules' places in the book, `ranks` those of `hit_ranks`; the hits come by row, then rule, then
    field.  Each pair of a file of pairs is a cell of its own.
    """
    duplicate = hits["rule"] == RULES.index(DUPLICATED)
    first_key = np.where(duplicate, np.array(_DUPLICATE_FIELDS)[hits["key"]], hits["key"])
    cell = np.where(duplicate | (hits["rule"] == RULES.index(SHARED)), 0, hits["cell"].astype(np.int64))
    cell = np.where(hits["rule"] == RULES.index(SKU_SHARED), -1, cell)
    cell = np.where(hits["by_file"] == 1, len(CELLS) + hits["place"], cell)
    order = np.lexsort((hits["place"], first_key, ranks[hits["rule"]], cell, hits["row"]))
    hits, cell = take_rows(hits, order), cell[order]
    new = np.ones(len(hits), dtype=np.bool_)
    new[1:] = (hits["row"][1:] != hits["row"][:-1]) | (cell[1:] != cell[:-1])
    starts = np.flatnonzero(new)
    more = np.diff(np.append(starts, len(hits))) - 1
    hits = take_rows(hits, starts)
    hits["more"] = np.where(hits["place"] > 0, more, 0)
    return hits[np.lexsort((_field_ranks(hits), orders[hits["rule"]], hits["row"]))]


def field_numbers(hits: npt.NDArray[Any]) -> Rows:
    """For each hit the place of the field that it names in FIELD_NAMES."""
    by_key = np.isin(hits["rule"], [RULES.index(rule) for rule in (DUPLICATED, SHARED, SKU_SHARED)])
    return np.where(by_key, len(CELLS) + hits["key"].astype(np.int64), hits["cell"])


def _field_ranks(hits: npt.NDArray[Any]) -> Rows:
    ranks = np.argsort(np.argsort(np.array(FIELD_NAMES), kind="stable"), kind="stable")
    return ranks[field_numbers(hits)]
