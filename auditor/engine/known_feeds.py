"""The feeds of a run as it goes on: those that are audited, and those that are lost on the way.

A few are opened before the first one is audited, since they tell how large the job is; the others when their turn
comes, so that a folder of many files is not waited for.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from auditor.engine.feed_run import FeedRun
from auditor.engine.losses import LostFeedsError, reason_of
from auditor.engine.progress import Progress
from auditor.errors import FeedError
from auditor.feeds.accounts import FileState, check_unchanged, state_of
from auditor.feeds.locate import Located
from auditor.feeds.model import Feed, Limits
from auditor.feeds.splitting import with_own_paths
from auditor.mapping.maps import MapBook
from auditor.mapping.opening import open_feeds
from auditor.outputs.earlier_workbook import EarlierWorkbook
from auditor.rulebook.book import RuleBook, contract_in_force

OPENED_FIRST = 64  # files


@dataclass(slots=True)
class KnownFeeds:
    """The feeds of a run: those that are audited, and (name, reason) of those that are lost."""

    progress: Progress
    earlier: EarlierWorkbook | None = None  # in the folder that is written to
    opened: list[Feed] = field(default_factory=list)
    gone: set[int] = field(default_factory=set)  # places in `opened` of those that are lost by now
    unreadable: list[tuple[str, str]] = field(default_factory=list)
    skipped: list[tuple[str, str]] = field(default_factory=list)  # files that are no feeds, and why not
    pairs: dict[str, Any] = field(default_factory=dict)  # what became of a file of pairs, for the summary
    states: dict[Path, FileState] = field(default_factory=dict)  # of the files as sent, before they were opened
    waiting: deque[Located] = field(default_factory=deque)  # not opened yet, in the order of their names
    opens: Callable[[Located], list[Feed]] | None = None  # what opens them

    def open_next(self) -> bool:
        """Opens the next file, which may have several feeds, or none; False where there is no further file."""
        if not self.waiting or self.opens is None:
            return False
        position = self.waiting.popleft()
        try:
            if position.path is not None:
                self.states[position.path] = state_of(position.path)
            self.opened.extend(self.opens(position))
        except Exception as error:
            self.lose(position.name, reason_of(position.name, error))
        return True

    def feeds(self) -> Iterator[tuple[int, Feed]]:
        """All feeds with their numbers, each opened when it is asked for."""
        number = 0
        while number < len(self.opened) or self.open_next():
            while number < len(self.opened):
                yield number, self.opened[number]
                number += 1

    def times_as_large(self) -> float:
        """How many times as large as the opened files all files are together, judged by their bytes."""
        opened = sum(state.size for state in self.states.values())
        paths = {one.path for one in self.waiting if one.path is not None} - self.states.keys()
        return (opened + sum(map(_size, paths))) / opened if opened else 1.0

    def lose(self, name: str, reason: str) -> None:
        """Notes a feed that cannot be read, and tells of it at once."""
        self.unreadable.append((name, reason))
        self.progress.note("unreadable", f"Not audited: {name}: {reason}", feed=name, reason=reason)

    def lose_opened(self, number: int, reason: str) -> None:
        """Notes that an opened feed is lost."""
        self.gone.add(number)
        self.lose(shown_name(self.opened[number]), reason)

    def give_own_paths(self, runs: Sequence[FeedRun]) -> None:
        """Has each feed written under a path that no other one has, once all are opened."""
        self.opened = with_own_paths(self.opened)
        for run in runs:
            run.feed = self.opened[run.number]

    def check_unchanged(self, feed: Feed) -> None:
        """Raises FeedError where a feed's file is no longer the one that was opened."""
        path = getattr(feed, "source", None)
        if path in self.states:
            check_unchanged(path, self.states[path])

    def why(self, feed: Feed, error: Exception) -> str:
        """Why a feed is lost: that its file was changed, where it was, since nothing else is to be wondered at then."""
        try:
            self.check_unchanged(feed)
        except (FeedError, OSError) as changed:
            error = changed
        return reason_of(feed.name, error)

    def lose_changed(self, runs: Sequence[FeedRun]) -> None:
        """Raises LostFeedsError where files of audited feeds are no longer what they were."""
        lost: dict[int, str] = {}
        for run in runs:
            try:
                self.check_unchanged(run.feed)
            except (FeedError, OSError) as error:
                lost[run.number] = reason_of(run.feed.name, error)
        if lost:
            raise LostFeedsError(lost)

    def without_lost(self) -> None:
        """Leaves out what is lost, which numbers the others anew."""
        self.opened = [feed for number, feed in enumerate(self.opened) if number not in self.gone]
        self.gone = set()


def open_first(
    known: KnownFeeds,
    located: Sequence[Located],
    book: RuleBook,
    maps: MapBook | None,
    limits: Limits | None,
    most: int | None = None,
) -> None:
    """Opens the first of what was located, `most` at most; feeds come in the order of their names."""
    known.opens = partial(open_feeds, maps=maps, limits=limits, contract=contract_in_force(book))
    known.waiting.extend(sorted(located, key=lambda one: one.name))
    for _ in range(min(OPENED_FIRST if most is None else most, len(known.waiting))):
        known.progress.stage(f"opening {known.waiting[0].name}")
        known.open_next()


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:  # it will be lost when it is opened
        return 0


def shown_name(feed: Feed) -> str:
    """A feed's name, and the sheet where it is one."""
    return feed.name if feed.sheet is None else f"{feed.name} ({feed.sheet})"
