"""Which job a worker gets next: the one that goes on where its last one ended.

Who reads a part of a row group and did not read the part before has to read from the beginning of it.  Only who has
nothing else to do takes from another one's stretch.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Hashable, Iterator

from auditor.engine.unit_work import UnitJob


def stretch_of(job: UnitJob) -> Hashable:
    """What jobs have in common that lie one after the other: their feed and its unit."""
    return job.task.number, job.unit.index


class Stretches:
    """Jobs in their order, some looked at ahead."""

    def __init__(self, jobs: Iterator[UnitJob], workers: int) -> None:
        """So many `workers` want a stretch each."""
        self._jobs = jobs
        self._ahead = workers + 1  # stretches looked at: the last of them may not be whole yet
        self._known: dict[Hashable, deque[UnitJob]] = {}  # in order, and none of them empty
        self._begun: set[Hashable] = set()

    def next_after(self, last: UnitJob | None) -> UnitJob | None:
        """The next job for one whose last job that was; None where there is none any more."""
        while len(self._known) < self._ahead and (job := next(self._jobs, None)) is not None:
            self._known.setdefault(stretch_of(job), deque()).append(job)
        if not self._known:
            return None
        own = None if last is None else stretch_of(last)
        if own in self._known:
            return self._taken(own, first=True)
        fresh = next((stretch for stretch in self._known if stretch not in self._begun), None)
        if fresh is not None:
            return self._taken(fresh, first=True)
        longest = max(self._known, key=lambda stretch: len(self._known[stretch]))
        return self._taken(longest, first=False)

    def rest(self) -> Iterator[UnitJob]:
        """All that is left."""
        for stretch in self._known.values():
            yield from stretch
        self._known.clear()
        yield from self._jobs

    def _taken(self, stretch: Hashable, first: bool) -> UnitJob:
        jobs = self._known[stretch]
        self._begun.add(stretch)
        job = jobs.popleft() if first else jobs.pop()
        if not jobs:
            del self._known[stretch]
        return job
