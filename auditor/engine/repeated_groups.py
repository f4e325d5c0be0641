"""The repeated mistakes of an audit as plain data: whole columns that are folded, and groups of single findings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from auditor.across.ratios import factor_of
from auditor.across.repeated import Group
from auditor.engine.feed_run import FeedRun
from auditor.engine.folding import ColumnFolder, FoldedColumn
from auditor.engine.merge import Folders
from auditor.engine.shift_groups import ShiftGroup
from auditor.judging.keys import hash_text
from auditor.outputs.languages import load_wordings
from auditor.outputs.repeated import in_a_sentence, worst_first
from auditor.outputs.worst_findings import rows_at
from auditor.rulebook.finding import GRADES

_SHOWN = ("record", "sku", "part_number", "gtin", "marking", "stated", "derived", "key")
_DIRECTIONS = {1: "above", -1: "below", 0: ""}


def repeated_of_feed(run: FeedRun, groups: Sequence[Group], folders: Folders | None) -> list[dict[str, Any]]:
    """The repeated mistakes of one feed; examples of groups are places among the findings still."""
    found: list[dict[str, Any]] = []
    if folders is not None:
        found += [_folded(run, column, folders.columns) for column in folders.columns.folded.values()]
        found += [_shifted(run, group, folders.shifts.rule.id) for group in folders.shifts.groups if group.examples]
    return [*found, *(_group(run, group) for group in groups)]


def with_examples(found: Sequence[dict[str, Any]], findings: Path) -> list[dict[str, Any]]:
    """All repeated mistakes, worst first, with their examples fetched from the findings."""
    places = sorted({place for group in found for place in group["examples"] if isinstance(place, int)})
    rows = rows_at(findings, np.array(places, dtype=np.int64)).select(list(_SHOWN)).to_pylist() if places else []
    by_place = dict(zip(places, rows, strict=True))
    words = load_wordings("en")
    done = [
        {**group, "examples": [by_place[one] if isinstance(one, int) else one for one in group["examples"]]}
        for group in found
    ]
    for group in done:
        group["says"] = group["says"] or in_a_sentence(group, words)
    return worst_first(done)


def _folded(run: FeedRun, column: FoldedColumn, folder: ColumnFolder) -> dict[str, Any]:
    examples = folder.examples[column.habit]
    stated = examples[0]["stated"] if examples else ""
    return {
        **_where(run, column.habit.supplier, column.column, column.habit.field, column.rule),
        "key": column.key,
        "grade": column.grade,
        "cause": column.cause,
        "direction": _DIRECTIONS[column.habit.direction],
        "count": column.count,
        "readable": column.readable,
        "share": round(min(1.0, column.count / column.filled), 4),
        "deviation": _rounded(column.deviation),
        "factor": _rounded(column.factor),
        "stated": None,
        "reason": (examples[0]["reason"] or None) if examples else None,
        "folded": True,
        "says": folder.message(column, stated),
        "examples": [{name: row[name] for name in _SHOWN} for row in examples],
    }


def _shifted(run: FeedRun, group: ShiftGroup, rule: str) -> dict[str, Any]:
    return {
        **_where(run, group.supplier, "", "marking", rule),
        "key": group.key,
        "grade": GRADES[group.worst],
        "cause": "column-shifted",
        "direction": "",
        "count": len(group.records),
        "readable": len(group.records),
        "share": None,
        "deviation": None,
        "factor": None,
        "stated": None,
        "reason": None,
        "folded": True,
        "says": group.says,
        "shift": {
            "column": group.column,
            "way": group.way,
            "first_record": group.records[0],
            "last_record": group.records[-1],
        },
        "examples": [{**{name: row[name] for name in _SHOWN}, "derived": ""} for row in group.examples],
    }


def _group(run: FeedRun, group: Group) -> dict[str, Any]:
    kind, part = group.kind, group.part
    factor = None if group.ratio is None else factor_of(group.ratio)
    shared = group.stated or group.reason or ("" if factor is None else f"{factor:.2f}")
    return {
        **_where(run, kind.supplier, kind.column, kind.field, kind.rule),
        "key": hash_text(
            "\x1f".join((kind.supplier.strip(), *kind[1:4], str(kind.direction), group.cause, shared, "group"))
        ),
        "grade": GRADES[part.worst],
        "cause": group.cause,
        "direction": _DIRECTIONS[kind.direction],
        "count": part.count,
        "share": _share(run, group),
        "deviation": _rounded(None if part.deviation != part.deviation else part.deviation),
        "factor": _rounded(factor),
        "stated": group.stated,
        "reason": group.reason,
        "folded": False,
        "says": "",
        "examples": list(part.first),
    }


def _where(run: FeedRun, supplier: str, column: str, field: str, rule: str) -> dict[str, Any]:
    names: Mapping[str, Any] = {"feed": run.feed.name, "sheet": run.feed.sheet}
    return {"supplier": supplier, **names, "column": column, "field": field, "rule": rule}


def _rounded(value: float | None) -> float | None:
    return None if value is None or value != value else round(value, 4)


def _share(run: FeedRun, group: Group) -> float | None:
    """Which share of the filled cells of its column a group is; None where it belongs to no column."""
    for source in _sources(run, group):
        filled = run.habits.cells[group.kind.supplier, source, ""]
        if filled:
            return round(min(1.0, group.part.count / filled), 4)
    return None


def _sources(run: FeedRun, group: Group) -> Iterator[int]:
    for source in run.plan.sources:
        if source.header == group.kind.column:
            yield source.position
