"""A night in which a column that matters was not read: said first, everywhere, and never called safe."""

from __future__ import annotations

import json
from pathlib import Path

import auditor as program
from tests.shell.running import InProcess

MARKINGS = (("225/65R17 102H", 850), ("205/55R16 91V", 615), ("195/65R15 91H", 615))


def write(folder: Path, header: str, records: int, wrong: int = 2, name: str = "north.csv") -> str:
    """A feed whose loads have no unit, some of them 150 kg too high."""
    lines = [f"sku,marking,{header}"]
    for number in range(records):
        marking, load = MARKINGS[number % 3]
        lines.append(f"A{number},{marking},{load + (150 if number < wrong else 0)}")
    path = folder / name
    path.write_text("\n".join(lines) + "\n")
    return str(path)


def test_it_is_said_first_and_the_feed_is_not_called_safe(tmp_path: Path, auditor: InProcess) -> None:
    out = tmp_path / "out"
    ended = auditor("audit", write(tmp_path, "Load", 15), "--out", str(out), "--log", "none")
    assert ended.code == 5
    assert ended.out.startswith("NOT READ: 1 column that may hold a danger: 'Load' in north.csv.\n")
    assert "To read it, name it in a feed map as max_load_kg or max_load_lb." in " ".join(ended.out.split())
    assert "none of them dangerous" not in ended.out
    summary = json.loads((out / "summary.json").read_text())
    assert summary["totals"]["released"] == 15
    assert [(one["feed"], one["header"]) for one in summary["unread_columns"]] == [("north.csv", "Load")]
    assert summary["could_not_tell"]["load-overstated"] == 15
    page = (out / "report.html").read_text()
    assert page.index("NOT READ: 1 column") < page.index("15 released")
    assert "none of them dangerous" not in page
    assert auditor("show", str(out)).out.startswith("NOT READ: 1 column")


def test_twenty_loads_settle_the_unit_and_the_wrong_ones_are_held(tmp_path: Path, auditor: InProcess) -> None:
    out = tmp_path / "out"
    assert auditor("audit", write(tmp_path, "Load", 150), "--out", str(out), "--quiet").code == 1
    summary = json.loads((out / "summary.json").read_text())
    assert (summary["unread_columns"], summary["by_rule"]["load-overstated"]["findings"]) == ([], 2)


def test_lines_for_machines_name_it(tmp_path: Path, auditor: InProcess) -> None:
    ended = auditor("audit", write(tmp_path, "Load", 15), "--out", str(tmp_path / "out"), "--log", "json")
    events = [json.loads(line) for line in ended.err.splitlines()]
    named = next(event for event in events if event["event"] == "unread column")
    assert (named["feed"], named["header"]) == ("north.csv", "Load")
    assert (events[-1]["exit_code"], events[-1]["unread_columns"]) == (5, 1)


def test_a_quiet_run_still_says_it(tmp_path: Path, auditor: InProcess) -> None:
    ended = auditor("audit", write(tmp_path, "Load", 15), "--out", str(tmp_path / "out"), "--quiet")
    assert ended.err == "auditor: NOT READ: 1 column that may hold a danger: 'Load' in north.csv.\n"


def test_an_unreadable_feed_beats_it_and_it_beats_a_held_listing(tmp_path: Path, auditor: InProcess) -> None:
    unread, held = write(tmp_path, "Load", 15), write(tmp_path, "max_load_kg", 15, name="south.csv")
    assert auditor("audit", unread, held, "--out", str(tmp_path / "out"), "--quiet").code == 5
    (tmp_path / "empty.csv").write_text("")
    ended = auditor("audit", unread, str(tmp_path / "empty.csv"), "--out", str(tmp_path / "out"), "--quiet")
    assert ended.code == 3


def test_the_policy_holds_a_feed_with_an_unread_column_whole(tmp_path: Path, auditor: InProcess) -> None:
    policy = tmp_path / "policy.toml"
    policy.write_text('unread = "hold"\n')
    feeds = [write(tmp_path, "Load", 15), write(tmp_path, "max_load_kg", 15, wrong=0, name="south.csv")]
    out = tmp_path / "out"
    ended = auditor("audit", *feeds, "--out", str(out), "--quiet", "--policy", str(policy))
    summary = json.loads((out / "summary.json").read_text())
    assert ended.code == 5
    assert [(feed["feed"], feed["held"]) for feed in summary["feeds"]] == [("north.csv", 15), ("south.csv", 0)]
    assert len((out / "held" / "north.csv").read_text().splitlines()) == 16
    assert sum(row["held"] for row in summary["by_supplier"].values()) == 15


def test_a_program_learns_it_too(tmp_path: Path) -> None:
    result = program.audit(write(tmp_path, "Load", 15))
    assert result.exit_code == 5
    assert [column["header"] for column in result.summary["unread_columns"]] == ["Load"]
