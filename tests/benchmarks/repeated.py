"""What a mistake costs that every row repeats: the same feed with it and without it, whole audits of both."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as pcsv
import pyarrow.parquet as pq

from tests.benchmarks.measure import Job, measure
from tests.benchmarks.report import Section, cost_table
from tests.benchmarks.settings import Settings

_TEXTS = ("title", "description")
CLEAN, REPEATED, HALF = "every row right", "every row in pounds", "every other row in pounds"


def repeated(settings: Settings) -> list[Section]:
    """Loads in pounds in the column of kilograms, with and without titles and sales texts."""
    plan = replace(settings.plan, records=min(settings.records), findings_percent=0.0)
    whole = settings.feed(plan, "parquet")
    sections = []
    with TemporaryDirectory(prefix="auditor-repeated-", dir=settings.folder) as folder:
        for dropped, name in ((_TEXTS, "without texts"), ((), "with texts")):
            jobs = [_job(feed, Path(folder)) for feed in _feeds(whole, dropped, Path(folder))]
            costs = measure(jobs, settings.runs, settings.say)
            section = Section(f"One mistake in every row: {plan.records:,} records {name}, csv")
            section.lines += cost_table(costs, CLEAN, REPEATED, {})
            section.problems += [f"{name}: {cost.problem}" for name, cost in costs.items() if cost.problem]
            sections.append(section)
    return sections


def _feeds(whole: Path, dropped: Sequence[str], folder: Path) -> list[tuple[str, Path]]:
    """The feed as it is, and with pounds in place of its kilograms."""
    table = pq.read_table(whole)
    table = table.drop_columns([name for name in dropped if name in table.column_names])
    place, kilograms = table.column_names.index("max_load_kg"), table["max_load_kg"]
    pounds = pc.replace_substring_regex(table["max_load_lb"], "[^0-9.,]", "")  # a cell that names its unit is right
    every_other = pc.if_else(pa.array(np.arange(table.num_rows) % 2 == 0), pounds, kilograms)
    feeds = []
    for name, column in ((CLEAN, kilograms), (REPEATED, pounds), (HALF, every_other)):
        path = folder / f"{name.replace(' ', '_')}.csv"
        pcsv.write_csv(table.set_column(place, "max_load_kg", column), path)
        feeds.append((name, path))
    return feeds


def _job(named: tuple[str, Path], folder: Path) -> Job:
    name, feed = named
    out = folder / f"{feed.stem}.out"

    def removed() -> str:
        """The output is removed, so that each run writes afresh."""
        held = (out / "held" / feed.name).stat().st_size > feed.stat().st_size / 3
        shutil.rmtree(out)
        return "" if held == (name != CLEAN) else "another share of the listings is held than should be"

    audit = ("audit", str(feed), "--out", str(out))
    return Job(name, "auditor.shell.cli:main", audit, good_codes=(0, 1), check=removed)
