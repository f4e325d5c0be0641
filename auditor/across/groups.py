"""Judges listings that share a key: duplicates, one GTIN on different tires, suppliers that disagree."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.across.facts import CELLS
from auditor.across.spool import picked

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
NAMES = ("brand", "model")

HIT = np.dtype(
    [
        ("row", "<i8"),
        ("rule", "i1"),  # place in facts.RULES
        ("key", "i1"),  # place in KEYS
        ("cell", "i1"),  # place in CELLS; for the first two rules unused
        ("text", "<i8"),  # number of the shared texts; for duplicates the row of the first listing
    ]
)


@dataclass(slots=True)
class Group:
    """Rows that share a key, ordered by key, then supplier, then row; with the bounds of keys and suppliers."""

    key: int  # place in KEYS
    at: Rows  # row numbers
    base: npt.NDArray[Any]  # rows of facts.ROW
    by_key: Rows  # number of the key group of each row
    by_supplier: Rows  # number of the (key, supplier) group of each row
    starts: Rows  # first place of each (key, supplier) group
    key_of: Rows  # key group of each (key, supplier) group

    @property
    def suppliers(self) -> int:
        return len(self.starts)


def gather(key: int, pairs: npt.NDArray[Any], base: npt.NDArray[Any]) -> Group | None:
    """The rows of a bucket whose key another row has too; `pairs` holds (key, row)."""
    keys = np.sort(pairs["key"])
    twice = keys[1:][keys[1:] == keys[:-1]]
    if len(twice) == 0:
        return None
    at = np.sort(pairs["row"][_among(pairs["key"], np.unique(twice))])
    rows = picked(base, at)
    name = ("gtin", "part", "sku")[key]
    check = rows[name + "_check"] if name != "gtin" else np.zeros(len(rows), dtype=np.uint32)
    order = np.lexsort((at, rows["supplier"], check, rows[name]))
    at, rows, check = at[order], picked(rows, order), check[order]
    new_key = _changes(rows[name]) | _changes(check)
    new_supplier = new_key | _changes(rows["supplier"])
    starts = np.flatnonzero(new_supplier)
    by_key = np.cumsum(new_key) - 1
    return Group(key, at, rows, by_key, np.cumsum(new_supplier) - 1, starts, by_key[starts])


def _among(values: npt.NDArray[Any], wanted: npt.NDArray[Any]) -> Mask:
    """Which values are among sorted wanted ones."""
    place = np.minimum(np.searchsorted(wanted, values), len(wanted) - 1)
    same: Mask = wanted[place] == values
    return same


def _changes(values: npt.NDArray[Any]) -> Mask:
    """Where a value differs from the one before it; true for the first."""
    result = np.ones(len(values), dtype=np.bool_)
    result[1:] = values[1:] != values[:-1]
    return result


@dataclass(slots=True)
class Spans:
    """Least and greatest known value per group."""

    low: Any
    high: Any
    known: Mask

    @property
    def differs(self) -> Mask:
        differs: Mask = self.known & (self.low != self.high)
        return differs


def spans(values: npt.NDArray[Any], known: Mask, starts: Rows) -> Spans:
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
    return Spans(low, high, np.logical_or.reduceat(known, starts))


def fact_spans(group: Group) -> dict[str, Spans]:
    """Spans of every fact and name per (key, supplier) group."""
    mark = group.base["mark"]
    found = {name: spans(mark[name], mark[name] >= 0, group.starts) for name, _ in FACTS}
    for name in (*NAMES, "unread"):
        values = group.base[name]
        found[name] = spans(values, values != 0, group.starts)
    gtins = group.base["gtin"].astype(np.uint64)
    found["gtin"] = spans(gtins, gtins != 0, group.starts)
    return found


@dataclass(slots=True)
class Within:
    """What differs inside each (key, supplier) group."""

    spans: dict[str, Spans]
    facts: Mask  # a fact of the tire
    names: Mask  # brand or model
    rest: Mask  # texts that could not be read, or GTINs


def within(group: Group) -> Within:
    """Looks for differences inside each supplier's listings of one key."""
    found = fact_spans(group)
    facts = np.logical_or.reduce([found[name].differs for name, _ in FACTS])
    names = np.logical_or.reduce([found[name].differs for name in NAMES])
    rest = found["unread"].differs | found["gtin"].differs
    return Within(found, facts, names, rest)


def duplicated(group: Group, inside: Within, shared: bool) -> tuple[Rows, Rows]:
    """(places of later listings of the same tire, rows of their first ones).

    With `shared`, groups of one GTIN on different tires are left to that rule.
    """
    differs = inside.facts | inside.names
    alike = ~(differs | inside.rest)
    place = np.arange(len(group.at))
    first = group.starts[group.by_supplier]
    later = alike[group.by_supplier] & (place != first)
    mixed_up = ~alike & ~(differs if shared else np.zeros_like(differs))
    rows = np.flatnonzero(mixed_up[group.by_supplier])
    if len(rows):
        originals = _originals(group, rows)
        later[rows] = originals != rows
        first = first.copy()
        first[rows] = originals
    hits = np.flatnonzero(later)
    return hits, group.at[first[hits]]


def _originals(group: Group, rows: Rows) -> Rows:
    """For places of a group, the first place of the same supplier and key with all facts equal."""
    base = picked(group.base, rows)
    columns = [base["mark"][name] for name, _ in FACTS] + [base[name] for name in (*NAMES, "unread", "gtin")]
    order = np.lexsort((rows, *columns, group.by_supplier[rows]))
    new = _changes(group.by_supplier[rows][order])
    for column in columns:
        new |= _changes(column[order])
    first = np.empty(len(rows), dtype=np.int64)
    first[order] = rows[order][np.flatnonzero(new)[np.cumsum(new) - 1]]
    return first


@dataclass(slots=True)
class Dispute:
    """Facts on which suppliers disagree."""

    says: dict[str, Mask]  # per fact: (key, supplier) groups that have a say
    keys: dict[str, Mask]  # per fact: key groups in which the says differ


def dispute(group: Group, inside: Within) -> Dispute | None:
    """Compares what suppliers say; one that contradicts itself has no say."""
    starts = np.flatnonzero(_changes(group.key_of))
    says, keys = {}, {}
    for name, _ in FACTS:
        own = inside.spans[name]
        says[name] = own.known & ~inside.facts
        keys[name] = spans(own.low, says[name], starts).differs
    if not any(differs.any() for differs in keys.values()):
        return None
    return Dispute(says, keys)


def disputed_cells(group: Group, found: Dispute) -> Iterator[tuple[int, Rows, Rows]]:
    """For each kind of cell: (place in CELLS, places of the group's rows, bits of the disputed facts it holds)."""
    count = len(group.at)
    members = {}
    for name, _ in FACTS:
        known = group.base["mark"][name] >= 0
        members[name] = found.says[name][group.by_supplier] & found.keys[name][group.by_key] & known
    for cell in range(1, len(CELLS)):
        bits = np.zeros(count, dtype=np.int64)
        for number, (name, at) in enumerate(FACTS):
            bits |= np.where(members[name] & (group.base[at] == cell), 1 << number, 0)
        rows = np.flatnonzero(bits)
        if len(rows):
            yield cell, rows, bits[rows]


def texts_by(numbers: list[Rows], word: Callable[..., int]) -> Rows:
    """word(*combination) once per distinct combination of the parallel columns."""
    order = np.lexsort(tuple(reversed(numbers)))
    new = np.logical_or.reduce([_changes(column[order]) for column in numbers])
    firsts = order[new]
    worded = np.array([word(*(int(column[at]) for column in numbers)) for at in firsts.tolist()], dtype=np.int64)
    result = np.empty(len(order), dtype=np.int64)
    result[order] = worded[np.cumsum(new) - 1]
    return result
