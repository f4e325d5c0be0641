"""Counts by rule of one feed, kept small: a folder of 20,000 feeds has one for each, to the end of the run."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.mapping.shared_parts import shared


class RuleCounts:
    """How many listings each rule counts; feeds of one layout share the names of the rules."""

    __slots__ = ("_numbers", "_rules")

    def __init__(self, counts: Mapping[str, int] | None = None) -> None:
        counts = counts or {}
        self._rules: tuple[str, ...] = shared(tuple(counts))
        numbers = list(counts.values())
        self._numbers: npt.NDArray[Any] = np.array(numbers, dtype=np.min_scalar_type(max(numbers, default=0)))

    def counted(self) -> Counter[str]:
        """By rule, in the order in which the rules were first met."""
        return Counter(dict(zip(self._rules, self._numbers.tolist(), strict=True)))

    def with_more(self, more: Mapping[str, int]) -> RuleCounts:
        """These counts and some more."""
        counts = self.counted()
        counts.update(more)
        return RuleCounts(counts)
