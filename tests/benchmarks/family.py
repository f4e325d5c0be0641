"""Runs a command with all processes that come of it, and writes down what they cost together.

    python -m tests.benchmarks.family COST.json TIMEOUT_S COMMAND...

Workers that make copies of themselves leave children that nobody waits for, whose processor time no parent would be
told of: this process takes them in (Linux).  Memory is PSS, so that what processes share counts once.
"""

from __future__ import annotations

import contextlib
import ctypes
import json
import os
import resource
import subprocess
import sys
import time
from pathlib import Path

TIMED_OUT = 124  # exit code of a command that took longer than it may
_LOOK_S = 0.1
_PR_SET_CHILD_SUBREAPER = 36  # prctl.h


def children(process: int) -> list[int]:
    """Its own processes and theirs: a worker makes copies of itself."""
    try:
        tasks = list(Path(f"/proc/{process}/task").iterdir())
        own = [int(child) for task in tasks for child in (task / "children").read_text().split()]
    except OSError:
        return []
    return own + [further for child in own for further in children(child)]


def pss_mib(process: int) -> float:
    """The memory of a process, shared pages by the part that falls to it, in MiB; 0 for one that has ended."""
    try:
        lines = Path(f"/proc/{process}/smaps_rollup").read_text().splitlines()
    except OSError:
        return 0.0
    return next((int(line.split()[1]) for line in lines if line.startswith("Pss:")), 0) / 1024


def main() -> int:
    """Runs the command and ends as it ends."""
    report, timeout_s, *command = sys.argv[1:]
    ctypes.CDLL(None).prctl(_PR_SET_CHILD_SUBREAPER, 1, 0, 0, 0)
    start, peak_mib = time.perf_counter(), 0.0
    process = subprocess.Popen(command)
    while process.poll() is None:
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(_LOOK_S)
        peak_mib = max(peak_mib, sum(map(pss_mib, children(os.getpid()))))
        if time.perf_counter() - start > float(timeout_s):
            process.kill()
            process.wait()
            return TIMED_OUT
    seconds = time.perf_counter() - start
    with contextlib.suppress(ChildProcessError):
        while True:
            os.wait()
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    cost = {"seconds": seconds, "cpu_seconds": spent.ru_utime + spent.ru_stime, "peak_mib": peak_mib}
    Path(report).write_text(json.dumps(cost))
    return process.returncode if process.returncode >= 0 else 128 - process.returncode


if __name__ == "__main__":
    sys.exit(main())
