"""The reached level on trials that others wrote is held."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from tests.trials import beside, feeds, listings, texts, weigh
from tests.trials.both_paths import differing

LEVELS = tomllib.loads(Path(__file__).with_name("levels.toml").read_text("utf-8"))


def percent(part: int, whole: int) -> float:
    return 100.0 * part / whole


def test_listings() -> None:
    level, figures = LEVELS["listings"], listings.measure(listings.read(listings.files()))
    must, right = figures.of(wrong=True, must=True), figures.of(wrong=False)
    assert len(must) > 300 and len(right) > 700
    found = percent(len(must) - len(figures.missed), len(must))
    held, minor = percent(len(figures.held), len(right)), percent(len(figures.minor), len(right))
    said = listings.report(figures, details=False)
    assert found >= level["found_of_must_percent"], said
    assert held <= level["held_wrongly_percent"], said
    assert minor <= level["minor_percent"], said
    assert not figures.differing, said


@pytest.mark.timeout(900)  # 70 s of processor time for 60,000 texts, which other work may make five times as long
def test_texts() -> None:
    """All of them, and by themselves those that are held out; each is read once."""
    by_file = {path.stem: texts.measure(texts.read([path])) for path in texts.files()}
    for name, files in (("texts", by_file), ("texts_held_out", weigh.HELD_OUT)):
        level, outcomes = LEVELS[name], [one for file in files for one in by_file[file]]
        untrue, fine = [one for one in outcomes if one.untrue], [one for one in outcomes if not one.untrue]
        assert len(untrue) > 200 and len(fine) > 300
        assert percent(sum(one.found for one in untrue), len(untrue)) >= level["found_percent"], name
        assert percent(sum(one.accused for one in fine), len(fine)) <= level["accused_percent"], name
        right = texts.pairs(outcomes)
        assert len(right) > 100
        assert percent(sum(right), len(right)) >= level["pairs_right_percent"], name


@pytest.mark.parametrize("kind", ["titles_beside", "pages", "pages_held_out"])
def test_texts_beside_markings(kind: str) -> None:
    files = [
        path
        for path in beside.files(kind.removesuffix("_held_out"))
        if not kind.endswith("_held_out") or path.stem in weigh.PAGES_HELD_OUT
    ]
    level, rows = LEVELS[kind], listings.read(files)
    outcomes = beside.measure(rows)
    wrong, right = ([one for one in outcomes if one.wrong == kind] for kind in (True, False))
    said = beside.report(outcomes, details=True)
    assert len(wrong) >= 80 and len(right) >= 80
    assert percent(sum(one.right for one in wrong), len(wrong)) >= level["found_percent"], said
    assert percent(sum(not one.right for one in right), len(right)) <= level["accused_percent"], said
    assert differing([beside.listing_of(row) for row in rows]) == []


def test_feeds() -> None:
    level, outcomes = LEVELS["feeds"], feeds.measure(feeds.FOLDER)
    said = feeds.report(outcomes, details=True)
    assert len(outcomes) >= 7
    placed, missing = (sum(len(getattr(one, name)) for one in outcomes) for name in ("placed", "missing"))
    assert percent(placed, placed + missing) >= level["placed_percent"], said
    assert sum(len(one.wrong) for one in outcomes) <= level["wrong"], said
    mistakes = sum(one.mistakes for one in outcomes)
    assert percent(sum(one.found for one in outcomes), mistakes) >= level["mistakes_found_percent"], said
    assert sum(one.held for one in outcomes) <= level["held_wrongly"], said
