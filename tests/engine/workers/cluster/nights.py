"""Feeds for runs on a cluster, the runs, and what they leave."""

from __future__ import annotations

import shutil
from pathlib import Path

import pyarrow as pa

from auditor.engine.run import RunOutcome, Settings, run_audit
from auditor.engine.workers.cluster.settings import cluster_settings
from auditor.rulebook.book import load_book
from tests.benchmarks.generator import FeedPlan, chunks
from tests.engine.workers.nights import GOOD, HOUSE, Told, write_formats


def write_feeds(folder: Path) -> None:
    """Feeds of every kind of format; the same GTINs stand in several of them, so that listings are compared."""
    plan = FeedPlan(records=600, distinct_markings=60, findings_percent=20, text_length=40)
    table = pa.concat_tables(some for some, _ in chunks(plan))
    write_formats(table, folder)
    for name in ("pellmont.xlsx", "ondrel.csv.gz"):  # read from copies that only the run's own process has
        shutil.copy(HOUSE / "sample_catalogs" / name, folder)
    for number in range(3):  # so small and alike that they are audited together
        (folder / f"small{number}.csv").write_text(GOOD)


def run(feeds: Path, out: Path, address: str | None, told: Told | None = None) -> RunOutcome:
    settings = Settings(load_book(), workers=1, night="2026-11-28", cluster=cluster_settings(address, None, out))
    return run_audit([str(feeds)], out, settings, told or Told())


def parts_of(out: Path) -> Path:
    """Where the parts of a run lie."""
    return out.parent / f".{out.name}.parts"


def manifests(out: Path) -> dict[str, bytes]:
    """What is done of a run."""
    place = parts_of(out)
    there = place.glob("*/[!.]*.json")  # others are being written, and may have their names by now
    return {path.relative_to(place).as_posix(): path.read_bytes() for path in there}
