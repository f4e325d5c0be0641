"""`auditor audit`: exit codes, bad input, what is written, what is left alone, interruption."""

from __future__ import annotations

import csv
import hashlib
import json
import os
import signal
import time
from pathlib import Path

import pyarrow.parquet as pq
import pytest

from tests.benchmarks.generator import FeedPlan, write_feeds
from tests.shell.running import InProcess, start

GOOD = "sku,marking,max_load_kg\nA1,225/65R17 102H,850\n"
BAD = "sku,marking,max_load_kg\nA1,225/65R17 102H,950\n"


def feed(tmp_path: Path, name: str, text: str | bytes) -> str:
    path = tmp_path / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return str(path)


@pytest.mark.parametrize(
    ("name", "content", "code", "said"),
    [
        ("good.csv", GOOD, 0, ""),
        ("bad.csv", BAD, 1, ""),
        ("header.csv", "sku,marking,max_load_kg\n", 0, ""),
        ("empty.csv", "", 3, "empty"),
        ("columns.csv", "alpha,beta\n1,2\n", 3, "no column is recognized"),
        ("bytes.csv", bytes(range(256)) * 20, 3, "bytes.csv"),
        ("bytes.parquet", b"PAR1" + bytes(range(256)), 3, "not a whole Parquet file"),
        ("bytes.xlsx", b"PK\x03\x04" + bytes(200), 3, "bytes.xlsx"),
    ],
)
def test_exit_codes_by_feed(
    name: str, content: str | bytes, code: int, said: str, tmp_path: Path, auditor: InProcess
) -> None:
    ended = auditor("audit", feed(tmp_path, name, content), "--out", str(tmp_path / "out"), "--quiet")
    assert ended.code == code, ended.err
    assert said in ended.err
    assert "Traceback" not in ended.err
    assert len(ended.err.splitlines()) == (1 if code == 3 else 0)


@pytest.mark.parametrize(
    ("make", "code", "said"),
    [
        (lambda tmp_path: "missing.csv", 3, "missing.csv: no such file or folder"),
        (lambda tmp_path: str((tmp_path / "none").mkdir() or tmp_path / "none"), 3, "holds no feed"),
        (lambda tmp_path: str(tmp_path / "*.nothing"), 3, "*.nothing"),
    ],
)
def test_nothing_to_read(make: object, code: int, said: str, tmp_path: Path, auditor: InProcess) -> None:
    ended = auditor("audit", make(tmp_path), "--out", str(tmp_path / "out"), "--quiet")  # type: ignore[operator]
    assert (ended.code, said in ended.err) == (code, True), ended.err
    assert not (tmp_path / "out").exists()


def test_an_unreadable_feed_beats_a_held_listing_and_the_others_are_audited(tmp_path: Path, auditor: InProcess) -> None:
    bad, broken = feed(tmp_path, "bad.csv", BAD), feed(tmp_path, "broken.csv", "")
    ended = auditor("audit", bad, broken, "--out", str(tmp_path / "out"), "--quiet")
    summary = json.loads((tmp_path / "out" / "summary.json").read_text())
    assert ended.code == 3
    assert summary["totals"]["held"] == 1
    assert [one["feed"] for one in summary["unreadable_feeds"]] == ["broken.csv"]


def test_a_folder_of_someone_else_is_left_alone(tmp_path: Path, auditor: InProcess) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.odt").write_text("dear")
    ended = auditor("audit", feed(tmp_path, "good.csv", GOOD), "--out", str(tmp_path / "mine"), "--quiet")
    assert ended.code == 4
    assert "not the folder of an earlier audit" in ended.err
    assert [path.name for path in (tmp_path / "mine").iterdir()] == ["letter.odt"]


def test_a_place_that_cannot_be_written(tmp_path: Path, auditor: InProcess) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("")
    ended = auditor("audit", feed(tmp_path, "good.csv", GOOD), "--out", str(blocked / "out"), "--quiet")
    assert ended.code == 4
    assert "Traceback" not in ended.err


def test_an_earlier_audit_is_replaced(tmp_path: Path, auditor: InProcess) -> None:
    out = str(tmp_path / "out")
    assert auditor("audit", feed(tmp_path, "bad.csv", BAD), "--out", out, "--quiet").code == 1
    assert auditor("audit", feed(tmp_path, "good.csv", GOOD), "--out", out, "--quiet").code == 0
    assert sorted(path.name for path in (tmp_path / "out" / "released").iterdir()) == ["good.csv"]
    assert pq.read_table(tmp_path / "out" / "findings.parquet").num_rows == 0


def test_everything_is_written_and_balances(tmp_path: Path, auditor: InProcess) -> None:
    text = "sku,marking,max_load_kg,note\n0012,225/65R17 102H,850,ok\n\n0013,225/65R17 102H,950,heavy\n0014,x,y\n"
    ended = auditor("audit", feed(tmp_path, "mixed.csv", text), "--out", str(tmp_path / "out"), "--quiet")
    out = tmp_path / "out"
    assert ended.code == 1
    assert {path.name for path in out.iterdir()} == {
        "findings.parquet", "findings.csv", "summary.json", "report.html", "report.xlsx", "run.json",
        "released", "held", "rejected.csv", "corrections", "repeated.csv", "folded.parquet",
    }  # fmt: skip
    totals = json.loads((out / "summary.json").read_text())["totals"]
    assert {name: totals[name] for name in ("records", "released", "held", "rejected", "furniture")} == {
        "records": 4, "released": 1, "held": 1, "rejected": 1, "furniture": 1,
    }  # fmt: skip
    assert (out / "released" / "mixed.csv").read_text() == "sku,marking,max_load_kg,note\n0012,225/65R17 102H,850,ok\n"
    assert (out / "held" / "mixed.csv").read_text() == ("sku,marking,max_load_kg,note\n0013,225/65R17 102H,950,heavy\n")
    with (out / "rejected.csv").open(newline="") as file:
        assert [row["record"] for row in csv.DictReader(file)] == ["4"]
    finding = pq.read_table(out / "findings.parquet").to_pylist()[0]
    assert (finding["record"], finding["sku"], finding["field"], finding["derived"]) == (
        3,
        "0013",
        "max_load_kg",
        "850",
    )


def test_the_same_feeds_give_the_same_bytes(tmp_path: Path, auditor: InProcess) -> None:
    bad = feed(tmp_path, "bad.csv", BAD)
    digests = []
    for name in ("one", "two"):
        folder = tmp_path / name
        auditor("audit", bad, "--out", str(folder), "--quiet")
        files = sorted(path for path in folder.rglob("*") if path.is_file() and path.name != "run.json")
        digests.append([(path.relative_to(folder), hashlib.sha256(path.read_bytes()).hexdigest()) for path in files])
    assert digests[0] == digests[1]


def test_hold_from_decides(tmp_path: Path, auditor: InProcess) -> None:
    minor = feed(tmp_path, "minor.csv", "marking\n225 65 17 102H\n")
    assert auditor("audit", minor, "--out", str(tmp_path / "a"), "--quiet").code == 0
    assert auditor("audit", minor, "--out", str(tmp_path / "b"), "--quiet", "--hold-from", "minor").code == 1


@pytest.mark.parametrize(("sent", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])
def test_an_interrupted_run_leaves_the_earlier_output(sent: signal.Signals, code: int, tmp_path: Path) -> None:
    lines = "".join(f"{n},225/65R17 102H,{800 + n % 900},word{n} and {n * 7} more\n" for n in range(400_000))
    big = feed(tmp_path, "big.csv", "sku,marking,max_load_kg,title\n" + lines)
    out = tmp_path / "out"
    with start(["audit", feed(tmp_path, "good.csv", GOOD), "--out", str(out), "--quiet"]) as first:
        assert first.wait(60) == 0
    before = (out / "summary.json").read_bytes()
    with start(["audit", big, "--out", str(out), "--log", "plain"]) as running:
        assert running.stderr is not None
        while b"auditing" not in running.stderr.readline() and running.poll() is None:
            pass
        os.kill(running.pid, sent)
        sent_at = time.monotonic()
        assert running.wait(20) == code
        assert time.monotonic() - sent_at < 5.0  # one second on a machine of its own
    assert (out / "summary.json").read_bytes() == before
    assert not [path for path in tmp_path.iterdir() if ".building-" in path.name]


@pytest.mark.parametrize("stage", ["comparing listings", "settling findings"])
def test_an_interruption_while_parts_and_reports_are_written(stage: str, tmp_path: Path) -> None:
    """Ends after the named stage, when listings and reports are written side by side."""
    night = tmp_path / "night.parquet"
    write_feeds(FeedPlan(records=60_000, distinct_markings=900, findings_percent=60, text_length=300), [night])
    out = tmp_path / "out"
    with start(["audit", feed(tmp_path, "good.csv", GOOD), "--out", str(out), "--quiet"]) as first:
        assert first.wait(60) == 0
    before = (out / "summary.json").read_bytes()
    with start(["audit", str(night), "--out", str(out), "--log", "plain", "--workers", "2"]) as running:
        assert running.stderr is not None
        while stage.encode() not in running.stderr.readline() and running.poll() is None:
            pass
        os.kill(running.pid, signal.SIGINT)
        sent_at = time.monotonic()
        assert running.wait(20) == 130
        assert time.monotonic() - sent_at < 5.0  # one second on a machine of its own
        assert b"out is as it was" in running.stderr.read()
    assert (out / "summary.json").read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["good.csv", "night.parquet", "out"]


def test_limits_can_be_moved(tmp_path: Path, auditor: InProcess) -> None:
    long = feed(tmp_path, "long.csv", GOOD + "A2,225/65R17 102H,850" + " " * 3000 + "\n")
    out = str(tmp_path / "out")
    assert auditor("audit", long, "--out", out, "--quiet").code == 0
    assert auditor("audit", long, "--out", out, "--quiet", "--limit", "record_bytes=1000").code == 1
    assert "record_bytes=16777216" in auditor("audit", long, "--out", out, "--limit", "help").out
    assert auditor("audit", long, "--out", out, "--limit", "columns=many").code == 2
