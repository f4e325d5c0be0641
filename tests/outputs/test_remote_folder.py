"""Results in an object store: whole or without a summary, files of others untouched, decisions never overwritten."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from auditor.errors import OutputError
from auditor.outputs.remote_folder import remote_folder
from tests.object_store import object_store, objects, put_bytes

HOUSE = Path(__file__).parents[2]
GOOD = "sku,marking,max_load_kg\n1,225/65R17 102H,850\n2,225/65R17 102H,950\n"


@pytest.fixture(scope="module")
def store() -> Iterator[str]:
    with object_store() as address:
        yield address


def audit(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "auditor", "audit", *words]
    environment = {**os.environ, "PYTHONPATH": str(HOUSE)}
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True)


def test_an_audit_appears_in_a_store_and_is_replaced(store: str, tmp_path: Path) -> None:
    (tmp_path / "north.csv").write_text(GOOD)
    done = audit(tmp_path, "north.csv", "--out", f"{store}/night", "--log", "plain", "--night", "2026-11-28")
    assert done.returncode == 1 and f"Report: {store}/night/report.html" in done.stdout
    assert f"copying to {store}/night" in done.stderr
    first = objects(f"{store}/night")
    assert first["held/north.csv"].decode().splitlines()[1:] == ["2,225/65R17 102H,950"]
    put_bytes(f"{store}/night/notes.txt", b"of somebody else")
    put_bytes(f"{store}/south.csv", GOOD.encode())
    done = audit(tmp_path, f"{store}/south.csv", "--out", f"{store}/night", "--quiet", "--night", "2026-11-29")
    assert (done.returncode, done.stdout, done.stderr) == (1, "", "")
    second = objects(f"{store}/night")
    assert second.keys() == {name.replace("north", "south") for name in first} | {"notes.txt"}
    assert second["summary.json"] != first["summary.json"] and second["notes.txt"] == b"of somebody else"


def test_what_is_no_audit_is_left_alone(store: str, tmp_path: Path) -> None:
    put_bytes(f"{store}/mine/notes.txt", b"of somebody else")
    with (
        pytest.raises(OutputError, match="is not empty and not the folder of an earlier audit"),
        remote_folder(f"{store}/mine"),
    ):
        raise AssertionError
    with pytest.raises(OutputError, match="cannot be written"), remote_folder("nothing://at/all"):
        raise AssertionError


def test_a_copy_that_breaks_off_leaves_no_summary_and_is_made_up_for(store: str) -> None:
    summary = b'{"schema": 1, "program": 1, "rules": 1, "totals": 1, "feeds": 1}'
    with remote_folder(f"{store}/broken") as folder:
        (folder / "summary.json").write_bytes(summary)
        (folder / "run.json").write_bytes(b'{"files": ["summary.json", "old.csv", "report.xlsx"]}')
        (folder / "old.csv").write_bytes(b"old")
        (folder / "report.xlsx").write_bytes(b"decisions")
    with pytest.raises(OutputError, match="cannot be written"), remote_folder(f"{store}/broken") as folder:
        (folder / "new.csv").write_bytes(b"new")
        (folder / "summary.json").unlink()  # as if the last of it could not be copied
    assert "summary.json" not in objects(f"{store}/broken")
    with remote_folder(f"{store}/broken") as folder:
        assert (folder / "summary.json").read_bytes() == summary  # so that it is known for an audit
        assert (folder / "report.xlsx").read_bytes() == b"decisions"  # and its decisions are not lost
        (folder / "new.csv").write_bytes(b"new")
    assert objects(f"{store}/broken").keys() == {"summary.json", "run.json", "report.xlsx", "new.csv"}


def test_a_store_that_is_not_there_is_said_in_one_sentence(tmp_path: Path, store: str) -> None:
    (tmp_path / "north.csv").write_text(GOOD)
    done = audit(tmp_path, "north.csv", "--out", "s3://none/night", "--quiet")
    assert done.returncode == 4 and done.stderr.startswith("auditor: s3://none/night cannot be written (")
    assert done.stderr.count("\n") == 1
