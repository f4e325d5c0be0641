"""The log for machines names everything that was not read, and why the run ends as it does."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import Any

import pytest

from auditor.shell.run_log import exit_reason
from tests.shell.running import InProcess

GOOD = "sku,marking,max_load_kg\n1,225/65R17 102H,850\n2,225/65R17 102H,950\n3\n"


@pytest.fixture
def feeds(tmp_path: Path) -> Path:
    folder = tmp_path / "feeds"
    folder.mkdir()
    (folder / "north.csv").write_text(GOOD)
    (folder / "east.csv").write_text("")
    (folder / "south.csv").write_text("sku,marking,Max Load\n1,225/65R17 102H,850\n")
    (folder / "notes.pdf").write_text("x")
    return folder


def lines(auditor: InProcess, feeds: Path, *words: str) -> list[dict[str, Any]]:
    ended = auditor("audit", str(feeds), "--out", str(feeds.parent / "out"), "--log", "json", *words)
    assert (ended.code, ended.out) == (3, "")
    told = [json.loads(line) for line in ended.err.splitlines()]
    times = [datetime.datetime.fromisoformat(line["time"]) for line in told]
    assert times == sorted(times) and all(time.tzinfo is not None for time in times)
    return told


def test_everything_that_was_not_read_is_named(auditor: InProcess, feeds: Path) -> None:
    told = lines(auditor, feeds)
    named = {line["event"]: line for line in told}
    assert named["unreadable"]["feed"] == "east.csv"
    assert named["unreadable"]["reason"].startswith("the file is empty")
    assert (named["skipped"]["file"], named["unread column"]["header"]) == ("notes.pdf", "Max Load")
    last = told[-1]
    assert last["event"] == "finished"
    assert {name: last[name] for name in ("feeds", "records", "released", "held", "rejected", "exit_code")} == {
        "feeds": 2,
        "records": 4,
        "released": 2,
        "held": 1,
        "rejected": 1,
        "exit_code": 3,
    }
    assert (last["unreadable_feeds"], last["unread_columns"], last["skipped"]) == (1, 1, 1)
    assert last["reason"] == (
        "1 feed could not be read. 1 column that matters was not read. 1 listing was held and 1 record rejected."
    )
    audited = [line["records"] for line in told if line.get("stage", "").startswith("auditing") and line["done"]]
    assert sum(audited) == 4


def test_a_quiet_run_names_what_went_wrong_alone(auditor: InProcess, feeds: Path) -> None:
    assert [line["event"] for line in lines(auditor, feeds, "--quiet")] == ["unreadable", "unread column"]


def test_nothing_to_say() -> None:
    assert exit_reason({}, 0) == "Every listing is released."


def test_limits_are_listed_without_a_feed(auditor: InProcess) -> None:
    ended = auditor("audit", "--limit", "help")
    assert (ended.code, ended.err) == (0, "")
    assert "record_bytes=16777216" in ended.out.splitlines()
