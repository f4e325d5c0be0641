"""Feeds for runs on a cluster, the runs, and what they leave."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.csv as pacsv
import pyarrow.parquet as pq
import pytest

from auditor.engine.run import RunOutcome, Settings, run_audit
from auditor.engine.workers.cluster.settings import cluster_settings
from auditor.feeds import csv_units, parquet_feed
from auditor.rulebook.book import load_book
from tests.benchmarks.generator import FeedPlan, chunks
from tests.engine.workers.cluster.machines import HOUSE


class Told:
    """Progress that does something whenever records are done."""

    def __init__(self, then: Callable[[], None] = lambda: None) -> None:
        self.then = then
        self.records = 0
        self.notes: dict[str, str] = {}
        self.all_notes: dict[str, list[str]] = {}
        self.at_stage: Callable[[str], None] = lambda name: None

    def stage(self, name: str, of: int | None = None, about: bool = False) -> None:
        self.at_stage(name)

    def advance(self, records: int, findings: int = 0) -> None:
        self.records += records
        self.then()

    def note(self, event: str, text: str, **values: Any) -> None:
        self.notes[event] = text
        self.all_notes.setdefault(event, []).append(text)


def write_feeds(folder: Path) -> None:
    """Feeds of every kind of format; the same GTINs stand in several of them, so that listings are compared."""
    plan = FeedPlan(records=600, distinct_markings=60, findings_percent=20, text_length=40)
    table = pa.concat_tables(some for some, _ in chunks(plan))
    pq.write_table(table, folder / "a.parquet", row_group_size=500)
    pacsv.write_csv(table.slice(0, 400), folder / "b.csv")
    (folder / "c.jsonl").write_text(
        table.slice(300).select(["sku", "gtin", "marking"]).to_pandas().to_json(orient="records", lines=True)
    )
    for name in ("pellmont.xlsx", "ondrel.csv.gz"):  # read from copies that only the run's own process has
        shutil.copy(HOUSE / "sample_catalogs" / name, folder)
    good = "sku,marking,max_load_kg\n1,225/65R17 102H,850\n2,225/65R17 102H,950\n"
    for number in range(3):  # so small and alike that they are audited together
        (folder / f"small{number}.csv").write_text(good)


def shorten_units(patch: pytest.MonkeyPatch) -> None:
    """Units so short that every feed has several."""
    patch.setattr(parquet_feed, "FINER_RECORDS", 100)
    for name in ("CHUNK_BYTES", "PIECE_BYTES", "FINER_BYTES"):
        patch.setattr(csv_units, name, 16 << 10)


def run(feeds: Path, out: Path, address: str | None, told: Told | None = None) -> RunOutcome:
    settings = Settings(load_book(), workers=1, night="2026-11-28", cluster=cluster_settings(address, None, out))
    return run_audit([str(feeds)], out, settings, told or Told())


def files(out: Path) -> dict[str, bytes]:
    """Every output file but the clock."""
    found = sorted(path for path in out.rglob("*") if path.is_file() and path.name != "run.json")
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in found}


def unlike(one: dict[str, bytes], other: dict[str, bytes]) -> list[str]:
    return sorted(name for name in one.keys() | other.keys() if one.get(name) != other.get(name))


def parts_of(out: Path) -> Path:
    """Where the parts of a run lie."""
    return out.parent / f".{out.name}.parts"


def manifests(out: Path) -> dict[str, bytes]:
    """What is done of a run."""
    place = parts_of(out)
    return {path.relative_to(place).as_posix(): path.read_bytes() for path in place.glob("*/*.json")}
