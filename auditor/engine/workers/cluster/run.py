"""A cluster for one run, from the connection to the end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from auditor.engine.workers.cluster.connection import connected
from auditor.engine.workers.cluster.crew import ClusterCrew
from auditor.engine.workers.cluster.members import Tell
from auditor.engine.workers.cluster.place import open_place
from auditor.engine.workers.cluster.settings import ClusterSettings
from auditor.feeds.model import Feed
from auditor.rulebook.book import RuleBook


@contextmanager
def cluster_crew(
    settings: ClusterSettings, feeds: Sequence[Feed], book: RuleBook, folder: Path, tell: Tell
) -> Iterator[ClusterCrew]:
    """The workers of a cluster; `folder` is the run's work folder."""
    with connected(settings.address) as client:
        crew = ClusterCrew(client, settings.address, open_place(settings.folder), book, tell)
        try:
            crew.begin(feeds, folder)
            yield crew
        finally:
            crew.end()
