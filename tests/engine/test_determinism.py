"""The same feeds give the same bytes, however many workers there are, wherever blocks end, however small the caches."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pyarrow as pa
import pyarrow.csv as pacsv
import pyarrow.parquet as pq
import pytest

from auditor.columns import value_cache
from auditor.engine import pieces
from auditor.engine.progress import progress
from auditor.engine.run import Settings, run_audit
from auditor.feeds import csv_units, parquet_feed
from auditor.rulebook.book import load_book
from tests.benchmarks.generator import FeedPlan, chunks
from tests.judging.test_many_witnesses import filled_listings

HOUSE = Path(__file__).parents[2]
CLOCK = "run.json"  # the only file with a time in it


@pytest.fixture(scope="module")
def feeds(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Feeds with whole markings, feeds with sizes and service descriptions in columns of their own, one with all cells.

    Where all cells are filled, more statements bear on a finding than fit a machine word.
    """
    folder = tmp_path_factory.mktemp("feeds")
    for name in ("bexhollow.csv", "quillfeather.parquet"):
        shutil.copy(HOUSE / "sample_catalogs" / name, folder / name)
    plan = FeedPlan(records=700, distinct_markings=400, findings_percent=20, wrong_cells=2, text_length=40)
    whole = pa.concat_tables(listings for listings, _ in chunks(plan))
    apart = _apart(whole)
    pq.write_table(whole, folder / "whole.parquet", row_group_size=400)
    pq.write_table(apart, folder / "apart.parquet", row_group_size=500)
    pacsv.write_csv(apart, folder / "split.csv")
    pq.write_table(pa.Table.from_pylist(filled_listings(120)), folder / "filled.parquet", row_group_size=30)
    return folder


def _apart(listings: pa.Table) -> pa.Table:
    """The marking as a size and a service description; every third listing has its load index and symbol only."""
    markings = [text.split(" ", 1) for text in listings["marking"].to_pylist()]
    sizes = [parts[0] for parts in markings]
    services = ["" if position % 3 == 0 else parts[1].split(" ")[0] for position, parts in enumerate(markings)]
    at = listings.schema.get_field_index("marking")
    listings = listings.set_column(at, "size", pa.array(sizes))
    return listings.add_column(at + 1, "service_description", pa.array(services)).drop_columns(["description"])


@pytest.fixture(scope="module")
def usual(feeds: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    return _run(feeds, tmp_path_factory.mktemp("usual"), 1)


def _run(feeds: Path, folder: Path, workers: int) -> dict[str, bytes]:
    out = folder / "out"
    with progress("none") as shown:
        run_audit([str(feeds)], out, Settings(load_book(), workers=workers), shown)
    return _files(out)


def _files(out: Path) -> dict[str, bytes]:
    """Every output file but the clock, by relative path."""
    files = sorted(path for path in out.rglob("*") if path.is_file() and path.name != CLOCK)
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in files}


def _unlike(one: dict[str, bytes], other: dict[str, bytes]) -> list[str]:
    return sorted(name for name in one.keys() | other.keys() if one.get(name) != other.get(name))


def _short_blocks(monkeypatch: pytest.MonkeyPatch, records: int) -> None:
    monkeypatch.setattr(parquet_feed, "BATCH_RECORDS", records)
    monkeypatch.setattr(csv_units, "UNIT_RECORDS", records)
    monkeypatch.setattr(csv_units, "CHUNK_BYTES", 16 << 10)


def test_the_feeds_have_findings_of_every_grade(usual: dict[str, bytes], feeds: Path) -> None:
    table = pq.read_table(pa.BufferReader(usual["findings.parquet"]))
    assert set(table["grade"].to_pylist()) == {"critical", "major", "minor"}
    assert set(table["feed"].to_pylist()) == {path.name for path in feeds.iterdir()}


@pytest.mark.parametrize(("workers", "records"), [(2, 1 << 17), (4, 300), (1, 64)])
def test_workers_and_block_sizes_change_no_byte(
    usual: dict[str, bytes],
    feeds: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    workers: int,
    records: int,
) -> None:
    _short_blocks(monkeypatch, records)
    assert _unlike(usual, _run(feeds, tmp_path, workers)) == []


@pytest.mark.parametrize(("workers", "most", "records"), [(1, 40, 300), (3, 150, 100)])
def test_caches_that_start_anew_change_no_byte(
    usual: dict[str, bytes],
    feeds: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    workers: int,
    most: int,
    records: int,
) -> None:
    monkeypatch.setattr(value_cache, "MOST_TEXTS", most)
    _short_blocks(monkeypatch, records)
    assert _unlike(usual, _run(feeds, tmp_path, workers)) == []


@pytest.mark.parametrize(("workers", "most"), [(1, 60), (3, 9)])
def test_pieces_of_many_findings_change_no_byte(
    usual: dict[str, bytes], feeds: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, workers: int, most: int
) -> None:
    monkeypatch.setattr(pieces, "MOST_FINDINGS", most)
    monkeypatch.setattr(pieces, "FEWEST_RECORDS", 5)
    assert _unlike(usual, _run(feeds, tmp_path, workers)) == []


def test_the_order_of_sets_changes_no_byte(tmp_path: Path) -> None:
    """Python orders the members of a set of texts anew in each process, by a seed."""
    found = []
    for seed in ("1", "2"):
        out = tmp_path / seed
        command = [sys.executable, "-m", "auditor", "audit", "sample_catalogs", "--out", str(out), "--quiet"]
        done = subprocess.run(command, cwd=HOUSE, env={**os.environ, "PYTHONHASHSEED": seed}, check=False)
        assert done.returncode == 1
        found.append(_files(out))
    assert _unlike(*found) == []
