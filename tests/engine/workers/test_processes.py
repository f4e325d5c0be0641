"""Workers as processes: the same bytes, a killed one costs a retry, a unit that kills three its feed, and no more."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections import deque
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pyarrow as pa
import pytest

from auditor.engine.run import RunOutcome, Settings, run_audit
from auditor.engine.unit_work import FeedTask, UnitDone, UnitJob
from auditor.engine.workers import choice, processes, started
from auditor.engine.workers.choice import Kind
from auditor.engine.workers.copies import can_be_copied
from auditor.engine.workers.errands import done_elsewhere
from auditor.engine.workers.processes import Processes
from auditor.engine.workers.stretches import Stretches
from auditor.errors import FeedError
from auditor.feeds.locate import Located, find_feeds
from auditor.judging.block.feed_plan import plan_feed
from auditor.mapping.opening import open_feeds
from auditor.rulebook.book import load_book
from tests.benchmarks.generator import FeedPlan, chunks
from tests.engine.workers.deadly_feed import die_unless
from tests.engine.workers.nights import GOOD, HOUSE, Told, deadly_night, files, shorten_units, unlike, write_formats

END_S = 2.0  # in which an interrupted run and its workers are gone on a busy machine: 0.3 at a load of nine


def listings(count: int) -> pa.Table:
    """Listings of which a fifth have a wrong cell, and the first hundred the same one."""
    plan = FeedPlan(records=count, distinct_markings=60, findings_percent=20, text_length=40)
    table = pa.concat_tables(some for some, _ in chunks(plan))
    pounds = ["99999"] * 100 + table["max_load_lb"].to_pylist()[100:]
    return table.set_column(table.schema.get_field_index("max_load_lb"), "max_load_lb", pa.array(pounds))


@pytest.fixture(scope="module")
def feeds(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Feeds of every kind of format; the same GTINs stand in two of them, so that listings are compared."""
    folder = tmp_path_factory.mktemp("feeds")
    write_formats(listings(600), folder)
    shutil.copy(HOUSE / "sample_catalogs" / "pellmont.xlsx", folder)
    return folder


@pytest.fixture(autouse=True)
def short_units(monkeypatch: pytest.MonkeyPatch) -> None:
    """Units so short that every feed has several."""
    shorten_units(monkeypatch)


@pytest.fixture(autouse=True)
def soon_taught(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Copies are made after so few records that some are left for them."""
    within = getattr(request, "param", 1000)
    soon = started._PROGRAM.replace("getattr(", f"child._TAUGHT, child._TAUGHT_WITHIN = 100, {within}\ngetattr(")
    assert soon != started._PROGRAM
    monkeypatch.setattr(started, "_PROGRAM", soon)


def run(feeds: Path, out: Path, kind: Kind, workers: int, told: Told | None = None) -> RunOutcome:
    settings = Settings(load_book(), workers=workers, workers_as=kind, night="2026-11-28", apply="certain")
    return run_audit([str(feeds)], out, settings, told or Told())


@pytest.fixture(scope="module")
def usual(feeds: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    out = tmp_path_factory.mktemp("usual") / "out"
    outcome = run(feeds, out, "threads", 1)
    assert outcome.summary["repeated"] and outcome.summary["by_rule"].keys() & {"listing-duplicated", "gtin-shared"}
    found = files(out)
    assert {"corrected/a.parquet", "corrected/b.csv", "corrected/pellmont.xlsx", "changes.csv"} <= found.keys()
    return found


@pytest.mark.parametrize(
    ("workers", "soon_taught"),
    [(2, 1000), *(pytest.param(*how, marks=pytest.mark.slow) for how in ((1, 1000), (4, 50)))],
    indirect=["soon_taught"],
    ids=["2", "1", "4, copied within a unit"],
)
def test_processes_change_no_byte(usual: dict[str, bytes], feeds: Path, tmp_path: Path, workers: int) -> None:
    told = Told()
    run(feeds, tmp_path / "out", "processes", workers, told)
    assert unlike(usual, files(tmp_path / "out")) == []
    assert told.records > 1300


def kill_all(killed: list[int]) -> Callable[[], None]:
    """Kills all workers at once as soon as the last of them has begun."""

    def kill() -> None:
        found = [process.pid for process in started._running]
        if not killed and all(found):  # a copy that is still to come has no number
            killed.extend(found)
            for number in found:
                os.kill(number, signal.SIGKILL)

    return kill


@pytest.mark.slow
def test_killed_workers_cost_a_retry(usual: dict[str, bytes], feeds: Path, tmp_path: Path) -> None:
    killed: list[int] = []
    run(feeds, tmp_path / "out", "processes", 3, Told(kill_all(killed)))
    assert len(killed) == 3
    assert unlike(usual, files(tmp_path / "out")) == []


@pytest.mark.skipif(not can_be_copied(), reason="all workers are fresh interpreters here")
def test_a_worker_makes_the_others_of_itself(feeds: Path, tmp_path: Path) -> None:
    seen: dict[int, int] = {}  # process -> its parent

    def look() -> None:
        for process in started._running:
            if process.pid and process.pid not in seen:
                status = Path(f"/proc/{process.pid}/stat").read_text().rsplit(")", 1)[1].split()
                seen[process.pid] = int(status[1])

    run(feeds, tmp_path / "out", "processes", 3, Told(look))
    (first,) = (process for process, parent in seen.items() if parent == os.getpid())
    assert sorted(seen.values()) == sorted([os.getpid(), first, first])
    assert not started._running


@pytest.mark.skipif(not can_be_copied(), reason="all workers are fresh interpreters here")
def test_a_copy_that_stands_still_costs_a_retry(
    usual: dict[str, bytes], feeds: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(processes, "_LOOK_S", 0.3)
    halted: list[int] = []

    def halt() -> None:
        found = [process for process in started._running if isinstance(process, started.Copy) and process.pid]
        if found and not halted:
            halted.append(found[0].pid)
            os.kill(found[0].pid, signal.SIGSTOP)

    run(feeds, tmp_path / "out", "processes", 2, Told(halt))
    assert halted and not _lives(halted[0])
    assert unlike(usual, files(tmp_path / "out")) == []


@pytest.mark.skipif(not can_be_copied(), reason="all workers are fresh interpreters here")
def test_a_worker_that_stands_still_while_it_copies_itself_costs_a_retry(
    usual: dict[str, bytes], feeds: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(processes, "_LOOK_S", 0.3)
    halts = "import os, signal; os.fork = lambda: os.kill(os.getpid(), signal.SIGSTOP)\ngetattr("
    monkeypatch.setattr(started, "_PROGRAM", started._PROGRAM.replace("getattr(", halts))
    first: set[int] = set()
    run(feeds, tmp_path / "out", "processes", 2, Told(lambda: first.update(one.pid for one in started._running)))
    assert len(first - {0}) > 1 and not any(map(_lives, first - {0}))
    assert unlike(usual, files(tmp_path / "out")) == []


def test_a_copy_that_has_nothing_to_do_keeps_nobody_from_what_is_done_again(tmp_path: Path) -> None:
    work = processes.Processes(load_book(), tmp_path, 2)
    given: list[object] = []
    idle = {"ready": True, "jobs": deque[object](), "last": None}
    copy = SimpleNamespace(**idle, is_copy=True, give=lambda job: given.append("copy"))
    fresh = SimpleNamespace(**idle, is_copy=False, give=given.append)
    work._workers[:] = [copy, fresh]  # type: ignore[list-item]
    work._again.append("again")  # type: ignore[arg-type]
    assert not work._hand_out(Stretches(iter(()), 2)) and given == ["again"]


@pytest.mark.slow
def test_where_processes_cannot_be_copied_all_are_started(
    usual: dict[str, bytes], feeds: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(started, "can_be_copied", lambda: False)
    kinds: set[type] = set()
    run(feeds, tmp_path / "out", "processes", 2, Told(lambda: kinds.update(map(type, started._running))))
    assert kinds == {subprocess.Popen}
    assert unlike(usual, files(tmp_path / "out")) == []


def test_a_unit_that_kills_three_workers_loses_its_feed_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    outcome = run(deadly_night(tmp_path / "feeds", monkeypatch), tmp_path / "out", "processes", 2)
    (lost,) = outcome.summary["unreadable_feeds"]
    assert lost["feed"] == "bad.csv" and "3 workers ended at records" in lost["reason"]
    assert "killed by signal 9" in lost["reason"] and outcome.exit_code == 3
    assert [(feed["feed"], feed["released"], feed["held"]) for feed in outcome.summary["feeds"]] == [
        ("a_good.csv", 1, 1),
        ("z_good.csv", 1, 1),
    ]


def test_where_no_process_can_be_started_threads_do_the_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "good.csv").write_text(GOOD)
    (feed,) = open_feeds(find_feeds([str(tmp_path / "good.csv")])[0])
    monkeypatch.setattr(started, "_PROGRAM", "raise SystemExit(3)")
    with Processes(load_book(), tmp_path, 2) as crew:
        job = UnitJob(FeedTask(0, feed, plan_feed(feed)), 0, next(iter(feed.units())))
        assert [event.key for event in crew.perform([job]) if isinstance(event, UnitDone)] == [(0, 0)]
    assert not started._running


def test_an_errand_returns_and_raises_what_its_function_does() -> None:
    assert done_elsewhere(pow, 2, 5) == 32
    with pytest.raises(ZeroDivisionError):
        done_elsewhere(divmod, 1, 0)
    with pytest.raises(FeedError, match="no such file"):
        done_elsewhere(open_feeds, Located("north.csv", None, None))


def test_an_errand_whose_process_dies_is_done_here() -> None:
    mine = os.getpid()
    assert done_elsewhere(die_unless, mine) == mine
    assert not started._running


def test_an_errand_that_cannot_travel_is_done_here() -> None:
    assert done_elsewhere(lambda: os.getpid()) == os.getpid()


def test_small_jobs_are_left_to_threads(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "good.csv").write_text(GOOD)
    found = open_feeds(find_feeds([str(tmp_path / "good.csv")])[0])
    for least, finer in ((1000, False), (2, True)):
        monkeypatch.setattr(choice, "PROCESSES_FROM", least)
        with choice.crew_for(found, load_book(), tmp_path, 2) as crew:
            assert bool(crew.finer) is finer


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGKILL])
def test_an_interrupted_run_takes_its_workers_along(tmp_path: Path, number: signal.Signals) -> None:
    with (tmp_path / "long.csv").open("w") as file:
        file.write(GOOD)
        file.writelines(f"{row},225/65R17 102H,{row % 900}\n" for row in range(200_000))
    command = [sys.executable, "-m", "auditor", "audit", str(tmp_path / "long.csv"), "--out", str(tmp_path / "out")]
    environment = {**os.environ, "AUDITOR_WORKERS": "processes"}
    audit = subprocess.Popen([*command, "--quiet", "--workers", "2"], cwd=HOUSE, env=environment)
    children: list[int] = []
    while len(children) < 2 or not list(tmp_path.glob(".out.building-*/.work-*/pieces-*")):
        assert audit.poll() is None
        time.sleep(0.02)
        children = _children(audit.pid)
    begun = time.monotonic()
    audit.send_signal(number)
    assert audit.wait() == (130 if number == signal.SIGINT else -9)
    while any(map(_lives, children)):
        assert time.monotonic() < begun + END_S
        time.sleep(0.02)
    if number == signal.SIGINT:
        assert [path.name for path in tmp_path.iterdir()] == ["long.csv"]


def _children(process: int) -> list[int]:
    """Its own and theirs."""
    tasks = Path(f"/proc/{process}/task").iterdir()
    own = [int(child) for task in tasks for child in (task / "children").read_text().split()]
    return own + [further for child in own for further in _children(child)]


def _lives(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False
