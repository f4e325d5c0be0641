"""The whole audit with its workers as threads and as processes, and what more cores would give, from the same figures.

Each run is watched from outside: every process of it by its part in the work, its processor time and its memory (PSS,
so that what processes share counts once).
"""

from __future__ import annotations

import os
import shutil
import statistics
import subprocess
import sys
import time
from collections import defaultdict
from dataclasses import dataclass, field, replace
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.benchmarks.family import children, pss_mib
from tests.benchmarks.measure import HOUSE, with_byte_code
from tests.benchmarks.report import Section, table
from tests.benchmarks.settings import Settings

WAYS = (("threads", 1), ("threads", 2), ("processes", 1), ("processes", 2))
CORES = (1, 2, 8, 16, 64)
RUN, UNITS, ERRANDS = "the run's own", "units", "errands"
_LOOK_S = 0.05
_TICKS = os.sysconf("SC_CLK_TCK")


@dataclass(slots=True)
class Watched:
    """What one run cost."""

    seconds: float = 0.0
    peak_mib: float = 0.0
    taught: float = 0.0  # processor time of the first worker when the others come of it
    cpu: dict[tuple[str, int], float] = field(default_factory=dict)  # part in the work, process -> seconds

    def of(self, part: str) -> float:
        """Processor time of a part."""
        return sum(cpu for (one, _), cpu in self.cpu.items() if one == part)

    @property
    def errands(self) -> tuple[float, float]:
        """Processor time of the longest errand, and of all."""
        each = [cpu for (one, _), cpu in self.cpu.items() if one == ERRANDS]
        return max(each, default=0.0), sum(each)


def workers(settings: Settings) -> list[Section]:
    """Threads and processes, one and two, on texts that combine freely."""
    sections = []
    for records in settings.records:
        for form in settings.formats:
            feed = settings.feed(replace(settings.plan, records=records, free_texts=True), form)
            runs: dict[tuple[str, int], list[Watched]] = defaultdict(list)
            for turn in range(settings.runs):
                for way in WAYS:
                    runs[way].append(_watched(feed, *way))
                    settings.say(f"run {turn + 1}, {way[1]} as {way[0]}: {runs[way][-1].seconds:.1f} s")
            section = Section(f"Workers as threads and processes: {records:,} records, {form}")
            section.lines += [*_costs(runs), "", *_model(runs)]
            sections.append(section)
    return sections


def _watched(feed: Path, kind: str, count: int) -> Watched:
    found = Watched()
    with TemporaryDirectory(prefix="auditor-workers-") as folder:
        out = Path(folder) / "out"
        command = [sys.executable, "-m", "auditor", "audit", str(feed), "--out", str(out), "--workers", str(count)]
        begun = time.perf_counter()
        run = subprocess.Popen(
            [*command, "--quiet"],
            cwd=HOUSE,
            env={**with_byte_code(), "AUDITOR_WORKERS": kind},
            stdout=subprocess.DEVNULL,
        )
        while run.poll() is None:
            _look(run.pid, found)
            time.sleep(_LOOK_S)
        found.seconds = time.perf_counter() - begun
        if run.returncode not in (0, 1):
            raise RuntimeError(f"an audit with {count} {kind} ended with code {run.returncode}")
        shutil.rmtree(out)
    return found


def _look(run: int, found: Watched) -> None:
    memory = 0.0
    for process in (run, *children(run)):
        try:
            words = Path(f"/proc/{process}/cmdline").read_bytes()
            spent = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()
        except OSError:
            continue
        part = RUN if process == run else UNITS if b"audit_units" in words else ERRANDS
        copied = part == UNITS and (part, process) not in found.cpu and found.of(UNITS)
        if copied and not found.taught:
            found.taught = found.of(UNITS)
        found.cpu[part, process] = (int(spent[11]) + int(spent[12])) / _TICKS
        memory += pss_mib(process)
    found.peak_mib = max(found.peak_mib, memory)


def _costs(runs: dict[tuple[str, int], list[Watched]]) -> list[str]:
    header = ["", "median s", "CPU s in all", *(f"{part} s" for part in (RUN, UNITS, ERRANDS)), "own share", "peak MiB"]

    def row(way: tuple[str, int]) -> list[str]:
        parts = [statistics.median(one.of(part) for one in runs[way]) for part in (RUN, UNITS, ERRANDS)]
        seconds = statistics.median(one.seconds for one in runs[way])
        figures = [f"{seconds:.1f}", f"{sum(parts):.1f}", *(f"{part:.1f}" for part in parts)]
        peak = max(one.peak_mib for one in runs[way])
        return [f"{way[1]} as {way[0]}", *figures, f"{100 * parts[0] / sum(parts):.0f} %", f"{peak:.0f}"]

    return table(header, [row(way) for way in WAYS])


def predicted(
    own: float, units: float, taught: float, further: float, errands: tuple[float, float], cores: int
) -> float:
    """Seconds on so many idle cores.

    What the run's own process does, and what the first worker is taught before the others come of it, are done once and
    one after the other.  The rest of what the `units` cost one worker is shared out, with what each `further` worker
    costs more; `errands` are the longest and all of them.
    """
    longest, every = errands
    return own + taught + (units - taught + further * (cores - 1)) / cores + max(longest, every / cores)


def _model(runs: dict[tuple[str, int], list[Watched]]) -> list[str]:
    one, two = runs["processes", 1], runs["processes", 2]
    own, units = (statistics.median(each.of(part) for each in one) for part in (RUN, UNITS))
    taught = statistics.median(each.taught for each in two)
    further = max(statistics.median(each.of(UNITS) for each in two) - units, 0.0)
    longest, every = (statistics.median(each.errands[place] for each in one) for place in (0, 1))
    rows = []
    for cores in CORES:
        seconds = predicted(own, units, taught, further, (longest, every), cores)
        ways = runs.get(("processes", cores))
        measured = f"{statistics.median(each.seconds for each in ways):.1f}" if ways else ""
        rows.append([str(cores), f"{seconds:.1f}", f"{(own + units + every) / seconds:.1f}", measured])
    return table(["cores", "predicted s", "times as fast as one", "measured s"], rows)
