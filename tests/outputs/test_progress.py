"""Progress in its four forms."""

from __future__ import annotations

import io
import json

from auditor.outputs.progress import Progress, progress


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
    assert lines[0] == {
        "event": "progress",
        "stage": "north.csv",
        "records": 1_500,
        "of": 1_500,
        "findings": 5,
        "done": True,
    }
    assert len(lines) == 2


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
