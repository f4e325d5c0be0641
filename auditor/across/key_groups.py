"""Judges listings that share a key: duplicates, one GTIN on different tires, suppliers that disagree."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.across.spool import MappedRows, take_rows
from auditor.across.text_numbers import mixed

Rows = npt.NDArray[np.int64]
Mask = npt.NDArray[np.bool_]

KEYS = ("gtin", "part_number", "sku")
# Each fact that may differ, and the column of a row that names the cell it stands in.
FACTS = (
    ("width", "size_at"),
    ("aspect", "size_at"),
    ("rim", "size_at"),
    ("diameter", "size_at"),
    ("index", "index_at"),
    ("dual", "index_at"),
    ("symbol", "symbol_at"),
    ("range", "range_at"),
)
# Facts that may differ a little, and are no marks of another tire.
SLIGHT_FACTS = (("tread", "tread_at"), ("weight", "weight_at"))
NAMES = ("brand", "model")

Slices = Callable[[], Iterator[npt.NDArray[Any]]]  # the (key, row) pairs of a bucket, some at a time
_ROW_KEY = ("gtin", "part", "sku")


@dataclass(slots=True)
class Group:
    """Kinds of rows that share a key: all rows of one kind have the same key, supplier, facts and names.

    Ordered by key, then supplier, then first row; with the bounds of keys and suppliers.  However often one kind of
    listing is repeated, it takes one place here.
    """

    key: int  # place in KEYS
    at: Rows  # the first row of each kind
    base: npt.NDArray[Any]  # rows of facts.ROW
    kinds: npt.NDArray[np.uint64]  # number of each kind
    repeated: Mask  # whether a kind has more than one row
    by_key: Rows  # number of the key group of each kind
    by_supplier: Rows  # number of the (key, supplier) group of each kind
    starts: Rows  # first place of each (key, supplier) group
    key_of: Rows  # key group of each (key, supplier) group

    @property
    def suppliers(self) -> int:
        return len(self.starts)


def gather_group(key: int, slices: Slices, base: MappedRows) -> Group | None:
    """The kinds of rows whose key another row has too; None where no two rows of the bucket share a key."""
    twice = _repeated_keys(slices)
    if len(twice) == 0:
        return None
    kinds, at = np.zeros(0, dtype=np.uint64), np.zeros(0, dtype=np.int64)
    repeated = np.zeros(0, dtype=np.bool_)
    for pairs in slices():
        rows = pairs["row"][_among(pairs["key"], twice)]
        kinds = np.append(kinds, kind_numbers(key, base.pick(rows)))
        at = np.append(at, rows)
        order = np.argsort(kinds, kind="stable")  # rows come in rising order, so the first of a kind stays first
        starts = np.flatnonzero(changes(kinds[order]))
        lengths = np.diff(starts, append=len(order))
        repeated = np.append(repeated, np.zeros(len(rows), dtype=np.bool_))[order]
        repeated = np.logical_or.reduceat(repeated, starts) | (lengths > 1) if len(starts) else repeated
        kinds, at = kinds[order[starts]], at[order[starts]]
    return _in_order(key, kinds, at, repeated, base)


def _in_order(key: int, kinds: npt.NDArray[Any], at: Rows, repeated: Mask, base: MappedRows) -> Group | None:
    """The group of some kinds, without the keys on which nothing can be found."""
    rows = base.pick(at)
    check = _checks(key, rows)
    order = np.lexsort((at, rows["supplier"], check, rows[_ROW_KEY[key]]))
    rows = take_rows(rows, order)
    check = check[order]
    new_key = changes(rows[_ROW_KEY[key]]) | changes(check)
    new_supplier = new_key | changes(rows["supplier"])
    unsettled = _unsettled(rows, np.flatnonzero(new_key), repeated[order] | ~new_supplier)
    if not unsettled.any():
        return None
    kept = np.flatnonzero(unsettled[np.cumsum(new_key) - 1])
    order, new_key, new_supplier = order[kept], new_key[kept], new_supplier[kept]
    starts, by_key = np.flatnonzero(new_supplier), np.cumsum(new_key) - 1
    by_supplier = np.cumsum(new_supplier) - 1
    return Group(
        key,
        at[order],
        take_rows(rows, kept),
        kinds[order],
        repeated[order],
        by_key,
        by_supplier,
        starts,
        by_key[starts],
    )


def _unsettled(rows: npt.NDArray[Any], starts: Rows, again: Mask) -> Mask:
    """Which keys have a supplier with more than one listing, or listings that say different things."""
    if len(rows) == 0:
        return np.zeros(0, dtype=np.bool_)
    tires = tire_numbers(rows)
    differ = np.minimum.reduceat(tires, starts) != np.maximum.reduceat(tires, starts)
    unsettled: Mask = differ | np.logical_or.reduceat(again, starts)
    return unsettled


def rows_of_group(group: Group, slices: Slices, base: MappedRows) -> Iterator[tuple[Rows, Rows]]:
    """(rows, place of the kind of each) for all rows of a group, some at a time."""
    keys = np.unique(group.base[_ROW_KEY[group.key]].astype(np.uint64))
    order = np.argsort(group.kinds)
    kinds = group.kinds[order]
    for pairs in slices():
        rows = pairs["row"][_among(pairs["key"], keys)]
        numbers = kind_numbers(group.key, base.pick(rows))
        yield rows, order[np.searchsorted(kinds, numbers)]


def _repeated_keys(slices: Slices) -> npt.NDArray[np.uint64]:
    """The keys that more than one row of a bucket has, in order."""
    seen = twice = np.zeros(0, dtype=np.uint64)
    for pairs in slices():
        keys = np.sort(np.append(seen, pairs["key"]))
        again = keys[1:] == keys[:-1]
        twice = np.union1d(twice, keys[1:][again]) if len(twice) else np.unique(keys[1:][again])
        seen = keys[changes(keys)]
    return twice


def _checks(key: int, rows: npt.NDArray[Any]) -> npt.NDArray[np.uint32]:
    """The second hash of the key, so that an accident of the first never brings two listings together."""
    if KEYS[key] == "gtin":
        return np.zeros(len(rows), dtype=np.uint32)
    check: npt.NDArray[np.uint32] = rows[_ROW_KEY[key] + "_check"]
    return check


def kind_numbers(key: int, rows: npt.NDArray[Any]) -> npt.NDArray[np.uint64]:
    """One number for all that is compared of each row, equal for rows that have all of it in common."""
    number = mixed(rows[_ROW_KEY[key]].astype(np.uint64) ^ mixed(rows["supplier"] ^ _checks(key, rows)))
    cells = rows["size_at"].astype(np.uint64)
    for name in ("index_at", "symbol_at", "range_at", "tread_at", "weight_at"):
        cells = cells << np.uint64(8) | rows[name].astype(np.uint64)
    for name in ("brand", "model", "unread"):
        number = mixed(number ^ rows[name])
    number = mixed(number ^ rows["gtin"].astype(np.uint64))
    whole: npt.NDArray[np.uint64] = mixed(mixed(number ^ tire_numbers(rows)) ^ cells)
    return whole


def tire_numbers(rows: npt.NDArray[Any]) -> npt.NDArray[np.uint64]:
    """One number for the facts of each row."""
    mark = rows["mark"]
    number: npt.NDArray[np.uint64] = np.zeros(len(rows), dtype=np.uint64)
    for names in (("width", "aspect"), ("rim", "diameter"), ("tread", "weight")):
        number = mixed(number ^ _pair(*(mark[name].view(np.uint32) for name in names)))
    for names in (("index", "dual"), ("symbol", "range")):
        number = mixed(number ^ _pair(*(mark[name].astype(np.uint32) for name in names)))
    return number


def _pair(one: npt.NDArray[np.uint32], two: npt.NDArray[np.uint32]) -> npt.NDArray[np.uint64]:
    return one.astype(np.uint64) << np.uint64(32) | two.astype(np.uint64)


def _among(values: npt.NDArray[Any], wanted: npt.NDArray[Any]) -> Mask:
    """Which values are among sorted wanted ones."""
    position = np.minimum(np.searchsorted(wanted, values), len(wanted) - 1)
    same: Mask = wanted[position] == values
    return same


def changes(values: npt.NDArray[Any]) -> Mask:
    """Where a value differs from the one before it; true for the first."""
    result = np.ones(len(values), dtype=np.bool_)
    result[1:] = values[1:] != values[:-1]
    return result


@dataclass(slots=True)
class ValueRanges:
    """Least and greatest known value per group."""

    low: Any
    high: Any
    known: Mask

    @property
    def differs(self) -> Mask:
        differs: Mask = self.known & (self.low != self.high)
        return differs


def value_ranges(values: npt.NDArray[Any], known: Mask, starts: Rows) -> ValueRanges:
    """Least and greatest known value of each stretch that begins at `starts`."""
    least: Any
    most: Any
    if values.dtype.kind == "u":
        least, most = values.dtype.type(0), np.iinfo(values.dtype).max
    else:
        values = values.astype(np.float64)
        least, most = -np.inf, np.inf
    low = np.minimum.reduceat(np.where(known, values, most), starts)
    high = np.maximum.reduceat(np.where(known, values, least), starts)
    return ValueRanges(low, high, np.logical_or.reduceat(known, starts))


def fact_ranges(group: Group) -> dict[str, ValueRanges]:
    """Spans of every fact and name per (key, supplier) group."""
    mark = group.base["mark"]
    facts = (*FACTS, *SLIGHT_FACTS)
    found = {name: value_ranges(mark[name], mark[name] >= 0, group.starts) for name, _ in facts}
    for name in (*NAMES, "unread"):
        values = group.base[name]
        found[name] = value_ranges(values, values != 0, group.starts)
    gtins = group.base["gtin"].astype(np.uint64)
    found["gtin"] = value_ranges(gtins, gtins != 0, group.starts)
    return found


@dataclass(slots=True)
class SupplierDifferences:
    """What differs inside each (key, supplier) group."""

    ranges: dict[str, ValueRanges]
    facts: Mask  # a fact of the tire
    names: Mask  # brand or model
    rest: Mask  # texts that could not be read, or GTINs


def differences_within_suppliers(group: Group) -> SupplierDifferences:
    """Looks for differences inside each supplier's listings of one key."""
    found = fact_ranges(group)
    facts = np.logical_or.reduce([found[name].differs for name, _ in FACTS])
    names = np.logical_or.reduce([found[name].differs for name in NAMES])
    rest = found["unread"].differs | found["gtin"].differs
    return SupplierDifferences(found, facts, names, rest)


def first_listings(group: Group, inside: SupplierDifferences, shared: bool) -> Rows:
    """For each kind the row that its other rows repeat; -1 where none of them repeats an earlier one.

    Where nothing differs among a supplier's listings of one key, that is the first of them, else the first with the
    same facts.  With `shared`, groups of one GTIN on different tires are left to that rule.
    """
    differs = inside.facts | inside.names
    alike = ~(differs | inside.rest)
    first = group.at[group.starts[group.by_supplier]]
    mixed_up = np.flatnonzero(~alike[group.by_supplier])
    if len(mixed_up):
        first[mixed_up] = group.at[_same_facts(group, mixed_up)]
    settled = (first == group.at) & ~group.repeated
    if shared:
        settled |= differs[group.by_supplier]
    return np.where(settled, -1, first)


def _same_facts(group: Group, positions: Rows) -> Rows:
    """For places of a group, the first place of the same supplier and key with all facts equal."""
    base = take_rows(group.base, positions)
    columns = [base["mark"][name] for name, _ in FACTS] + [base[name] for name in (*NAMES, "unread", "gtin")]
    order = np.lexsort((positions, *columns, group.by_supplier[positions]))
    new = changes(group.by_supplier[positions][order])
    for column in columns:
        new |= changes(column[order])
    first = np.empty(len(positions), dtype=np.int64)
    first[order] = positions[order][np.flatnonzero(new)[np.cumsum(new) - 1]]
    return first


def texts_by_combination(numbers: Sequence[npt.NDArray[Any]], word: Callable[[int], int]) -> Rows:
    """word(place) once per distinct combination of the parallel columns, for the first place that has it."""
    order = np.lexsort(tuple(reversed(numbers)))
    new = np.logical_or.reduce([changes(column[order]) for column in numbers])
    worded = np.array([word(position) for position in order[new].tolist()], dtype=np.int64)
    result = np.empty(len(order), dtype=np.int64)
    result[order] = worded[np.cumsum(new) - 1]
    return result
