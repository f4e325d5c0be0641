"""How many cells of each column are filled, by supplier, kept small: a folder of 20,000 feeds has it for each."""

from __future__ import annotations

from collections.abc import Mapping
from sys import intern
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.mapping.shared_parts import shared

Key = tuple[str, int, str]  # supplier, source, field


class FilledCells:
    """Counts by supplier, source and field; 0 for what was not counted."""

    __slots__ = ("_columns", "_numbers", "_suppliers")

    def __init__(self, counts: Mapping[Key, int] | None = None) -> None:
        counts = counts or {}
        suppliers = {name: place for place, name in enumerate(dict.fromkeys(key[0] for key in counts))}
        columns = {column: place for place, column in enumerate(dict.fromkeys(key[1:] for key in counts))}
        dtype = np.min_scalar_type(max(counts.values(), default=0))
        numbers = np.zeros((len(suppliers), len(columns)), dtype=dtype)
        for key, count in counts.items():
            numbers[suppliers[key[0]], columns[key[1:]]] = count
        self._suppliers = tuple(map(intern, suppliers))
        self._columns: tuple[tuple[int, str], ...] = shared(tuple(columns))
        self._numbers: npt.NDArray[Any] = numbers

    def __getitem__(self, key: Key) -> int:
        if key[0] not in self._suppliers or key[1:] not in self._columns:
            return 0
        return int(self._numbers[self._suppliers.index(key[0]), self._columns.index(key[1:])])
