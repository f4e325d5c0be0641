"""What a cluster costs and what faults cost on it: `python -m tests.benchmarks.cluster [records [markings]]`.

A scheduler and workers on this machine; processor time of each process, bytes of parts, and orders beyond one per unit.
"""

from __future__ import annotations

import os
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq

from auditor.engine.workers.cluster import crew
from auditor.errors import OutputError
from tests.benchmarks.generator import FeedPlan, chunks
from tests.engine.workers.cluster.machines import Machines, machines
from tests.engine.workers.cluster.nights import parts_of, run
from tests.engine.workers.nights import Told, files, unlike

_TICKS = os.sysconf("SC_CLK_TCK")


class Watch(Told):
    """Progress that remembers when stages began and what lay in the place of parts then."""

    def __init__(self, out: Path) -> None:
        super().__init__()
        self.out, self.stages, self.parts = out, [("start", time.monotonic())], dict[str, tuple[int, int]]()
        self.at_stage = self._note

    def _note(self, name: str) -> None:
        self.stages.append((name.split(" ")[0], time.monotonic()))
        if name == "settling findings":
            for path in parts_of(self.out).rglob("*"):
                if path.is_file():
                    kind = path.parent.name if path.parent.name == "across" else path.suffix or path.name.split("-")[0]
                    count, size = self.parts.get(kind, (0, 0))
                    self.parts[kind] = count + 1, size + path.stat().st_size


def processor_s(process: int) -> float:
    """Processor time of a process so far."""
    try:
        told = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()
    except OSError:
        return float("nan")
    return (int(told[11]) + int(told[12])) / _TICKS


def measured(
    feeds: Path, out: Path, cluster: Machines, fault: Callable[[Watch], None] = lambda told: None
) -> tuple[Watch, dict[str, Any]]:
    """One run; seconds, processor seconds by process, orders that were sent."""
    told, sent = Watch(out), list[int]()
    end = crew.ClusterCrew.end
    crew.ClusterCrew.end = lambda self: (sent.append(self._attempts), end(self))[1]  # type: ignore[method-assign]
    told.then = lambda: fault(told)
    before = [processor_s(worker.pid) for worker in cluster.workers], processor_s(cluster.scheduler.pid)
    own, begun = time.process_time(), time.monotonic()
    try:
        run(feeds, out, cluster.address, told)
        ended = "whole"
    except OutputError:
        ended = "ended, parts kept"
    finally:
        crew.ClusterCrew.end = end  # type: ignore[method-assign]
    workers = [processor_s(worker.pid) for worker in cluster.workers]
    return told, {
        "s": time.monotonic() - begun,
        "own CPU": time.process_time() - own,
        "workers CPU": [round(now - then, 1) for now, then in zip(workers, before[0], strict=True)],
        "scheduler CPU": processor_s(cluster.scheduler.pid) - before[1],
        "orders": sum(sent),
        "ended": ended,
    }


def once(least: int, then: Callable[[], None]) -> Callable[[Watch], None]:
    """Does something when so many records are done."""
    done: list[bool] = []

    def look(told: Watch) -> None:
        if told.records >= least and not done:
            done.append(True)
            then()

    return look


def kill_two(cluster: Machines) -> None:
    """Two workers at once."""
    cluster.kill(0)
    cluster.kill(1)


def main() -> None:
    """Measures a whole run, then one with each fault."""
    records = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    crew._STILL_S = 15.0
    distinct = int(sys.argv[2]) if len(sys.argv) > 2 else 30_000
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "feeds").mkdir()
        plan = FeedPlan(records=records, distinct_markings=distinct, findings_percent=4)
        table = pa.concat_tables(some for some, _ in chunks(plan))
        pq.write_table(table, folder / "feeds" / "north.parquet", row_group_size=-(-records // 12))
        del table
        run(folder / "feeds", folder / "usual", None)
        usual = files(folder / "usual")
        faults: dict[str, Callable[[Machines], Callable[[Watch], None]]] = {
            "none": lambda cluster: lambda told: None,
            "a worker killed": lambda cluster: once(1, lambda: cluster.kill(0)),
            "two killed at once": lambda cluster: once(1, partial(kill_two, cluster)),
            "a worker stopped": lambda cluster: once(1, lambda: cluster.kill(0, signal.SIGSTOP)),
            "the scheduler killed": lambda cluster: once(records // 2, lambda: cluster.scheduler.kill()),
        }
        for fault, prepared in faults.items():
            (folder / fault).mkdir()
            with machines(folder / fault, 3) as cluster:
                told, figures = measured(folder / "feeds", folder / fault / "out", cluster, prepared(cluster))
                print(f"{fault}: {figures}")
                if figures["ended"] == "whole":
                    print("   unlike:", unlike(usual, files(folder / fault / "out")), "parts:", told.parts)
                else:
                    cluster.end()
                    cluster.start_scheduler()
                    cluster.start_workers(2)
                    told, figures = measured(folder / "feeds", folder / fault / "out", cluster)
                    print(f"   again: {figures}; unlike:", unlike(usual, files(folder / fault / "out")))
                print("   stages:", [(name, round(at - told.stages[0][1], 1)) for name, at in told.stages])


if __name__ == "__main__":
    main()
