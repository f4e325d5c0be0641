"""The reached level on trials that others wrote is held."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from tests.trials import beside, feeds, listings, texts, weigh
from tests.trials.both_paths import differing

LEVELS = tomllib.loads(Path(__file__).with_name("levels.toml").read_text("utf-8"))


# A third of the files in each run; all of them with those tests that are marked as slow.
PARTS = pytest.mark.parametrize("step", [3, pytest.param(1, marks=pytest.mark.slow)], ids=["a third", "all"])


def _part(name: str, step: int) -> str:
    return name if step == 1 else f"{name}_third"


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


@PARTS
@pytest.mark.timeout(900)  # 70 s of processor time for 60,000 texts, which other work may make five times as long
def test_texts(step: int) -> None:
    """All files, and by themselves those that are held out; each is read once."""
    by_file = {path.stem: texts.measure(texts.read([path])) for path in texts.files()[::step]}
    for name, files in (("texts", by_file), ("texts_held_out", [name for name in weigh.HELD_OUT if name in by_file])):
        level, outcomes = LEVELS[_part(name, step)], [one for file in files for one in by_file[file]]
        untrue, fine = [one for one in outcomes if one.untrue], [one for one in outcomes if not one.untrue]
        assert len(untrue) > 200 and len(fine) > 300
        found, accused = (
            percent(sum(ones), len(ones)) for ones in ([one.found for one in untrue], [one.accused for one in fine])
        )
        right = texts.pairs(outcomes)
        assert len(right) > 100
        said = f"{name}: {found:.2f} found, {accused:.2f} accused, {percent(sum(right), len(right)):.2f} of the pairs"
        assert found >= level["found_percent"], said
        assert accused <= level["accused_percent"], said
        assert percent(sum(right), len(right)) >= level["pairs_right_percent"], said


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


@PARTS
def test_feeds(step: int) -> None:
    level, outcomes = LEVELS[_part("feeds", step)], feeds.measure(feeds.FOLDER, step)
    said = feeds.report(outcomes, details=True)
    assert len(outcomes) >= 7
    placed, missing = (sum(len(getattr(one, name)) for one in outcomes) for name in ("placed", "missing"))
    assert percent(placed, placed + missing) >= level["placed_percent"], said
    assert sum(len(one.wrong) for one in outcomes) <= level["wrong"], said
    mistakes = sum(one.mistakes for one in outcomes)
    assert percent(sum(one.found for one in outcomes), mistakes) >= level["mistakes_found_percent"], said
    assert sum(one.held for one in outcomes) <= level["held_wrongly"], said
