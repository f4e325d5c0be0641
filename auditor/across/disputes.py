"""Facts of one tire on which suppliers disagree."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.across.facts import CELLS, cell_of
from auditor.across.key_groups import (
    FACTS,
    SLIGHT_FACTS,
    Group,
    Mask,
    Rows,
    SupplierDifferences,
    changes,
    value_ranges,
)
from auditor.across.text_numbers import mixed

Facts = tuple[tuple[str, str], ...]  # each fact, and the column of a row that names the cell it stands in
Apart = Callable[[str, Any, Any], Mask]  # whether the least and the greatest of what is said of a fact differ


@dataclass(slots=True)
class Dispute:
    """Facts on which suppliers disagree."""

    facts: Facts
    says: dict[str, Mask]  # per fact: (key, supplier) groups that have a say
    keys: dict[str, Mask]  # per fact: key groups in which the says differ


def find_dispute(group: Group, inside: SupplierDifferences) -> Dispute | None:
    """Compares what suppliers say; one that contradicts itself has no say."""
    return _dispute(group, inside, FACTS, lambda _, low, high: low != high)


def find_slight_dispute(group: Group, inside: SupplierDifferences, limits: Mapping[str, Any]) -> Dispute | None:
    """Compares tread depths and weights, which may differ by the limits of the rule."""

    def apart(fact: str, low: Any, high: Any) -> Mask:
        most = limits["tread_depth_mm"] if fact == "tread" else limits["tire_weight_share"] * high
        far: Mask = high - low > most + _ROUNDING
        return far

    return _dispute(group, inside, SLIGHT_FACTS, apart)


_ROUNDING = 1e-3  # of numbers of four bytes


def _dispute(group: Group, inside: SupplierDifferences, facts: Facts, apart: Apart) -> Dispute | None:
    starts = np.flatnonzero(changes(group.key_of))
    says, keys = {}, {}
    for name, _ in facts:
        own = inside.ranges[name]
        says[name] = own.known & ~inside.facts & ~own.differs
        among = value_ranges(own.low, says[name], starts)
        with np.errstate(invalid="ignore"):  # where nobody has a say
            keys[name] = among.known & apart(name, among.low, among.high)
    if not any(differs.any() for differs in keys.values()):
        return None
    return Dispute(facts, says, keys)


def disputed_cells(group: Group, found: Dispute) -> Iterator[tuple[int, Rows, Rows]]:
    """For each cell: (place in CELLS, places of kinds of rows, bits of the disputed facts that the cell holds)."""
    count = len(group.at)
    members = {}
    for name, _ in found.facts:
        known = group.base["mark"][name] >= 0
        members[name] = found.says[name][group.by_supplier] & found.keys[name][group.by_key] & known
    places = {name: cell_of(name, group.base[at]) if at == "size_at" else group.base[at] for name, at in found.facts}
    for cell in range(1, len(CELLS)):
        bits = np.zeros(count, dtype=np.int64)
        for number, (name, _) in enumerate(found.facts):
            bits |= np.where(members[name] & (places[name] == cell), 1 << number, 0)
        rows = np.flatnonzero(bits)
        if len(rows):
            yield cell, rows, bits[rows]


def statements_of(group: Group, inside: SupplierDifferences, found: Dispute) -> dict[str, npt.NDArray[np.uint64]]:
    """Per fact and key: one number for who says what, equal where the same suppliers say the same."""
    starts = np.flatnonzero(changes(group.key_of))
    owners = group.base["supplier"][group.starts]
    result = {}
    for number, (name, _) in enumerate(found.facts):
        said = inside.ranges[name].low.view(np.uint64)
        voice = np.where(found.says[name], mixed(owners ^ mixed(said + np.uint64(number))), np.uint64(0))
        result[name] = np.add.reduceat(voice, starts)
    return result


def statements_among(bits: Rows, keys: Rows, by_fact: dict[str, npt.NDArray[np.uint64]]) -> npt.NDArray[np.uint64]:
    """For places with keys and disputed facts: one number for who says what about those facts."""
    total: npt.NDArray[np.uint64] = np.zeros(len(bits), dtype=np.uint64)
    for number, name in enumerate(by_fact):
        total += np.where(bits >> number & 1, by_fact[name][keys], np.uint64(0))
    return total
