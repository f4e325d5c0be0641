"""The floors of quality, on a smaller catalog than `python -m tests.quality` measures."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.quality import Figures, measure, report


@pytest.fixture(scope="module")
def figures(tmp_path_factory: pytest.TempPathFactory) -> Figures:
    folder: Path = tmp_path_factory.mktemp("quality")
    return measure(right=4000, each=8, seed=11, folder=folder)


def test_recall_and_named_fields(figures: Figures) -> None:
    total = figures.faults.total
    assert total.found / total.wanted >= 0.995
    assert total.named / total.wanted >= 0.99


def test_causes(figures: Figures) -> None:
    total = figures.faults.total
    assert total.caused / total.asked >= 0.95


def test_no_kind_of_mistake_goes_unnoticed(figures: Figures) -> None:
    poor = {kind for kind, tally in figures.faults.kinds.items() if tally.named < 0.9 * tally.wanted}
    assert poor == set()


def test_right_listings_are_not_accused(figures: Figures) -> None:
    assert [(finding["rule"], finding["message"]) for _, finding in figures.right.alarms] == []


def test_few_strays_beside_the_mistakes(figures: Figures) -> None:
    assert figures.faults.total.stray <= 0.02 * figures.faults.total.wanted


def test_wrong_columns_are_named_once(figures: Figures) -> None:
    assert [(case.kind, named) for case, named, _ in figures.columns if not named] == []


def test_the_report_shows_every_kind(figures: Figures) -> None:
    text = report(figures)
    assert all(f"| {kind} |" in text for kind in figures.faults.kinds)
