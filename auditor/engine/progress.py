"""Progress of a run, as a moving bar, as lines, as JSON lines, or not at all.  Always on the error stream."""

from __future__ import annotations

import contextlib
import datetime
import json
import logging
import sys
import time
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Protocol, TextIO

from auditor.errors import printable

if TYPE_CHECKING:
    from rich.progress import Progress as RichProgress

STYLES = ("auto", "bar", "lines", "json", "none")
_LINE_EVERY_S = 5.0


class Progress(Protocol):
    """What the engine tells while it works.  Called from one thread, a few times a second at most."""

    def stage(self, name: str, of: int | None = None, about: bool = False) -> None:
        """A new stage begins (`reading north.csv`), with the number of records it holds where that is known.

        With `about`, the number is only about right.
        """

    def advance(self, records: int, findings: int = 0) -> None:
        """So many more records of the stage are done, with so many more findings."""

    def note(self, event: str, text: str, **values: Any) -> None:
        """Something to be known at once, such as a feed that is lost: a sentence, and the same as data."""


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


@contextlib.contextmanager
def logged_progress() -> Iterator[Progress]:
    """Progress for a program that calls: stages as messages of the logger `auditor`, losses as its warnings."""
    yield _Logged(logging.getLogger("auditor"))


class _Logged:
    def __init__(self, log: logging.Logger) -> None:
        self._log = log
        log.addHandler(logging.NullHandler())  # a program that asks for no log gets none

    def stage(self, name: str, of: int | None = None, about: bool = False) -> None:
        self._log.info("%s", printable(name))

    def advance(self, records: int, findings: int = 0) -> None:
        """Says nothing: a log has no moving bar."""

    def note(self, event: str, text: str, **values: Any) -> None:
        self._log.warning("%s", printable(text))


class _Silent:
    def stage(self, name: str, of: int | None = None, about: bool = False) -> None:
        pass

    def advance(self, records: int, findings: int = 0) -> None:
        pass

    def note(self, event: str, text: str, **values: Any) -> None:
        pass


class _Counting:
    """Counts, and lets a line through at each new stage and then every few seconds."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream
        self.name = ""
        self.of: int | None = None
        self.about = False
        self.records = 0
        self.findings = 0
        self._began = self._last = 0.0

    def stage(self, name: str, of: int | None = None, about: bool = False) -> None:
        self.finish()
        self.name, self.of, self.about, self.records, self.findings = printable(name), of, about, 0, 0
        self._began = self._last = time.monotonic()

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

    def note(self, event: str, text: str, **values: Any) -> None:
        raise NotImplementedError

    def per_second(self) -> float:
        """Listings a second since the stage began."""
        return self.records / max(time.monotonic() - self._began, 1e-3)

    def seconds_left(self) -> float | None:
        """How long the rest of the stage takes at this rate, where it is known how much that is."""
        if self.of is None or not self.records:
            return None
        return max(self.of - self.records, 0) / self.per_second()

    def say(self, done: bool) -> None:
        raise NotImplementedError


class _Lines(_Counting):
    def say(self, done: bool) -> None:
        of = f" of {'about ' if self.about else ''}{self.of:,}" if self.of is not None and not done else ""
        found = f", {self.findings:,} findings" if self.findings else ""
        count = f": {self.records:,}{of} listings{found}" if self.records else ""
        _tell(f"{self.name}{count}{'' if done else self._pace()}", self.stream)

    def note(self, event: str, text: str, **values: Any) -> None:
        _tell(printable(text), self.stream)

    def _pace(self) -> str:
        if not self.records:
            return " so far"
        left = self.seconds_left()
        rest = "" if left is None else f", {clock_text(left)} left"
        return f" so far ({self.per_second():,.0f} a second{rest})"


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
        if not done and self.records:
            left = self.seconds_left()
            line |= {"per_second": round(self.per_second()), "seconds_left": None if left is None else round(left)}
        log_line(self.stream, **line)

    def note(self, event: str, text: str, **values: Any) -> None:
        log_line(self.stream, event=event, **values)


def log_line(stream: TextIO, **values: Any) -> None:
    """One event as a line of JSON, with the time it was told at."""
    now = datetime.datetime.now(datetime.UTC).isoformat(timespec="milliseconds")
    _tell(json.dumps({"time": now, **values}, ensure_ascii=False), stream)


def _tell(line: str, stream: TextIO) -> None:
    """A line of the log; one that nobody can take down ends no run."""
    with contextlib.suppress(OSError, ValueError):
        print(line, file=stream, flush=True)


class _Bar:
    def __init__(self, bar: RichProgress) -> None:
        self._bar = bar
        self._task: Any = None

    def stage(self, name: str, of: int | None = None, about: bool = False) -> None:
        from rich.markup import escape

        if self._task is not None:
            self._bar.remove_task(self._task)
        self._task = self._bar.add_task(escape(printable(name)), total=of, findings=0)

    def advance(self, records: int, findings: int = 0) -> None:
        if self._task is not None:
            before = self._bar.tasks[0].fields["findings"]
            self._bar.update(self._task, advance=records, findings=before + findings)

    def note(self, event: str, text: str, **values: Any) -> None:
        from rich.text import Text

        self._bar.console.print(Text(printable(text)))


@contextlib.contextmanager
def _bar(stream: TextIO) -> Iterator[_Bar]:
    from rich.console import Console
    from rich.progress import BarColumn, ProgressColumn, Task, TextColumn, TimeRemainingColumn
    from rich.progress import Progress as RichProgress
    from rich.text import Text

    class Rate(ProgressColumn):
        def render(self, task: Task) -> Text:
            return Text(f"{task.speed:,.0f} a second" if task.speed else "")

    columns = (
        TextColumn("{task.description}"),
        BarColumn(bar_width=None),
        TextColumn("{task.completed:>11,.0f} listings"),
        Rate(),
        TextColumn("{task.fields[findings]:>9,} findings"),
        TimeRemainingColumn(),
    )
    with RichProgress(*columns, console=Console(file=stream), transient=True) as bar:
        yield _Bar(bar)


def clock_text(seconds: float) -> str:
    """A time to go, as `12 s`, `4 min` or `2 h 10 min`."""
    whole = round(seconds)
    if whole < 100:
        return f"{whole} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 100 else f"{minutes // 60} h {minutes % 60} min"
