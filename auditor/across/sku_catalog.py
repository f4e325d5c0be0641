"""Which tire a SKU stands for: that of the same supplier first, else that of any other, where it is but one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from auditor.across.spool import MappedRows
from auditor.across.text_numbers import mixed

Numbers = npt.NDArray[np.uint64]
Rows = npt.NDArray[np.int64]


class Met(NamedTuple):
    """The listing of each SKU: its first row, -1 where there is none, and its tire, 0 where that cannot be told."""

    row: Rows
    tire: Numbers


class SkuCatalog:
    """The SKUs of one bucket of rows."""

    def __init__(self, slices: Iterator[npt.NDArray[Any]], base: MappedRows) -> None:
        keys, rows, tires = [np.zeros(0, np.uint64)], [np.zeros(0, np.int64)], [np.zeros(0, np.uint64)]
        own = [np.zeros(0, np.uint64)]
        for pairs in slices:
            picked = base.pick(pairs["row"])
            any_key = _key(pairs["key"], picked["sku_check"])
            keys.append(any_key)
            own.append(mixed(any_key ^ picked["supplier"]))
            rows.append(pairs["row"])
            tires.append(picked["tire"])
        at, tire = np.concatenate(rows), np.concatenate(tires)
        self._any = _Index(np.concatenate(keys), at, tire)
        self._own = _Index(np.concatenate(own), at, tire)

    def find(self, skus: Numbers, checks: npt.NDArray[Any], suppliers: Numbers | None) -> Met:
        """The listings of SKUs; `suppliers` are those who name them."""
        keys = _key(skus, checks)
        anywhere = self._any.find(keys)
        if suppliers is None:
            return anywhere
        own = self._own.find(mixed(keys ^ suppliers))
        known = own.row >= 0
        return Met(np.where(known, own.row, anywhere.row), np.where(known, own.tire, anywhere.tire))


def _key(skus: Numbers, checks: npt.NDArray[Any]) -> Numbers:
    """One number for a SKU and its second hash, so that an accident of the first never brings two together."""
    return mixed(skus ^ mixed(checks.astype(np.uint64)))


class _Index:
    """Keys in order, each with its first row and its tire; 0 where its rows are of different tires."""

    def __init__(self, keys: Numbers, rows: Rows, tires: Numbers) -> None:
        order = np.lexsort((rows, keys))
        keys, rows, tires = keys[order], rows[order], tires[order]
        starts = np.flatnonzero(np.append(True, keys[1:] != keys[:-1])) if len(keys) else np.zeros(0, np.int64)
        self._keys, self._rows = keys[starts], rows[starts]
        if len(starts):
            least, most = np.minimum.reduceat(tires, starts), np.maximum.reduceat(tires, starts)
            self._tires = np.where(least == most, least, np.uint64(0))

    def find(self, keys: Numbers) -> Met:
        if len(self._keys) == 0:
            return Met(np.full(len(keys), -1, dtype=np.int64), np.zeros(len(keys), dtype=np.uint64))
        place = np.minimum(np.searchsorted(self._keys, keys), len(self._keys) - 1)
        there = self._keys[place] == keys
        return Met(np.where(there, self._rows[place], -1), np.where(there, self._tires[place], np.uint64(0)))
