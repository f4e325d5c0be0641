"""Progress in its four forms."""

from __future__ import annotations

import datetime
import io
import json

import pytest

from auditor.engine import progress as module
from auditor.engine.progress import Progress, clock_text, progress


def work(shown: Progress) -> None:
    shown.stage("north.csv", 1_500)
    shown.advance(1_000, 3)
    shown.advance(500, 2)
    shown.stage("south\x1b.csv")


def test_lines() -> None:
    stream = io.StringIO()
    with progress("auto", stream) as shown:  # not a terminal
        work(shown)
    assert stream.getvalue() == "north.csv: 1,500 listings, 5 findings\nsouth .csv\n"


def test_json_lines() -> None:
    stream = io.StringIO()
    with progress("json", stream) as shown:
        work(shown)
    lines = [json.loads(line) for line in stream.getvalue().splitlines()]
    assert datetime.datetime.fromisoformat(lines[0].pop("time")).tzinfo is not None
    assert lines[0] == {
        "event": "progress",
        "stage": "north.csv",
        "records": 1_500,
        "of": 1_500,
        "findings": 5,
        "done": True,
    }
    assert len(lines) == 2


def test_what_must_be_known_at_once() -> None:
    told: dict[str, str] = {}
    for style in ("lines", "json", "bar", "none"):
        stream = io.StringIO()
        with progress(style, stream) as shown:
            shown.note("unreadable", "Not audited: a\x1b.csv: it is empty.", feed="a\x1b.csv", reason="it is empty.")
        told[style] = stream.getvalue()
    assert told["lines"] == "Not audited: a .csv: it is empty.\n"
    line = json.loads(told["json"])
    assert (line["event"], line["feed"], line["reason"]) == ("unreadable", "a\x1b.csv", "it is empty.")
    assert "Not audited: a .csv: it is empty." in told["bar"]
    assert told["none"] == ""


@pytest.mark.parametrize(
    ("about", "of", "line"),
    [
        (False, 5_000, "north.csv: 1,000 of 5,000 listings, 3 findings so far (500 a second, 8 s left)"),
        (True, 400_000, "north.csv: 1,000 of about 400,000 listings, 3 findings so far (500 a second, 13 min left)"),
        (False, None, "north.csv: 1,000 listings, 3 findings so far (500 a second)"),
    ],
)
def test_rate_and_time_left(monkeypatch: pytest.MonkeyPatch, about: bool, of: int | None, line: str) -> None:
    times = iter([100.0, 102.0, 102.0, 102.0, 102.0, 102.0, 102.0, 102.0])
    monkeypatch.setattr(module.time, "monotonic", lambda: next(times))
    monkeypatch.setattr(module, "_LINE_EVERY_S", 1.0)
    stream, machine = io.StringIO(), io.StringIO()
    with progress("lines", stream) as shown:
        shown.stage("north.csv", of, about)
        shown.advance(1_000, 3)
    assert stream.getvalue().splitlines()[0] == line
    times = iter([100.0, *[102.0] * 7])
    with progress("json", machine) as shown:
        shown.stage("north.csv", of, about)
        shown.advance(1_000, 3)
    told = json.loads(machine.getvalue().splitlines()[0])
    assert told["per_second"] == 500
    assert told["seconds_left"] == (None if of is None else (of - 1_000) // 500)


def test_times_to_go() -> None:
    assert [clock_text(seconds) for seconds in (0.2, 99, 240, 7_800)] == ["0 s", "99 s", "4 min", "2 h 10 min"]


def test_silence() -> None:
    stream = io.StringIO()
    with progress("none", stream) as shown:
        work(shown)
    assert stream.getvalue() == ""


def test_bar_on_a_terminal() -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    stream = Terminal()
    with progress("auto", stream) as shown:
        work(shown)
    assert "\x1b[" in stream.getvalue()
    assert "south" in stream.getvalue()
