"""Turns costs into Markdown, with the machine they were measured on."""

from __future__ import annotations

import importlib.metadata
import math
import os
import platform
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.benchmarks.measure import Cost

PACKAGES = ("pyarrow", "pandas", "numpy", "polars", "duckdb", "pandera")


@dataclass(slots=True)
class Section:
    """One part of the report: Markdown text, and what went wrong while measuring."""

    title: str
    lines: list[str] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)

    def markdown(self) -> str:
        return "\n".join([f"## {self.title}", "", *self.lines]).rstrip() + "\n"


def machine() -> str:
    """Cores, memory, system and versions in one line."""
    cores = len(os.sched_getaffinity(0))
    system = f"{platform.system()} {platform.machine()}"
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    versions = ", ".join(f"{name} {version}" for name in PACKAGES if (version := _version(name)))
    return (
        f"Machine: {cores} cores ({_processor()}), {memory:.0f} GiB, {system}, "
        f"Python {platform.python_version()}, {versions}."
    )


def table(header: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """A Markdown table: first column to the left, the others to the right."""
    marks = ["---"] + ["---:"] * (len(header) - 1)
    return ["| " + " | ".join(cells) + " |" for cells in (header, marks, *rows)]


def cost_table(costs: Mapping[str, Cost], bare: str, auditor: str, answers: Mapping[str, str]) -> list[str]:
    """One row per job, quickest first: seconds, spread, ratios to the bare read and the auditor, memory."""
    header = ["", "median s", "spread s", f"x {bare}", f"x {auditor}", "CPU s", "peak MiB"]
    header += ["answer"] if answers else []

    def row(name: str) -> list[str]:
        cost = costs[name]
        if not cost.seconds:
            cells = [name, cost.problem or "not run", *[""] * 5]
        else:
            spread = f"{min(cost.seconds):.2f}-{max(cost.seconds):.2f} ({len(cost.seconds)})"
            ratios = [ratio(cost.median, costs[of].median) for of in (bare, auditor)]
            cpu = "" if math.isnan(cost.median_cpu) else f"{cost.median_cpu:.2f}"
            cells = [name, f"{cost.median:.2f}", spread, *ratios, cpu, f"{cost.peak_mib:.0f}"]
        return cells + ([answers.get(name, "")] if answers else [])

    def quickest_first(name: str) -> float:
        median = costs[name].median
        return math.inf if math.isnan(median) else median

    return table(header, [row(name) for name in sorted(costs, key=quickest_first)])


def ratio(value: float, of: float) -> str:
    """`value / of` with two decimals, blank where either is missing."""
    return "" if math.isnan(value) or math.isnan(of) else f"{value / of:.2f}"


def _version(name: str) -> str | None:
    try:
        return importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return None


def _processor() -> str:
    lines = Path("/proc/cpuinfo").read_text().splitlines()
    names = [line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.processor() or "unknown processor"
