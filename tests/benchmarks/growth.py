"""How the cost of a full audit grows with the feed: one sweep per property, each with a table and a plot."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.benchmarks.generator import FeedPlan
from tests.benchmarks.measure import Cost, measure
from tests.benchmarks.report import Section, ratio, table
from tests.benchmarks.sections import AUDITOR, BARE, full_jobs
from tests.benchmarks.settings import Settings

MOST_RUNS = 3
# An exponent of 1 is linear; noise on short runs reaches this far.
LINEAR = 1.1


@dataclass(frozen=True, slots=True)
class Sweep:
    """One property of the feed, its values, and the records of the feeds (None: that is the property)."""

    field: str
    label: str
    values: tuple[float, ...]
    records: int | None
    logarithmic: bool = True


SWEEPS = (
    Sweep("records", "records", (1e5, 3e5, 1e6, 3e6, 5e6, 1e7, 2e7), None),
    Sweep("findings_percent", "listings with findings, %", (0, 1, 4, 10, 30, 100), 1_000_000, False),
    Sweep("wrong_cells", "wrong cells in each listing (all listings)", (1, 2, 4, 7, 10), 300_000, False),
    Sweep("distinct_markings", "distinct markings", (1e2, 1e3, 1e4, 1e5, 3e5, 1e6), 1_000_000),
    Sweep("columns", "columns", (10, 28, 50, 100, 200, 500), 300_000),
    Sweep("text_length", "characters of prose in each description", (0, 120, 240, 1_000, 4_000), 300_000, False),
)


def growth(settings: Settings) -> list[Section]:
    """All sweeps, on Parquet."""
    return [_sweep(settings, sweep) for sweep in SWEEPS]


def _sweep(settings: Settings, sweep: Sweep) -> Section:
    section = Section(f"Growth with {sweep.label}")
    points: list[tuple[float, dict[str, Cost]]] = []
    left_out: list[str] = []
    for value in sweep.values:
        plan = _plan(settings, sweep, value)
        if plan is None:
            left_out.append(f"{value:,.0f}")
            continue
        costs = _point(settings, plan)
        points.append((value, costs))
        section.problems += [f"{value:g}, {name}: {c.problem}" for name, c in costs.items() if c.problem]
    header = [sweep.label, "bare read s", "auditor s", "x bare read", "auditor MiB"]
    rows = [
        [f"{value:,.0f}", *_cells(costs[BARE].median, costs[AUDITOR].median, costs[AUDITOR].peak_mib)]
        for value, costs in points
    ]
    section.lines = [*table(header, rows), ""] if rows else []
    if left_out:
        section.lines += [f"Left out by `--largest {settings.largest}`: {', '.join(left_out)}.", ""]
    measured = [(value, costs[AUDITOR]) for value, costs in points if costs[AUDITOR].seconds]
    if len(measured) >= 2:
        section.lines += [_in_words(measured), ""]
        path = settings.plots / f"growth_{sweep.field}.svg"
        draw(sweep, [(value, cost.median, cost.peak_mib) for value, cost in measured], path)
        section.lines.append(f"![Growth with {sweep.label}]({path.parent.name}/{path.name})")
    return section


def _plan(settings: Settings, sweep: Sweep, value: float) -> FeedPlan | None:
    whole = float(value) if sweep.field == "findings_percent" else int(value)
    records = int(value) if sweep.records is None else min(sweep.records, settings.largest)
    if records > settings.largest:
        return None
    share = 100.0 if sweep.field == "wrong_cells" else settings.plan.findings_percent
    plan = replace(settings.plan, records=records, findings_percent=share)
    return replace(plan, **{sweep.field: whole})


def _point(settings: Settings, plan: FeedPlan) -> dict[str, Cost]:
    """Measures one feed, and removes it again unless it was there before: these feeds are many and large."""
    kept = settings.answer(plan).exists()
    feed = settings.feed(plan, "parquet")
    try:
        with TemporaryDirectory(prefix="auditor-growth-", dir=settings.folder) as folder:
            jobs = full_jobs(feed, plan.records, Path(folder), settings.threads)
            return measure(jobs, min(settings.runs, MOST_RUNS), settings.say)
    finally:
        if not kept:
            feed.unlink()
            settings.answer(plan).unlink()


def _cells(bare: float, auditor: float, peak: float) -> list[str]:
    shown = [("" if math.isnan(x) else f"{x:.2f}") for x in (bare, auditor)]
    return [*shown, ratio(auditor, bare), "" if math.isnan(peak) else f"{peak:.0f}"]


def exponent(points: Sequence[tuple[float, float]]) -> float:
    """The slope of seconds over a property on logarithmic axes, upper half only: 1 is linear, 0 flat."""
    upper = [(math.log(x), math.log(y)) for x, y in points if x > 0][-max(2, (len(points) + 1) // 2) :]
    mean_x, mean_y = (sum(axis) / len(upper) for axis in zip(*upper, strict=True))
    spread = sum((x - mean_x) ** 2 for x, _ in upper)
    return sum((x - mean_x) * (y - mean_y) for x, y in upper) / spread


def _in_words(measured: Sequence[tuple[float, Cost]]) -> str:
    slope = exponent([(value, cost.median) for value, cost in measured])
    judged = "not worse than linear" if slope <= LINEAR else "WORSE THAN LINEAR"
    first, last = measured[0][1], measured[-1][1]
    return (
        f"Over the upper half, time grows with the power {slope:.2f} ({judged}); from first to last value, "
        f"time x {ratio(last.median, first.median)}, memory x {ratio(last.peak_mib, first.peak_mib)}."
    )


def draw(sweep: Sweep, points: Sequence[tuple[float, float, float]], path: Path) -> None:
    """Draws seconds and peak memory over the property; the same figures give the same bytes."""
    import matplotlib as mpl

    mpl.use("Agg")
    mpl.rcParams["svg.hashsalt"] = "growth"
    from matplotlib import pyplot as plt

    figure, axes = plt.subplots(1, 2, figsize=(9, 3.2), layout="constrained")
    values = [value for value, _, _ in points]
    for axis, position, label in ((axes[0], 1, "seconds"), (axes[1], 2, "peak MiB")):
        axis.plot(values, [point[position] for point in points], marker="o", color="#1f4e79")
        axis.set_xlabel(sweep.label)
        axis.set_ylabel(label)
        if sweep.field == "records" and axis is axes[0]:  # both axes alike, so that a straight line is linear growth
            axis.set_yscale("log")
        else:
            axis.set_ylim(bottom=0, top=1.1 * max(point[position] for point in points))
        axis.grid(alpha=0.3)
        if sweep.logarithmic:
            axis.set_xscale("log")
    path.parent.mkdir(parents=True, exist_ok=True)
    figure.savefig(path, metadata={"Date": None})
    plt.close(figure)
