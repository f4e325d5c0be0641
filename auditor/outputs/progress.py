"""Progress of a run, as a moving bar, as lines, as JSON lines, or not at all.  Always on the error stream."""

from __future__ import annotations

import contextlib
import json
import sys
import time
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Protocol, TextIO

if TYPE_CHECKING:
    from rich.progress import Progress as RichProgress

STYLES = ("auto", "bar", "lines", "json", "none")
_LINE_EVERY_S = 5.0


class Progress(Protocol):
    """What the engine tells while it works.  Called from one thread, a few times a second at most."""

    def stage(self, name: str, of: int | None = None) -> None:
        """A new stage begins (`reading north.csv`), with the number of records it holds where that is known."""

    def advance(self, records: int, findings: int = 0) -> None:
        """So many more records of the stage are done, with so many more findings."""


@contextlib.contextmanager
def progress(style: str = "auto", stream: TextIO | None = None) -> Iterator[Progress]:
    """Shows progress in one of STYLES; `auto` is a bar on a terminal and lines elsewhere."""
    stream = stream or sys.stderr
    if style == "auto":
        style = "bar" if stream.isatty() else "lines"
    if style == "bar":
        with _bar(stream) as bar:
            yield bar
    elif style == "lines":
        shown = _Lines(stream)
        yield shown
        shown.finish()
    elif style == "json":
        shown_json = _JsonLines(stream)
        yield shown_json
        shown_json.finish()
    else:
        yield _Silent()


class _Silent:
    def stage(self, name: str, of: int | None = None) -> None:
        pass

    def advance(self, records: int, findings: int = 0) -> None:
        pass


class _Counting:
    """Counts, and lets a line through at each new stage and then every few seconds."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream
        self.name = ""
        self.of: int | None = None
        self.records = 0
        self.findings = 0
        self._last = 0.0

    def stage(self, name: str, of: int | None = None) -> None:
        self.finish()
        self.name, self.of, self.records, self.findings = printable(name), of, 0, 0
        self._last = time.monotonic()

    def advance(self, records: int, findings: int = 0) -> None:
        self.records += records
        self.findings += findings
        if time.monotonic() - self._last >= _LINE_EVERY_S:
            self._last = time.monotonic()
            self.say(done=False)

    def finish(self) -> None:
        if self.name:
            self.say(done=True)
            self.name = ""

    def say(self, done: bool) -> None:
        raise NotImplementedError


class _Lines(_Counting):
    def say(self, done: bool) -> None:
        of = f" of {self.of:,}" if self.of is not None and not done else ""
        found = f", {self.findings:,} findings" if self.findings else ""
        count = f": {self.records:,}{of} listings{found}" if self.records else ""
        print(f"{self.name}{count}{'' if done else ' so far'}", file=self.stream, flush=True)


class _JsonLines(_Counting):
    def say(self, done: bool) -> None:
        line: dict[str, Any] = {
            "event": "progress",
            "stage": self.name,
            "records": self.records,
            "of": self.of,
            "findings": self.findings,
            "done": done,
        }
        print(json.dumps(line, ensure_ascii=False), file=self.stream, flush=True)


class _Bar:
    def __init__(self, bar: RichProgress) -> None:
        self._bar = bar
        self._task: Any = None

    def stage(self, name: str, of: int | None = None) -> None:
        from rich.markup import escape

        if self._task is not None:
            self._bar.remove_task(self._task)
        self._task = self._bar.add_task(escape(printable(name)), total=of, findings=0)

    def advance(self, records: int, findings: int = 0) -> None:
        if self._task is not None:
            before = self._bar.tasks[0].fields["findings"]
            self._bar.update(self._task, advance=records, findings=before + findings)


@contextlib.contextmanager
def _bar(stream: TextIO) -> Iterator[_Bar]:
    from rich.console import Console
    from rich.progress import BarColumn, TextColumn, TimeRemainingColumn
    from rich.progress import Progress as RichProgress

    columns = (
        TextColumn("{task.description}"),
        BarColumn(bar_width=None),
        TextColumn("{task.completed:>11,.0f} listings"),
        TextColumn("{task.fields[findings]:>9,} findings"),
        TimeRemainingColumn(),
    )
    with RichProgress(*columns, console=Console(file=stream), transient=True) as bar:
        yield _Bar(bar)


def printable(text: str) -> str:
    """The text on one line without control characters: a feed's text must not steer a terminal."""
    return "".join(char if char.isprintable() else " " for char in text)
