"""Faults by real kills: dead, silent and full workers are made up for, and nothing that is done is done again.

The scheduler, the workers and in two tests the run itself are processes of their own, ended by their numbers.
"""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from auditor.engine.workers.cluster import buckets, crew
from auditor.errors import OutputError
from tests.engine.workers.cluster.machines import HOUSE, NO_ROOM, Machines, machines
from tests.engine.workers.cluster.nights import manifests, parts_of, run
from tests.engine.workers.nights import GOOD, Told, deadly_night, files, unlike


def once(condition: Callable[[], bool], then: Callable[[], None]) -> Callable[[], None]:
    """Does something the first time that a condition holds."""
    done: list[bool] = []

    def look() -> None:
        if not done and condition():
            done.append(True)
            then()

    return look


@pytest.fixture
def fresh(tmp_path: Path) -> Iterator[Callable[[int], Machines]]:
    """Starts a cluster of so many workers for one test."""
    begun = []
    (tmp_path / "machines").mkdir()

    def start(workers: int) -> Machines:
        manager = machines(tmp_path / "machines", workers)
        begun.append(manager)
        return manager.__enter__()

    yield start
    for manager in begun:
        manager.__exit__(None, None, None)


def test_workers_that_die_cost_a_retry(
    usual: dict[str, bytes], feeds: Path, fresh: Callable[[int], Machines], tmp_path: Path
) -> None:
    cluster = fresh(4)
    told = Told()
    first = once(lambda: True, lambda: cluster.kill(0))
    both = once(lambda: told.records > 500, lambda: (cluster.kill(1), cluster.kill(2)))  # type: ignore[arg-type, return-value]
    told.then = lambda: (first(), both())  # type: ignore[assignment, return-value]
    run(feeds, tmp_path / "out", cluster.address, told)
    assert [worker.poll() for worker in cluster.workers] == [-9, -9, -9, None]
    assert unlike(usual, files(tmp_path / "out")) == []


def test_a_unit_that_kills_three_workers_loses_its_feed_alone(
    fresh: Callable[[int], Machines], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cluster = fresh(4)
    outcome = run(deadly_night(tmp_path / "feeds", monkeypatch), tmp_path / "out", cluster.address)
    (lost,) = outcome.summary["unreadable_feeds"]
    assert lost["feed"] == "bad.csv"
    assert re.match(r"cannot be audited: 3 workers of the cluster ended at records 1,561 to 2,002", lost["reason"])
    assert outcome.exit_code == 3 and [worker.poll() for worker in cluster.workers].count(-9) == 3
    assert [(feed["feed"], feed["released"], feed["held"]) for feed in outcome.summary["feeds"]] == [
        ("a_good.csv", 1, 1),
        ("z_good.csv", 1, 1),
    ]


def test_a_run_whose_scheduler_dies_ends_and_goes_on_later(
    usual: dict[str, bytes], feeds: Path, fresh: Callable[[int], Machines], tmp_path: Path
) -> None:
    cluster, out = fresh(2), tmp_path / "out"
    told = Told()
    told.then = once(lambda: told.records > 500, lambda: cluster.scheduler.kill())
    with pytest.raises(OutputError) as ended:
        run(feeds, out, cluster.address, told)
    assert str(ended.value) == (
        f"--cluster {cluster.address}: the scheduler is gone; the parts that are done are kept in {parts_of(out)}: "
        "give the same command again when the cluster is back, and it goes on from them."
    )
    done = manifests(out)
    assert len(done) > 3 and not out.exists()
    cluster.end()
    cluster.start_scheduler()
    cluster.start_workers(1)
    kept: dict[str, bytes] = {}
    again = Told(lambda: kept.update(manifests(out)))
    run(feeds, out, cluster.address, again)
    assert unlike(usual, files(out)) == []
    assert again.notes["taken over"] == f"Goes on from parts that are in {parts_of(out)}."
    assert {name: kept[name] for name in done} == done  # nothing of it was done once more


def test_a_worker_that_stands_still_is_not_waited_for(
    usual: dict[str, bytes], feeds: Path, cluster: Machines, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(crew, "_STILL_S", 1.0)
    monkeypatch.setattr(buckets, "_STILL_S", 1.0)
    stop = once(lambda: True, lambda: cluster.kill(0, signal.SIGSTOP))
    try:
        run(feeds, tmp_path / "out", cluster.address, Told(stop))
    finally:
        cluster.kill(0, signal.SIGCONT)
    assert unlike(usual, files(tmp_path / "out")) == []
    time.sleep(1)  # it wakes up, and finds that nobody waits
    assert not parts_of(tmp_path / "out").exists()


def test_a_worker_without_room_leaves_its_units_to_others(
    usual: dict[str, bytes], feeds: Path, fresh: Callable[[int], Machines], tmp_path: Path
) -> None:
    cluster = fresh(1)
    cluster.start_workers(1, first=NO_ROOM)
    run(feeds, tmp_path / "out", cluster.address)
    assert unlike(usual, files(tmp_path / "out")) == []


@pytest.mark.slow
def test_where_no_worker_has_room_the_run_ends(feeds: Path, fresh: Callable[[int], Machines], tmp_path: Path) -> None:
    cluster = fresh(0)
    cluster.start_workers(1, first=NO_ROOM)
    with pytest.raises(OutputError, match="There is no room left to work on"):
        run(feeds, tmp_path / "out", cluster.address)
    assert not (tmp_path / "out").exists()


def test_workers_and_scheduler_may_die_while_listings_are_compared(
    usual: dict[str, bytes],
    feeds: Path,
    fresh: Callable[[int], Machines],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    cluster, place = fresh(2), parts_of(tmp_path / "out")
    given: list[int] = []
    submit, judged = buckets.BucketTasks._submit, list[int]()

    def counted(tasks: buckets.BucketTasks, number: int, *others: Any) -> None:
        given.append(number)
        if len(given) in (6, 40):
            judged.append(len(list(place.glob("across/judged-*"))))
            os.kill(cluster.workers[0].pid if len(given) == 6 else cluster.scheduler.pid, signal.SIGKILL)
        submit(tasks, number, *others)

    monkeypatch.setattr(buckets.BucketTasks, "_submit", counted)
    run(feeds, tmp_path / "out", cluster.address)
    assert judged[0] < judged[1]
    assert (cluster.workers[0].poll(), cluster.scheduler.poll()) == (-9, -9)
    assert unlike(usual, files(tmp_path / "out")) == []


@pytest.mark.parametrize("number", [signal.SIGKILL, pytest.param(signal.SIGINT, marks=pytest.mark.slow)])
def test_a_run_that_is_ended_leaves_the_workers_idle_and_goes_on_later(
    cluster: Machines, tmp_path: Path, number: signal.Signals
) -> None:
    with (tmp_path / "long.csv").open("w") as file:
        file.write(GOOD)
        file.writelines(f"{row},225/65R17 102H,{row % 900}\n" for row in range(60_000))
    words = ["audit", "long.csv", "--out", "out", "--quiet", "--cluster", cluster.address]
    command = [sys.executable, "-c", _SHORT_UNITS, *words]
    audit = subprocess.Popen(command, cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(HOUSE)})
    out = tmp_path / "out"
    while len(manifests(out)) < 2:
        assert audit.poll() is None
        time.sleep(0.02)
    audit.send_signal(number)
    assert audit.wait() == (130 if number == signal.SIGINT else -9)
    done = manifests(out)
    time.sleep(1)
    late = manifests(out)
    assert len(late) <= len(done) + 2 < 12  # what was nearly done; nobody begins with another one
    kept: dict[str, bytes] = {}
    run(tmp_path / "long.csv", out, cluster.address, Told(lambda: kept.update(manifests(out))))
    assert len(kept) > len(late) and {name: kept[name] for name in late} == late
    assert sorted(path.name for path in tmp_path.iterdir()) == ["long.csv", "out"]


_SHORT_UNITS = """
import sys
from auditor.feeds import csv_units
csv_units.CHUNK_BYTES = csv_units.PIECE_BYTES = csv_units.FINER_BYTES = 16 << 10
from auditor.shell.cli import main
sys.exit(main())
"""
