"""Nights for workers of any kind: progress that is watched, feeds, and what two runs leave that is not the same."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.csv as pacsv
import pyarrow.parquet as pq
import pytest

from auditor.engine import known_feeds
from auditor.engine.workers import choice
from auditor.feeds import csv_units
from auditor.feeds.csv_feed import CsvFeed
from auditor.mapping.opening import open_feeds
from tests.engine.workers.deadly_feed import deadly

HOUSE = Path(__file__).parents[3]
GOOD = "sku,marking,max_load_kg\n1,225/65R17 102H,850\n2,225/65R17 102H,950\n"


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


def write_formats(table: pa.Table, folder: Path) -> None:
    """Feeds of some formats; the same GTINs stand in several of them, so that listings are compared."""
    pq.write_table(table, folder / "a.parquet", row_group_size=500)
    pacsv.write_csv(table.slice(0, 400), folder / "b.csv")
    (folder / "c.jsonl").write_text(
        table.slice(300).select(["sku", "gtin", "marking"]).to_pandas().to_json(orient="records", lines=True)
    )


def shorten_units(patch: pytest.MonkeyPatch) -> None:
    """Units so short that every feed has several."""
    patch.setattr(choice, "BESIDE_ONE", 100)
    patch.setattr(choice, "BESIDE_OTHERS", 100)
    for name in ("CHUNK_BYTES", "PIECE_BYTES", "FINER_BYTES"):
        patch.setattr(csv_units, name, 16 << 10)


def deadly_night(folder: Path, patch: pytest.MonkeyPatch) -> Path:
    """A folder of feeds, of which the second of two units of `bad.csv` kills who audits it."""
    folder.mkdir()
    (folder / "bad.csv").write_text(GOOD + "3,225/65R17 102H,850\n" * 2000)
    for name in ("a_good.csv", "z_good.csv"):
        (folder / name).write_text(GOOD)

    def opened(position: Any, *others: Any, **named: Any) -> Any:
        found = open_feeds(position, *others, **named)
        return [deadly(one) if isinstance(one, CsvFeed) and one.name == "bad.csv" else one for one in found]

    patch.setattr(known_feeds, "open_feeds", opened)
    return folder


def files(out: Path) -> dict[str, bytes]:
    """Every output file but the clock."""
    found = sorted(path for path in out.rglob("*") if path.is_file() and path.name != "run.json")
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in found}


def unlike(one: dict[str, bytes], other: dict[str, bytes]) -> list[str]:
    """The files that are not the same in both."""
    return sorted(name for name in one.keys() | other.keys() if one.get(name) != other.get(name))
