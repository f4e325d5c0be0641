"""Runs jobs in fresh processes, in turns, and sums up what they cost."""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.benchmarks.family import TIMED_OUT

HOUSE = Path(__file__).resolve().parents[2]  # the checkout, from which modules are run
SLOW_SECONDS = 30.0  # a job that takes longer is run fewer times
SLOW_RUNS = 2
VERY_SLOW_SECONDS = 120.0  # and one that takes longer still, once
TIMEOUT_SECONDS = 1800.0


@dataclass(frozen=True, slots=True)
class Job:
    """One thing to measure: a module (or `module:function`) with its arguments."""

    name: str
    module: str
    arguments: tuple[str, ...]
    answer: Path | None = None  # what it writes, if answers are to be compared
    good_codes: tuple[int, ...] = (0,)
    check: Callable[[], str] | None = None  # after each run: a sentence if its result is not what it should be


@dataclass(slots=True)
class Cost:
    """What the runs of a job cost, with all processes that came of it."""

    seconds: list[float] = field(default_factory=list)  # from start to end
    peaks_mib: list[float] = field(default_factory=list)
    problem: str = ""  # why there is no figure
    cpu_seconds: list[float] = field(default_factory=list)  # steadier than the clock on a busy machine

    @property
    def median(self) -> float:
        return statistics.median(self.seconds) if self.seconds else float("nan")

    @property
    def median_cpu(self) -> float:
        return statistics.median(self.cpu_seconds) if self.cpu_seconds else float("nan")

    @property
    def peak_mib(self) -> float:
        return max(self.peaks_mib) if self.peaks_mib else float("nan")


def with_byte_code() -> dict[str, str]:
    """The environment, but byte code is kept, as an installed package has it: else each process compiles all modules.

    That is 0.7 s of processor time in each of the four processes of a whole audit.
    """
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def run_once(job: Job) -> tuple[float, float, float, str]:
    """Runs a job in a fresh process: seconds, peak MiB, processor seconds, and a sentence if it failed.

    Memory and processor time are those of all processes that come of it.
    """
    nothing = float("nan")
    with tempfile.TemporaryDirectory(prefix="auditor-cost-") as folder:
        report, of_all = Path(folder) / "cost.json", Path(folder) / "family.json"
        runner = [sys.executable, "-m", "tests.benchmarks.runner", str(report), job.module, *job.arguments]
        family = [sys.executable, "-m", "tests.benchmarks.family", str(of_all), str(TIMEOUT_SECONDS), *runner]
        ended = subprocess.run(family, cwd=HOUSE, env=with_byte_code(), capture_output=True, text=True, check=False)
        if ended.returncode == TIMED_OUT:
            return nothing, nothing, nothing, f"longer than {TIMEOUT_SECONDS:.0f} s"
        spent = json.loads(report.read_text()) if report.exists() else {"raised": "no report"}
        if spent["raised"] or ended.returncode not in job.good_codes:
            last = (ended.stderr.strip() or ended.stdout.strip() or "no output").splitlines()[-1]
            return nothing, nothing, nothing, f"ended with code {ended.returncode}: {spent['raised'] or last}"
        cost = json.loads(of_all.read_text())
        peak_mib = max(spent["peak_kb"] / 1024, cost["peak_mib"])  # looked at now and then: a short peak is not seen
        return cost["seconds"], peak_mib, cost["cpu_seconds"], job.check() if job.check else ""


def measure(jobs: Sequence[Job], runs: int, say: Callable[[str], None] = lambda _: None) -> dict[str, Cost]:
    """Runs every job up to `runs` times, in turns, so that a noisy minute falls on all of them."""
    costs = {job.name: Cost() for job in jobs}
    for occurrence in range(runs):
        for job in jobs:
            cost = costs[job.name]
            if cost.problem or len(cost.seconds) >= _wanted(cost, runs):
                continue
            seconds, peak, cpu, problem = run_once(job)
            if problem:
                cost.problem = problem
                cost.seconds.clear()
            else:
                cost.seconds.append(seconds)
                cost.peaks_mib.append(peak)
                cost.cpu_seconds.append(cpu)
            say(f"run {occurrence + 1} of {runs}, {job.name}: {problem or f'{seconds:.2f} s, {peak:.0f} MiB'}")
    return costs


def _wanted(cost: Cost, runs: int) -> int:
    if not cost.seconds or cost.median < SLOW_SECONDS:
        return runs
    return min(runs, SLOW_RUNS if cost.median < VERY_SLOW_SECONDS else 1)
