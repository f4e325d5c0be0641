"""Repeated mistakes: few findings are looked at one by one first, and the same groups come of it."""

from __future__ import annotations

import numpy as np
import pyarrow as pa
import pytest

from auditor.across import repeated
from auditor.across.repeated import LEAST, Group, RepeatedMistakes


def _findings(rng: np.random.Generator, count: int) -> pa.Table:
    """Findings of a few kinds, causes and texts, some of which stand for a whole column."""

    def some(texts: list[str]) -> pa.Array:
        return pa.array(rng.choice(texts, count).tolist(), pa.string())

    return pa.table(
        {
            "supplier": some(["Nordwind", "Kestrel Wheel"]),
            "column": some(["load", "speed"]),
            "field": pa.array(["max_load_kg"] * count, pa.string()),
            "rule": some(["load-overstated", "speed-overstated"]),
            "direction": pa.array(rng.integers(0, 2, count), pa.int8()),
            "likely_cause": some(["unclear", "unclear", "pounds as kilograms"]),
            "grade": some(["critical", "major"]),
            "deviation": pa.array(rng.choice([0.1, 0.1, 1.2, np.nan], count)),
            "stated": some(["999", "850", ""]),
            "reason": some(["", "it names two sizes"]),
            "stands_for": pa.array(rng.choice([1, 1, 1, 60], count)),
        }
    )


def _groups(tables: list[pa.Table]) -> tuple[list[Group], int]:
    mistakes = RepeatedMistakes()
    for table in tables:
        mistakes.take(table)
    return mistakes.groups(), mistakes.rows


def test_findings_that_are_counted_late_make_the_groups_of_those_counted_at_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rng = np.random.default_rng(5)
    feeds = [[_findings(rng, int(rng.integers(0, 60))) for _ in range(int(rng.integers(1, 4)))] for _ in range(80)]
    late = [_groups(feed) for feed in feeds]
    monkeypatch.setattr(repeated, "_FEW", -1)
    assert repr(late) == repr([_groups(feed) for feed in feeds])  # a missing deviation equals none
    assert 20 < sum(bool(groups) for groups, _ in late) < 70


def test_the_least_group_is_found_and_a_smaller_one_is_not() -> None:
    row = _findings(np.random.default_rng(1), 1).set_column(10, "stands_for", pa.array([1]))
    row = row.set_column(5, "likely_cause", pa.array(["pounds as kilograms"]))
    assert _groups([row] * (LEAST - 1)) == ([], LEAST - 1)
    (group,), _ = _groups([row] * LEAST)
    assert group.part.count == LEAST and group.part.first == [0, 1, 2]


def test_places_go_on_where_a_feed_had_too_few_findings() -> None:
    mistakes = RepeatedMistakes()
    row = _findings(np.random.default_rng(1), 1).set_column(10, "stands_for", pa.array([1]))
    row = row.set_column(5, "likely_cause", pa.array(["pounds as kilograms"]))
    mistakes.take(row)
    assert mistakes.groups() == []
    for _ in range(LEAST):
        mistakes.take(row)
    (group,) = mistakes.groups()
    assert group.part.first == [1, 2, 3]
