"""Rows of many suppliers' files, written as they come and put in each supplier's order afterwards."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from functools import partial
from typing import IO

import pyarrow as pa
import pyarrow.csv as pcsv

_ROWS_ONLY = pcsv.WriteOptions(include_header=False)
_COPIED_BYTES = 1 << 20


class CorrectionsSpool:
    """Takes rows of a supplier and grade in any order; memory holds no more than where in `file` they are."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file = file
        self._places: dict[tuple[str, str], list[tuple[int, int, int]]] = defaultdict(list)  # start, end, rows

    def add(self, supplier: str, grade: str, rows: pa.Table) -> None:
        """Writes rows as comma-separated text behind those of the same supplier and grade."""
        start = self._file.seek(0, 2)
        pcsv.write_csv(rows, self._file, _ROWS_ONLY)
        self._places[supplier, grade].append((start, self._file.tell(), rows.num_rows))

    def copy(self, supplier: str, grade: str, target: IO[bytes]) -> None:
        """Writes all rows of a supplier and grade to `target`."""
        for _, write in self.pieces(supplier, grade):
            write(target)

    def pieces(self, supplier: str, grade: str) -> Iterator[tuple[int, Callable[[IO[bytes]], None]]]:
        """(how many rows, what writes them) for all pieces of a supplier and grade, in their order."""
        for start, end, rows in self._places.get((supplier, grade), ()):
            yield rows, partial(self._copy, start, end)

    def _copy(self, start: int, end: int, target: IO[bytes]) -> None:
        for position in range(start, end, _COPIED_BYTES):
            self._file.seek(position)
            target.write(self._file.read(min(end - position, _COPIED_BYTES)))
