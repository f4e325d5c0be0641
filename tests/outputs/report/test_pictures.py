"""Where rings, bars and curves go."""

from __future__ import annotations

import math

import pytest

from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.report.pictures import (
    MOST_PAIRS,
    MOST_SUPPLIERS,
    OTHERS,
    bars_of_load_deviation,
    curves_of_index_confusions,
    rings_by_supplier_and_subject,
)


def test_ring_areas_stand_for_counts() -> None:
    rows = [
        {"subject": "load", "supplier": "Kestrel", "findings": 400},
        {"subject": "speed", "supplier": "Kestrel", "findings": 100},
        {"subject": "speed", "supplier": "Vallon", "findings": 100},
    ]
    picture = rings_by_supplier_and_subject(rows, ["speed", "load"])
    assert picture is not None
    assert [name for name, _ in picture.subjects] == ["speed", "load"]
    assert [name for name, _ in picture.suppliers] == ["Kestrel", "Vallon"]
    radius = {(ring.supplier, ring.subject): ring.radius for ring in picture.rings}
    assert radius["Kestrel", "load"] == pytest.approx(2 * radius["Kestrel", "speed"])
    for ring in picture.rings:
        assert 0 < ring.x < picture.width
        assert 0 < ring.y < picture.height


def test_suppliers_beyond_the_most_are_one_row_and_no_finding_is_lost() -> None:
    rows = [{"subject": "load", "supplier": f"S{n:02d}", "findings": n} for n in range(1, 41)]
    picture = rings_by_supplier_and_subject(rows)
    assert picture is not None
    assert len(picture.suppliers) == MOST_SUPPLIERS + 1
    assert picture.suppliers[-1][0] == OTHERS
    assert sum(ring.count for ring in picture.rings) == sum(range(1, 41))


def test_bars_are_as_tall_as_their_counts_and_on_the_right_side(audit: FinishedAudit) -> None:
    steps = audit.summary["load_deviation"]
    picture = bars_of_load_deviation(steps)
    assert picture is not None
    assert sum(bar.count for bar in picture.bars) == sum(step["count"] for step in steps)
    tallest = max(picture.bars, key=lambda bar: bar.count)
    for bar in picture.bars:
        assert bar.height == pytest.approx(max(tallest.height * bar.count / tallest.count, 2 * bool(bar.count)))
        assert bar.above == (bar.x >= picture.zero - 1)
    assert {text for _, _, text in picture.notes} >= {"pounds written as kilograms"}
    assert "0 %" in [text for _, text in picture.ticks]


def test_curves_join_marking_and_listing() -> None:
    pairs = [{"stated": str(90 + n), "derived": "100", "count": n} for n in range(1, 21)]
    picture = curves_of_index_confusions(pairs)
    assert picture is not None
    assert len(picture.curves) == MOST_PAIRS
    assert picture.left_out == 20 - MOST_PAIRS
    assert [name for name, _ in picture.left] == ["100"]
    right = [int(name) for name, _ in picture.right]
    assert right == sorted(right)
    assert all(curve.above == (int(curve.stated) > 100) for curve in picture.curves)
    assert not any(math.isnan(curve.thickness) for curve in picture.curves)


def test_nothing_found_draws_nothing() -> None:
    assert rings_by_supplier_and_subject([]) is None
    assert bars_of_load_deviation([{"from": 0.0, "to": 0.05, "count": 0}]) is None
    assert curves_of_index_confusions([]) is None
