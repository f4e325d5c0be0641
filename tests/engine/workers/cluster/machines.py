"""A cluster for tests: a real scheduler and real workers, each a process of its own on this machine."""

from __future__ import annotations

import json
import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

HOUSE = Path(__file__).parents[4]
_STARTS_S = 60.0


class Machines:
    """A scheduler and its workers, with what they say in files of `folder`."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.workers: list[subprocess.Popen[bytes]] = []
        self.scheduler = self._started_scheduler()

    def start_scheduler(self) -> None:
        """A new one in place of one that was killed."""
        self.scheduler = self._started_scheduler()

    def start_workers(self, count: int, *, threads: int = 1, most_bytes: int | None = None) -> None:
        """More workers; none of their files can have more than `most_bytes`."""
        begun = []
        for _ in range(count):
            number = len(self.workers)
            options = ["--nthreads", str(threads), "--no-nanny"]
            options += ["--local-directory", str(self.folder / f"disk{number}")]
            command = ["dask_worker", self.address, "--host", "127.0.0.1", "--dashboard-address", ":0", *options]
            self.workers.append(self._started(command, f"worker{number}", most_bytes))
            begun.append((self.workers[-1], f"worker{number}"))
        for process, name in begun:
            self._wait(process, name, "Registered to")

    def kill(self, number: int, how: signal.Signals = signal.SIGKILL) -> None:
        """Ends a worker, as the system would: without a word."""
        os.kill(self.workers[number].pid, how)

    def end(self) -> None:
        """Ends everything that was started."""
        for process in (*self.workers, self.scheduler):
            process.kill()
            process.wait()

    def _started_scheduler(self) -> subprocess.Popen[bytes]:
        about = self.folder / "scheduler.json"
        about.unlink(missing_ok=True)
        command = ["dask_scheduler", "--host", "127.0.0.1", "--port", "0", "--dashboard-address", ":0"]
        process = self._started([*command, "--scheduler-file", str(about)], "scheduler")
        until = time.monotonic() + _STARTS_S
        while not about.exists() or not about.read_text():
            assert process.poll() is None and time.monotonic() < until
            time.sleep(0.05)
        self.address = json.loads(about.read_text())["address"]
        return process

    def _started(self, command: list[str], name: str, most_bytes: int | None = None) -> subprocess.Popen[bytes]:
        limited = partial(resource.setrlimit, resource.RLIMIT_FSIZE, (most_bytes, most_bytes)) if most_bytes else None
        with (self.folder / f"{name}.log").open("wb") as log:
            return subprocess.Popen(
                [sys.executable, "-m", f"distributed.cli.{command[0]}", *command[1:]],
                cwd=HOUSE,
                stdout=log,
                stderr=log,
                env={**os.environ, "PYTHONPATH": str(HOUSE)},
                preexec_fn=limited,
            )

    def _wait(self, process: subprocess.Popen[bytes], name: str, text: str) -> None:
        until = time.monotonic() + _STARTS_S
        while text not in (self.folder / f"{name}.log").read_text():
            assert process.poll() is None and time.monotonic() < until
            time.sleep(0.05)


@contextmanager
def machines(folder: Path, workers: int) -> Iterator[Machines]:
    """A cluster that is ended afterwards, whatever happens."""
    cluster = Machines(folder)
    try:
        cluster.start_workers(workers)
        yield cluster
    finally:
        cluster.end()
