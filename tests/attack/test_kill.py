"""A run that is killed at any moment leaves the earlier output or the whole new one, and the next one tidies up."""

from __future__ import annotations

import gzip
import json
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.shell.running import environment, start

WRITER = """
import itertools, json, sys
from pathlib import Path
from auditor.outputs.output_folder import output_folder
for number in itertools.count():
    with output_folder(Path(sys.argv[1])) as building:
        (building / "released").mkdir()
        for name in ("findings.csv", "released/feed.csv"):
            (building / name).write_text(str(number) * 2000)
        summary = {"schema": 1, "program": "", "rules": {}, "totals": {}, "feeds": [], "number": number}
        (building / "summary.json").write_text(json.dumps(summary))
    print(number, flush=True)
"""
ROW = "{},225/65R17 102H,850,Nordhall Weg\n"


def test_whenever_it_is_killed_one_whole_output_is_there(tmp_path: Path) -> None:
    target = tmp_path / "night"
    chance = random.Random(5)
    for _ in range(12):
        command = [sys.executable, "-c", WRITER, str(target)]
        writer = subprocess.Popen(command, env=environment(), stdout=subprocess.PIPE)
        assert writer.stdout is not None
        assert writer.stdout.readline() == b"0\n"
        time.sleep(chance.random() * 0.1)
        writer.kill()
        writer.communicate()
        number = json.loads((target / "summary.json").read_text())["number"]
        for name in ("findings.csv", "released/feed.csv"):
            assert (target / name).read_text() == str(number) * 2000
    subprocess.run(
        [sys.executable, "-c", WRITER.replace("itertools.count()", "range(1)"), str(target)],
        env=environment(),
        check=True,
        stdout=subprocess.DEVNULL,
    )
    # an empty one, just made, may be one that a run is about to mark
    assert [path.name for path in tmp_path.iterdir() if any(path.iterdir())] == ["night"]
    assert not (target / ".building").exists()


@pytest.mark.parametrize("seed", range(2))
def test_a_killed_audit_leaves_the_earlier_one_and_the_next_tidies_up(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    feeds, spool, target = tmp_path / "feeds", tmp_path / "tmp", tmp_path / "out" / "night"
    for folder in (feeds, spool):
        folder.mkdir()
    text = "sku,marking,max_load_kg,title\n" + "".join(ROW.format(number) for number in range(20_000))
    (feeds / "a.csv.gz").write_bytes(gzip.compress(text.encode()))
    words = ["audit", str(feeds), "--out", str(target), "--log", "none", "--workers", "2"]
    env = environment(TMPDIR=str(spool))

    def audit(kill_after: float | None) -> None:
        process = subprocess.Popen(
            [sys.executable, "-m", "auditor", *words], env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        if kill_after is not None:
            time.sleep(kill_after)
            process.kill()
        process.wait()

    audit(None)
    whole = json.loads((target / "summary.json").read_text())
    assert whole["totals"]["records"] == 20_000
    for _ in range(3):
        audit(0.3 + chance.random() * 2.5)
        assert json.loads((target / "summary.json").read_text()) == whole
        assert (target / "report.html").exists() and (target / "run.json").exists()
    audit(None)
    assert [path.name for path in target.parent.iterdir()] == ["night"]
    assert list(spool.iterdir()) == []


def test_what_cannot_be_shown_ends_with_4() -> None:
    with Path("/dev/full").open("wb") as full:
        process = start(["decode", "225/65R17 102H"], stdout=full)
        _, err = process.communicate()
    assert process.returncode == 4
    assert (
        err.decode() == "auditor: the output could not be written (no space left on device); make room and run again.\n"
    )
    closed = subprocess.run(
        ["bash", "-c", f"'{sys.executable}' -m auditor decode '225/65R17 102H' >&-"],
        env=environment(),
        capture_output=True,
        text=True,
    )
    assert (closed.returncode, closed.stderr.count("\n")) == (4, 1)


@pytest.mark.parametrize("kib", [150_000, 300_000])
def test_too_little_memory_is_one_sentence(tmp_path: Path, kib: int) -> None:
    (tmp_path / "feed.csv").write_text("sku,marking\n1,225/65R17 102H\n")
    ended = subprocess.run(
        ["bash", "-c", f"ulimit -v {kib}; '{sys.executable}' -m auditor audit feed.csv --out out --log none --quiet"],
        env=environment(),
        cwd=tmp_path,
        capture_output=True,
        text=True,
    )
    assert ended.returncode == 4
    assert ended.stderr.splitlines()[-1].startswith("auditor: there is not enough memory")


@pytest.mark.parametrize("text", ["a = " + "[" * 9000 + "]" * 9000, "a = " + "9" * 5000, "a" + ".a" * 9000 + " = 1"])
def test_a_policy_or_map_made_to_be_too_much_is_one_sentence(tmp_path: Path, text: str) -> None:
    (tmp_path / "north.toml").write_text(text)
    (tmp_path / "feed.csv").write_text("sku,marking\n1,225/65R17 102H\n")
    for option in (["--policy", str(tmp_path / "north.toml")], ["--maps", str(tmp_path)]):
        process = start(["audit", str(tmp_path / "feed.csv"), "--out", str(tmp_path / "out"), *option])
        _, err = process.communicate()
        assert (process.returncode, err.count(b"\n")) == (2, 1), err[-500:]
        assert b"internal error" not in err
