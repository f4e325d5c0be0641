"""A cluster for tests: a real scheduler and real workers, each a process of its own on this machine."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

NO_ROOM = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))"  # for any file beyond 4 KiB
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

    def start_workers(self, count: int, *, first: str = "") -> None:
        """More workers of one thread; `first` is a program that each of them runs before all else."""
        begun = []
        for _ in range(count):
            number = len(self.workers)
            options = ["--nthreads", "1", "--no-nanny"]
            options += ["--local-directory", str(self.folder / f"disk{number}")]
            command = ["dask_worker", self.address, "--host", "127.0.0.1", "--dashboard-address", ":0", *options]
            self.workers.append(self._started(command, f"worker{number}", first))
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

    def _started(self, command: list[str], name: str, first: str = "") -> subprocess.Popen[bytes]:
        module = f"distributed.cli.{command[0]}"
        program = f"{first}\nimport runpy; runpy.run_module({module!r}, run_name='__main__', alter_sys=True)"
        with (self.folder / f"{name}.log").open("wb") as log:
            return subprocess.Popen(
                [sys.executable, "-c", program, *command[1:]],
                cwd=HOUSE,
                stdout=log,
                stderr=log,
                env={**os.environ, "PYTHONPATH": str(HOUSE)},
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
