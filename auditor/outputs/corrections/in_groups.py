"""Which of the rows that a supplier is sent belong to one of its repeated mistakes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.outputs.coded import by_texts, is_among

_SAME = 0.012  # how far the ratio of a member may lie from its group's factor
_KIND = ("rule", "column", "field")  # what all rows of a group have in common
Mask = npt.NDArray[np.bool_]
Groups = Mapping[tuple[str, ...], Sequence[Mapping[str, Any]]]


def by_kind(groups: Sequence[Mapping[str, Any]]) -> Groups:
    """The repeated mistakes whose findings stand by themselves, by rule, column and field."""
    found: dict[tuple[str, ...], list[Mapping[str, Any]]] = defaultdict(list)
    for group in groups:
        if not group["folded"]:
            found[tuple(group[name] for name in _KIND)].append(group)
    return found


def in_groups(rows: pa.Table, groups: Groups) -> Mask:
    """Which rows belong to one of a supplier's repeated mistakes; each is asked of the rows of its kind alone."""
    found = np.zeros(rows.num_rows, dtype=np.bool_)
    if groups:
        asked = rows.select(["likely_cause", "deviation", "stated", "message"])
        for texts, mine in by_texts(rows, _KIND):
            kind = tuple(text or "" for text in texts)
            if kind in groups:
                found[mine] = _belong(asked.take(pa.array(mine)), groups[kind])
    return found


def _belong(rows: pa.Table, groups: Sequence[Mapping[str, Any]]) -> Mask:
    """Which rows of one kind have the ratio, the text or the cause of one of its groups."""
    found = np.zeros(rows.num_rows, dtype=np.bool_)
    ratios = np.asarray(pc.fill_null(rows["deviation"], np.nan)) + 1.0
    texts: dict[str, list[str]] = defaultdict(list)
    causes = set()
    for group in groups:
        if group["factor"] is not None:
            with np.errstate(invalid="ignore"):
                mine = np.abs(ratios / group["factor"] - 1.0) < _SAME
            found |= mine & _states(rows, [group["stated"]]) if group["stated"] else mine
        elif group["stated"]:
            texts[group["cause"]].append(group["stated"])
        elif group["reason"]:
            said = pc.match_substring(rows["message"], group["reason"])  # why a cell cannot be read
            found |= is_among(rows["likely_cause"], [group["cause"]]) & np.asarray(said)
        else:
            causes.add(group["cause"])
    found |= is_among(rows["likely_cause"], list(causes))
    for cause, some in texts.items():
        found |= is_among(rows["likely_cause"], [cause]) & _states(rows, some)
    return found


def _states(rows: pa.Table, texts: Sequence[str]) -> Mask:
    stated: Mask = np.asarray(pc.is_in(rows["stated"], value_set=pa.array(texts, pa.string())))
    return stated
