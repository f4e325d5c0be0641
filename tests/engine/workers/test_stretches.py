"""Workers go on where they were, and who has nothing left takes from the end of another one's stretch."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from auditor.engine.unit_work import FeedTask, UnitJob
from auditor.engine.workers.stretches import Stretches
from auditor.feeds.locate import find_feeds
from auditor.feeds.model import WorkUnit
from auditor.judging.block.feed_plan import plan_feed
from auditor.mapping.opening import open_feeds


@pytest.fixture
def jobs(tmp_path: Path) -> list[UnitJob]:
    """Three units of three parts each."""
    (tmp_path / "one.csv").write_text("sku,marking\n1,225/65R17 102H\n")
    (feed,) = open_feeds(find_feeds([str(tmp_path)])[0])
    task = FeedTask(0, feed, plan_feed(feed))
    unit = WorkUnit(0, 1, 10, 0, 1)
    return [UnitJob(task, place, replace(unit, index=place // 3)) for place in range(9)]


def test_each_worker_has_a_stretch_of_its_own(jobs: list[UnitJob]) -> None:
    waiting = Stretches(iter(jobs), 2)
    last: dict[str, UnitJob | None] = {"a": None, "b": None}
    given: dict[str, list[int]] = {"a": [], "b": []}
    for worker in "ababab":
        last[worker] = job = waiting.next_after(last[worker])
        assert job is not None
        given[worker].append(job.part)
    assert given == {"a": [0, 1, 2], "b": [3, 4, 5]}


def test_who_has_nothing_left_takes_from_the_end_of_anothers(jobs: list[UnitJob]) -> None:
    waiting = Stretches(iter(jobs[6:]), 2)
    first = waiting.next_after(None)
    assert first is not None and first.part == 6
    other = waiting.next_after(None)
    assert other is not None and other.part == 8
    rest = waiting.next_after(first)
    assert rest is not None and rest.part == 7
    assert waiting.next_after(rest) is None


def test_every_job_is_given_once(jobs: list[UnitJob]) -> None:
    waiting = Stretches(iter(jobs), 4)
    given = [waiting.next_after(None) for _ in range(4)]
    left = [job.part for job in waiting.rest()]
    assert sorted(left + [job.part for job in given if job is not None]) == list(range(9))
    assert waiting.next_after(given[0]) is None
