"""Values that are all off by the same factor, found among ratios of stated to derived."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from auditor.across.habits import NO_RATIO, RATIO_STEP

SAME = 4  # steps: one per cent


class Span(NamedTuple):
    """Ratios that lie within one per cent, in steps from `low` to `high`, and how many `values` have one of them."""

    low: int
    high: int
    values: int


def same_ratio(counts: Mapping[int, int]) -> Span | None:
    """The span of one per cent that holds most values; None where no value has a ratio."""
    known = sorted(step for step in counts if step != NO_RATIO)
    if not known:
        return None
    steps = np.array(known)
    sums = np.concatenate([[0], np.cumsum([counts[step] for step in known])])
    ends = np.searchsorted(steps, steps + SAME, side="right")
    held = sums[ends] - sums[:-1]
    first = int(np.argmax(held))
    return Span(known[first], known[int(ends[first]) - 1], int(held[first]))


def factor_of(span: Span) -> float:
    """The factor in the middle of a span."""
    return math.exp((span.low + span.high) / 2 * RATIO_STEP)
