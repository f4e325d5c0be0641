"""The parts of a run's units in the place that all reach, as the run itself sees them: what is there, and bringing it.

What is there already, of a run that broke off, is taken as done where its manifest is of the same unit.
"""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from auditor.engine.feed_run import FeedRun
from auditor.engine.unit_parts import part_path
from auditor.engine.unit_work import FeedTask, UnitJob
from auditor.engine.workers.cluster.identity import feed_identity, unit_identity
from auditor.engine.workers.cluster.orders import Manifest, manifest_name, part_name
from auditor.engine.workers.cluster.place import Place
from auditor.feeds.model import Feed

_TRIES, _WAIT_S = 4, 0.25  # a shared disk may show a new file a moment late to another machine


class Parts:
    """The parts of one run."""

    def __init__(self, place: Place, folder: Path, rules: str) -> None:
        """`folder` is the run's work folder, `rules` the digest of its rule book."""
        self._place, self._folder, self._rules = place, folder, rules
        self._feeds: dict[int, str] = {}  # names by number
        self._there: dict[int, set[str]] = {}  # manifests that were there before
        self._delivered: set[str] = set()

    def name_of(self, job: UnitJob) -> str:
        """The name of a unit's parts."""
        return part_name(self._feed(job.task), job.part)

    def delivered(self, task: FeedTask | FeedRun) -> str:
        """Brings the file of a feed, whose units are known, to the place of parts, once; its name there."""
        name = f"{self._feed(task) if isinstance(task, FeedTask) else self._feeds[task.number]}/feed"
        if name not in self._delivered:
            self._place.put(name, path_of(task.feed))
            self._delivered.add(name)
        return name

    def found(self, job: UnitJob) -> Manifest | None:
        """The manifest of a unit that was audited before this run began."""
        name = manifest_name(self.name_of(job))
        if name not in self._there[job.task.number]:
            return None
        try:
            manifest = Manifest.of(self._place.read(name))
        except (OSError, ValueError, KeyError):
            return None
        return manifest if manifest.unit == unit_identity(job.unit) and self.brought(job, manifest) else None

    def brought(self, job: UnitJob, manifest: Manifest) -> bool:
        """Brings a unit's files to the run's work folder; whether they were there, each as long as it should be."""
        for kind, size in manifest.files.items():
            target = part_path(self._folder, kind, *job.key)
            for attempt in range(_TRIES):
                try:
                    if self._place.fetch(f"{manifest.folder}/{kind}", target) == size:
                        break
                except FileNotFoundError:
                    pass
                if attempt + 1 < _TRIES:
                    time.sleep(_WAIT_S)
            else:
                return False
        return True

    def _feed(self, task: FeedTask) -> str:
        if task.number not in self._feeds:
            name = self._feeds[task.number] = feed_identity(task, self._rules)
            self._there[task.number] = set(self._place.names(name))
        return self._feeds[task.number]


def path_of(feed: Feed) -> Path:
    """The file that is read of a feed."""
    path: Path = feed.path.resolve()  # type: ignore[attr-defined]
    return path


def at_path(feed: Any, path: Path) -> Feed:
    """A feed whose file lies elsewhere."""
    moved: Feed = replace(feed, path=path, source=path)
    return moved


def with_absolute_paths(job: UnitJob) -> UnitJob:
    """The same job for a process in another folder."""
    return replace(job, task=replace(job.task, feed=at_path(job.task.feed, path_of(job.task.feed))))
