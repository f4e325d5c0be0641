"""Feeds, what one machine makes of them, and a cluster that several tests share."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.engine.workers.cluster.machines import Machines, machines
from tests.engine.workers.cluster.nights import run, write_feeds
from tests.engine.workers.nights import files, shorten_units


@pytest.fixture(autouse=True)
def short_units(monkeypatch: pytest.MonkeyPatch) -> None:
    shorten_units(monkeypatch)


@pytest.fixture(scope="session")
def feeds(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("feeds")
    write_feeds(folder)
    return folder


@pytest.fixture(scope="session")
def usual(feeds: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """What a run on this machine alone writes."""
    out = tmp_path_factory.mktemp("usual") / "out"
    outcome = run(feeds, out, None)
    assert outcome.summary["by_rule"].keys() & {"listing-duplicated", "gtin-shared"}
    return files(out)


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Machines]:
    """A scheduler and two workers, of which no test kills any."""
    with machines(tmp_path_factory.mktemp("cluster"), 2) as started:
        yield started
